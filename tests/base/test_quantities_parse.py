"""Quantities as people write them, and what is refused."""

from __future__ import annotations

import subprocess
import sys

import pytest

from boottop.base.errors import InputError
from boottop.base.quantities import KINDS, format_quantity, parse, plain_digits

# Expected values by definition: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, 1 US gal = 231 in3, 1 imp gal = 4.54609 L,
# 1 kn = 1852 m/h, 1 mil = 0.001 in = 25.4 um.
READ = [
    ("11.6 m", "length", 11.6),
    ("38 ft", "length", 11.5824),
    ("\N{ARABIC-INDIC DIGIT ONE}\N{ARABIC-INDIC DIGIT TWO} m", "length", 12.0),
    ("\N{FULLWIDTH DIGIT ONE}.\N{DEVANAGARI DIGIT FIVE} m", "length", 1.5),
    ("\N{BENGALI DIGIT THREE}/\N{BENGALI DIGIT FOUR} in", "length", 0.01905),
    ("38 ft 6 in", "length", 11.7348),
    ("38' 6\"", "length", 11.7348),
    ("38 ft 6 1/2 in", "length", 11.7475),
    ("38'", "length", 11.5824),
    ("3/16 in", "length", 0.0047625),
    ("5-1/2 in", "length", 0.1397),
    ("12 mm", "length", 0.012),
    ("75 um", "film", 75.0),
    ("75 \N{MICRO SIGN}m", "film", 75.0),
    ("12 mil", "film", 304.8),
    ("3 mils", "film", 76.2),
    ("344 ft2", "area", 31.95864576),
    ("344 sq ft", "area", 31.95864576),
    ("32 m\N{SUPERSCRIPT TWO}", "area", 32.0),
    ("1 US gal", "volume", 3.785411784),
    ("2 imp gal", "volume", 9.09218),
    ("16 US fl oz", "volume", 0.473176473),
    ("500 ml", "volume", 0.5),
    ("6.2 m3", "displacement", 6.2),
    ("6.2 t", "mass", 6200.0),
    ("13700 lb", "mass", 6214.2155),
    ("2 short tons", "mass", 1814.36948),
    ("16 oz wt", "mass", 0.45359237),
    ("1.05 kg/L", "density", 1.05),
    ("1.05 g/mL", "density", 1.05),
    ("20 degC", "temperature", 20.0),
    ("68 degF", "temperature", 20.0),
    ("68\N{DEGREE SIGN}F", "temperature", 20.0),
    ("-5 C", "temperature", -5.0),
    ("\N{MINUS SIGN}5 degC", "temperature", -5.0),
    ("293.15 K", "temperature", 20.0),
    ("3 K", "difference", 3.0),
    ("5 degF", "difference", 25.0 / 9.0),
    ("5 delta_degF", "difference", 25.0 / 9.0),
    ("80 min", "duration", 4.0 / 3.0),
    ("1 h 20 min", "duration", 4.0 / 3.0),
    ("3 days", "duration", 72.0),
    ("8 kn", "speed", 8.0 * 1852.0 / 3600.0),
    ("8 knots", "speed", 8.0 * 1852.0 / 3600.0),
    ("36 km/h", "speed", 10.0),
    ("12 m2/h", "rate", 12.0),
    ("12 m2 per hour", "rate", 12.0),
    ("130 ft2/h", "rate", 12.0773952),
    ("85 %", "fraction", 0.85),
    ("0.85", "fraction", 0.85),
    (0.85, "fraction", 0.85),
    ("220 deg", "angle", 220.0),
    ("220\N{DEGREE SIGN}", "angle", 220.0),
    ("900 cP", "viscosity", 0.9),
    ("0.9 Pa s", "viscosity", 0.9),
    ("50 kJ/mol", "activation energy", 50000.0),
]

