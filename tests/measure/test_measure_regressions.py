"""Regressions: which form uses which, ranges, assumed coefficients, and their doubt."""

from __future__ import annotations

import pytest

from boottop.measure.inputs import Dimensions
from boottop.measure.regressions import dimension_area
from tests.measure.boats import by_dimensions


def dimensions(**changes: object) -> Dimensions:
    made = by_dimensions(**changes).dimensions
    assert made is not None
    return made


def test_each_form_has_its_regressions() -> None:
    names = {
        form: [e.name for e in dimension_area(dimensions(form=form)).estimates] for form in ("yacht", "motor", "ship")
    }
    assert names == {
        "yacht": ["Delft", "Denny-Mumford"],
        "motor": ["Holtrop-Mennen", "Denny-Mumford"],
        "ship": ["Holtrop-Mennen", "Denny-Mumford"],
    }


def test_mean_lies_between_and_the_doubt_covers_the_disagreement() -> None:
    result = dimension_area(dimensions())
    delft, denny = result.estimates
    assert denny.area_m2 < result.area_m2 < delft.area_m2
    assert result.sd_m2 > delft.sd_m2
    assert abs(result.area_m2 - denny.area_m2) < 2 * result.sd_m2


def test_out_of_range_is_noted_and_doubted() -> None:
    inside, outside = dimension_area(dimensions()), dimension_area(dimensions(waterline_beam_m=4.2, displaced_m3=10.1))
    assert any("Delft: L/B 2.39 lies outside 2.73 to 5." in note for note in outside.notes)
    assert outside.sd_m2 / outside.area_m2 > 1.3 * inside.sd_m2 / inside.area_m2


def test_assumed_coefficients_are_noted_and_doubted() -> None:
    given, assumed = dimension_area(dimensions()), dimension_area(dimensions(midship_coefficient=None))
    assert any("Midship coefficient not given: the usual 0.72 of a yacht" in note for note in assumed.notes)
    assert assumed.area_m2 == pytest.approx(given.area_m2)
    assert assumed.sd_m2 > given.sd_m2
