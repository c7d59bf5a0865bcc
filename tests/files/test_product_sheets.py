"""Product sheets: the invented ones that come with boottop, and broken ones."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.coating.film import coat_wet_film_um, mixture
from boottop.coating.mixing import kit_mass_finding
from boottop.coating.sheet import Times
from boottop.coating.sheet_checks import time_tables
from boottop.coating.times import activation_energy_j_mol, time_at
from boottop.files.product import BUILT_IN, builtin_text, load_sheet

COPPER, BARRIER, ERODING, PRIMER = BUILT_IN


@pytest.mark.parametrize("name", BUILT_IN)
def test_invented_sheets_agree_with_themselves(name: str) -> None:
    sheet = load_sheet(name)
    assert sheet.invented
    assert kit_mass_finding(sheet) is None
    for times in time_tables(sheet).values():
        assert all(later <= earlier for earlier, later in pairwise(times.hours))
    for temp_c in (10.0, 20.0, 30.0):
        hours = {key: time_at(times, temp_c)[0] for key, times in time_tables(sheet).items()}
        assert hours["tacky"] < hours["longest overcoat"]
        assert hours["rain-safe"] <= hours["stands-safe"] <= hours["immersion"]
    assert 30_000.0 < activation_energy_j_mol(sheet.tacky).j_mol < 65_000.0


def test_copper_epoxy_numbers() -> None:
    sheet = load_sheet(COPPER)
    assert [part.volume_parts for part in sheet.parts] == [1.0, 1.0, 1.0]
    assert (sheet.coats, sheet.dry_film_um, sheet.one_day, sheet.part_kits) == (4, 70.0, True, True)
    assert time_at(sheet.tacky, 20.0)[0] * 60.0 == pytest.approx(50.0)
    assert time_at(sheet.stands_safe, 20.0)[0] == 72.0
    assert time_at(sheet.immersion, 20.0)[0] == 72.0
    assert sheet.limits.dew_margin_k == 3.0
    assert (sheet.grit, sheet.activation_grit, sheet.activation_before_launch_h) == ((80, 120), 320, 48.0)


def test_copper_powder_adds_its_grain_not_its_air() -> None:
    mix = mixture(load_sheet(COPPER))
    grain_l = 5.0 / 8.96
    assert mix.powder_fraction == pytest.approx(grain_l / (2.0 + grain_l))
    assert mix.solids_fraction == pytest.approx((0.52 + 0.48 + grain_l) / (2.0 + grain_l))


def test_wet_film_holds_as_much_water_as_its_drying_time_allows() -> None:
    # A film that is tacky in about 50 min at 20 degC and 50 % holds 40 to 65 g/m2 of water: own drying model.
    sheet = load_sheet(COPPER)
    mix = mixture(sheet)
    water_l_l = 1.0 - mix.solids_fraction
    assert 40.0 <= coat_wet_film_um(sheet) * water_l_l <= 65.0


def test_mil_and_times_of_their_own_temperatures() -> None:
    sheet = load_sheet(ERODING)
    assert sheet.dry_film_um == pytest.approx(50.8)
    assert sheet.pot_life == Times(temperature_c=(20.0,), hours=(24.0,))
    assert sheet.activation_grit is None


BROKEN: list[tuple[str, str, str, str]] = [
    ('kind = "copper_epoxy"', 'kind = "copper"', "kind", r"Did you mean 'copper_epoxy'\?"),
    ("volume_parts = 1", "volume_parts = 0", "parts[1].volume_parts", r"more than 0"),
    ("volume_parts = 1", 'volume_parts = "1"', "parts[1].volume_parts", r"without quotes or unit"),
    ('density = "1.08 kg/L"', 'density = "1.08"', "parts[1].density", r"a density with its unit"),
    (
        'bulk_density = "5.0 kg/L"',
        'bulk_density = "9.5 kg/L"',
        "parts[3].bulk_density",
        r"at most the density of the grain",
    ),
    ('solids = "52 %"', "solids = 52", "parts[1].solids", r"from 0 % to 100 %"),
    ('volume = "2.56 L"', 'volume = "1 gal"', "kit.volume", r"'gal' alone"),
    ('["10 degC", "20 degC", "30 degC"]', '["30 degC", "20 degC", "10 degC"]', "times.temperatures", r"coldest first"),
    ('["16 h", "8 h", "4 h"]', '["16 h", "8 h"]', "times.longest_overcoat", r"2 times for 3 temperatures"),
    ('["16 h", "8 h", "4 h"]', '["16 h", "0 h", "4 h"]', "times.longest_overcoat[2]", r"duration from"),
    ('["16 h", "8 h", "4 h"]', '"8 h"', "times.longest_overcoat", r"a list in square brackets"),
    ('humidity = "50 %"', 'humidity = "50 degC"', "times.humidity", r"a fraction with its unit"),
    ('surface_max = "35 degC"', 'surface_max = "5 degC"', "limits.surface_max", r"more than surface_min, 8 degC"),
    ('dew_margin = "3 K"', 'dew_margin = "3 m"', "limits.dew_margin", r"a difference with its unit"),
    ("grit = [80, 120]", "grit = [120, 80]", "surface.grit", r"coarse first"),
    ('allowed_substrates = ["grp"]', 'allowed_substrates = ["gfk"]', "surface.allowed_substrates[1]", r'"grp"'),
    ('forbidden = ["aluminium"]', 'forbidden = ["grp"]', "surface.forbidden", r"either allowed or forbidden"),
    ('before_launch = "48 h"', "", "activation.before_launch", r"this key is required"),
    ("[limits]", "[limit]", "limits", r"a section \[limits\]"),
    ("[[parts]]", "[parts]", "", r"stands twice|two brackets"),
]


@pytest.mark.parametrize("row", BROKEN, ids=lambda row: f"{row[2]}: {row[1]}"[:60])
def test_broken_product_sheets_name_key_and_way_out(tmp_path: Path, row: tuple[str, str, str, str]) -> None:
    old, new, key, words = row
    path = tmp_path / "mine.toml"
    assert old in builtin_text(COPPER)
    path.write_text(builtin_text(COPPER).replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError, match=words) as caught:
        load_sheet(path, label="mine.toml")
    told = [problem for problem in caught.value.problems if problem.where.endswith(key)]
    assert re.search(words, str(told[0])), str(told[0])
    assert told[0].where.startswith("mine.toml, limits" if key == "limits" else "mine.toml, line ")


def test_a_name_that_is_no_sheet() -> None:
    with pytest.raises(InputError, match=r"Did you mean 'demo-copper-epoxy-a'\?"):
        load_sheet("demo-coper-epoxy")