REFUSED = [
    ("2 gal", "volume", r"'gal' alone means more than one thing.*US gal.*imp gal"),
    ("2 gallons", "volume", r"'gallons' alone means more than one thing"),
    ("1 qt", "volume", r"'qt' alone"),
    ("1 pint", "volume", r"'pint' alone"),
    ("16 fl oz", "volume", r"'fl oz' alone.*US fl oz"),
    ("16 oz", "mass", r"'oz' alone.*oz wt"),
    ("9 lb/gal", "density", r"'gal' alone"),
    ("2 tons", "mass", r"'tons' alone.*short ton.*long ton"),
    ("11,6 m", "length", r"decimal point as a point"),
    ("6,200 kg", "mass", r"no mark between thousands"),
    ("11.6", "length", r"a length with its unit"),
    ("m", "length", r"a length with its unit"),
    ("", "length", r"a length with its unit"),
    ("80 m", "duration", r"a duration with its unit"),
    ("12 mil", "angle", r"an angle with its unit"),
    ("12 kg", "length", r"found '12 kg'"),
    ("3 ft 2 in", "displacement", r"a displacement with its unit"),
    ("1/0 in", "length", r"a length with its unit"),
    ("1e400 m", "length", r"a length with its unit|finite"),
    ("1e999 m", "length", r"finite"),
    ("1 9**9**9", "length", r"a length with its unit"),
    ("1 m**9", "length", r"a length with its unit"),
    ("1 __import__", "length", r"a length with its unit"),
    (11.6, "length", r"11.6 without a unit.*in quotes"),
    (True, "fraction", r"true without a unit"),
    (float("nan"), "fraction", r"finite"),
    (None, "fraction", r"a fraction with its unit"),
    ([1], "length", r"a length with its unit"),
]


@pytest.mark.parametrize(("text", "kind", "expected"), READ, ids=lambda value: str(value))
def test_reads(text: object, kind: str, expected: float) -> None:
    assert parse(text, kind, where="here") == pytest.approx(expected, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("text", "kind", "match"), REFUSED, ids=lambda value: str(value))
def test_refuses(text: object, kind: str, match: str) -> None:
    with pytest.raises(InputError, match=match) as caught:
        parse(text, kind, where="here.key")
    assert caught.value.problems[0].where == "here.key"


def test_every_example_of_a_kind_reads() -> None:
    for kind in KINDS.values():
        examples = [part for part in kind.example.split('"') if part.strip(" ,or.0123456789")]
        assert examples
        for example in examples:
            parse(example, kind.name, where=kind.name)


@pytest.mark.parametrize(
    ("value", "kind", "written"),
    [
        (11.7348, "length", ("11.73 m", "38 ft 6 in")),
        (0.3047, "length", ("0.3047 m", "0.9997 ft")),
        (3.65759, "length", ("3.658 m", "12 ft")),
        (76.2, "film", ("76.2 um", "3 mil")),
        (32.0, "area", ("32 m2", "344.4 ft2")),
        (3.785411784, "volume", ("3.785 L", "1 US gal")),
        (6214.2155, "mass", ("6214 kg", "13700 lb")),
        (20.0, "temperature", ("20 degC", "68 degF")),
        (3.0, "difference", ("3 K", "5.4 degF")),
        (-0.00001, "temperature", ("0 degC", "32 degF")),
        (4.0, "speed", ("4 m/s", "7.775 kn")),
        (0.85, "fraction", ("85 %", "85 %")),
    ],
)
def test_writes(value: float, kind: str, written: tuple[str, str]) -> None:
    assert (format_quantity(value, kind), format_quantity(value, kind, "us")) == written


def test_importing_does_not_load_the_units_library() -> None:
    code = "import sys, boottop.base.quantities; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_digits_of_any_script_are_the_numbers_they_mean_and_a_comma_of_theirs_is_a_comma() -> None:
    assert plain_digits("a\N{MATHEMATICAL BOLD DIGIT SEVEN}\N{SUPERSCRIPT TWO}") == "a7\N{SUPERSCRIPT TWO}"
    with pytest.raises(InputError, match="decimal point as a point"):
        parse("\N{ARABIC-INDIC DIGIT ONE}\N{ARABIC DECIMAL SEPARATOR}\N{ARABIC-INDIC DIGIT TWO} m", "length", where="x")


@pytest.mark.parametrize(
    ("litres", "text"),
    [
        (0.1, "3.381 US fl oz"),
        (0.37, "12.51 US fl oz"),
        (0.38, "0.1004 US gal"),
        (3.785411784, "1 US gal"),
        (0.0, "0 US gal"),
    ],
)
def test_small_us_volumes_are_shown_in_ounces_and_read_back(litres: float, text: str) -> None:
    assert format_quantity(litres, "volume", "us") == text
    assert parse(text, "volume", where="x") == pytest.approx(litres, rel=1e-3)
