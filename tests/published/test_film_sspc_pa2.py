"""SSPC-PA 2: counts from two trade articles (paintsquare.com 12356, naylornetwork 481274; read), limits from slides
(slideplayer 1430003; read). Metric areas by the rule's own 10 m2 for 100 ft2."""

from __future__ import annotations

import pytest

from boottop.base.quantities import parse
from boottop.record.acceptance import PA2_READINGS, PA2_SPOTS, pa2_areas, pa2_verdict
from boottop.record.readings import FilmReading

MIL = 25.4


def spot(film_um: float, *, area: str = "1", name: str = "1") -> list[FilmReading]:
    """Three readings of one spot."""
    return [
        FilmReading(method="magnetic", zone="plate", low_um=film_um, high_um=film_um, area=area, spot=name)
        for _ in range(3)
    ]


def test_12500_square_feet_are_15_areas_75_spots_225_readings() -> None:
    areas = pa2_areas(12_500 / 10)
    assert (areas, areas * PA2_SPOTS, areas * PA2_SPOTS * PA2_READINGS) == (15, 75, 225)


@pytest.mark.parametrize(
    ("square_feet", "areas"), [(90, 1), (250, 3), (300, 3), (1000, 3), (1001, 4), (2000, 4), (2001, 5)]
)
def test_areas_below_300_all_to_1000_three_then_one_a_thousand(square_feet: int, areas: int) -> None:
    assert pa2_areas(square_feet / 10) == areas


@pytest.mark.parametrize(("thin_mil", "passed"), [(6.4, True), (6.39, False)])
def test_8_to_12_mil_lets_a_spot_down_to_6_4(thin_mil: float, passed: bool) -> None:
    films = [thin_mil, 10.0, 10.0, 10.0, 10.0]
    readings = [one for number, mil in enumerate(films) for one in spot(mil * MIL, name=str(number))]
    low_um, high_um = (parse(f"{mil} mil", "film", where="test") for mil in (8, 12))
    verdict = pa2_verdict(readings, area_m2=9.0, low_um=low_um, high_um=high_um)
    assert verdict.passed is passed


@pytest.mark.parametrize(("thick_mil", "passed"), [(14.4, True), (14.41, False)])
def test_8_to_12_mil_lets_a_spot_up_to_14_4(thick_mil: float, passed: bool) -> None:
    films = [thick_mil, 9.0, 9.0, 9.0, 9.0]
    readings = [one for number, mil in enumerate(films) for one in spot(mil * MIL, name=str(number))]
    verdict = pa2_verdict(readings, area_m2=9.0, low_um=8 * MIL, high_um=12 * MIL)
    assert verdict.passed is passed


def test_single_readings_are_free_and_the_mean_of_an_area_is_not() -> None:
    free = [
        FilmReading(method="magnetic", zone="p", low_um=mil * MIL, high_um=mil * MIL, area="1", spot=str(number))
        for number in range(5)
        for mil in (3.0, 9.0, 15.0)
    ]
    assert pa2_verdict(free, area_m2=9.0, low_um=8 * MIL, high_um=12 * MIL).passed is True
    thin = [one for number in range(5) for one in spot(7.5 * MIL, name=str(number))]
    verdict = pa2_verdict(thin, area_m2=9.0, low_um=8 * MIL, high_um=12 * MIL)
    assert verdict.passed is False
    assert "mean" in verdict.reasons[0]


def test_too_few_spots_are_no_verdict() -> None:
    verdict = pa2_verdict(spot(250.0), area_m2=25.0, low_um=200.0, high_um=300.0)
    assert verdict.passed is None
    assert verdict.wanted == 45
    assert verdict.reasons[0] == "1 of 3 areas were read"
