"""What is written reads back, whatever the kind and the system of units."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.base.quantities import KINDS, System, format_quantity, parse

POSITIVE = sorted(set(KINDS) - {"temperature", "difference"})
SYSTEMS: list[System] = ["metric", "us"]
SIZES = st.floats(1e-3, 1e6)


@given(SIZES, st.sampled_from(POSITIVE), st.sampled_from(SYSTEMS))
def test_written_quantities_read_back_to_half_the_last_digit(value: float, kind: str, system: System) -> None:
    again = parse(format_quantity(value, kind, system), kind, where="here")
    tenth_of_an_inch_m = 0.00127 if kind == "length" and system == "us" else 0.0
    assert abs(again - value) <= 5.01e-4 * value + tenth_of_an_inch_m


@given(SIZES, st.sampled_from(sorted(KINDS)), st.sampled_from(SYSTEMS))
def test_with_many_digits_nothing_is_lost(value: float, kind: str, system: System) -> None:
    again = parse(format_quantity(value, kind, system, digits=15), kind, where="here")
    assert again == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.floats(-50.0, 120.0), st.sampled_from(SYSTEMS))
def test_temperatures_read_back_to_a_twentieth(value: float, system: System) -> None:
    assert abs(parse(format_quantity(value, "temperature", system), "temperature", where="here") - value) <= 0.0501


@given(SIZES, SIZES, st.sampled_from(POSITIVE))
def test_reading_keeps_the_order(one: float, two: float, kind: str) -> None:
    small, large = sorted((one, two))
    unit = KINDS[kind].us
    assert parse(f"{small:.9f} {unit}", kind, where="x") <= parse(f"{large:.9f} {unit}", kind, where="x")


@given(st.integers(0, 200), st.integers(0, 11))
def test_feet_and_inches_add_up(feet: int, inches: int) -> None:
    both = parse(f"{feet} ft {inches} in", "length", where="x")
    assert both == pytest.approx(0.3048 * feet + 0.0254 * inches, rel=1e-12, abs=1e-12)


@given(st.text(max_size=30), st.sampled_from(sorted(KINDS)))
def test_any_text_is_a_finite_number_or_an_input_error(text: str, kind: str) -> None:
    try:
        value = parse(text, kind, where="here")
    except InputError:
        return
    assert math.isfinite(value)
