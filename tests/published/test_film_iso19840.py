"""ISO 19840: counts and limits FROM MEMORY, the standard was not seen. These pins hold what we remember, no more."""

from __future__ import annotations

import pytest

from boottop.record.acceptance import iso19840_readings, iso19840_verdict
from boottop.record.readings import FilmReading


def read(*films_um: float) -> list[FilmReading]:
    """Readings of an ultrasonic gauge."""
    return [FilmReading(method="ultrasonic", zone="side", low_um=um, high_um=um) for um in films_um]


@pytest.mark.parametrize(
    ("area_m2", "count"),
    [(0.5, 5), (1.0, 5), (3.0, 10), (10.0, 15), (30.0, 20), (100.0, 30), (101.0, 40), (200.0, 40), (201.0, 50)],
)
def test_readings_by_area(area_m2: float, count: int) -> None:
    assert iso19840_readings(area_m2) == count


def test_mean_at_nominal_passes_and_just_below_fails() -> None:
    assert iso19840_verdict(read(100, 100, 100, 100, 100), area_m2=1.0, nominal_um=100.0).passed is True
    assert iso19840_verdict(read(100, 100, 100, 100, 99), area_m2=1.0, nominal_um=100.0).passed is False


def test_one_below_80_percent_fails() -> None:
    assert iso19840_verdict(read(150, 150, 150, 150, 79), area_m2=1.0, nominal_um=100.0).passed is False
    assert iso19840_verdict(read(*[150] * 9, 80), area_m2=3.0, nominal_um=100.0).passed is True


def test_a_fifth_between_80_and_100_is_too_many() -> None:
    assert iso19840_verdict(read(*[150] * 8, 90, 90), area_m2=3.0, nominal_um=100.0).passed is False
    assert iso19840_verdict(read(*[150] * 9, 90), area_m2=3.0, nominal_um=100.0).passed is True


def test_more_than_three_times_nominal_fails() -> None:
    assert iso19840_verdict(read(100, 100, 100, 100, 301), area_m2=1.0, nominal_um=100.0).passed is False


def test_the_source_says_that_it_is_from_memory() -> None:
    verdict = iso19840_verdict([], area_m2=1.0, nominal_um=100.0)
    assert "from memory" in verdict.source
    assert verdict.passed is None
