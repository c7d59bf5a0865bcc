"""Box, half cylinder and half ellipsoid: closed forms against the table of offsets and the girths."""

from __future__ import annotations

from math import asin, pi, sqrt

import pytest
from scipy.special import ellipe

from boottop.measure.appendages import ellipsoid_area_m2, foil_perimeter_m
from boottop.measure.girths import girth_area
from boottop.measure.inputs import Girth, Girths
from boottop.measure.offsets import offsets_area
from tests.measure.tables import crowded, crowded_below, offset_table, steps

LENGTH, BEAM, DRAFT = 10.0, 3.0, 1.0


def test_box_from_offsets_is_exact() -> None:
    table = offset_table(lambda x, z: BEAM / 2, stations_m=steps(LENGTH, 5), waterlines_m=steps(1.5, 13), draft_m=DRAFT)
    result = offsets_area(table)
    assert result.area_m2 == pytest.approx(LENGTH * BEAM + 2 * LENGTH * DRAFT + 2 * BEAM * DRAFT, rel=1e-12)
    assert result.end_faces_m2 == pytest.approx((BEAM * DRAFT, BEAM * DRAFT))
    assert result.volume_m3 == pytest.approx(LENGTH * BEAM * DRAFT, rel=1e-12)
    assert result.block_coefficient == pytest.approx(1.0, rel=1e-12)
    assert result.notes == ()


def test_box_from_girths_has_no_obliquity_and_roughly_its_end_faces() -> None:
    readings = tuple(Girth(station_m=x, half_girth_m=BEAM / 2 + DRAFT, half_beam_m=BEAM / 2) for x in steps(LENGTH, 5))
    result = girth_area(Girths(waterline_length_m=LENGTH, readings=readings))
    assert result.spline_m2 == pytest.approx(LENGTH * (BEAM + 2 * DRAFT), rel=1e-12)
    assert result.obliquity_factor == pytest.approx(1.0, abs=1e-12)
    assert sum(result.end_faces_m2) == pytest.approx(2 * BEAM * DRAFT, rel=0.5)


def test_half_cylinder_from_offsets() -> None:
    radius = BEAM / 2

    def breadth(x: float, z: float) -> float:
        return sqrt(max(0.0, radius**2 - (z - radius) ** 2))

    errors = []
    for count in (9, 17, 33):
        table = offset_table(breadth, stations_m=steps(LENGTH, 5), waterlines_m=steps(radius, count), draft_m=radius)
        result = offsets_area(table)
        errors.append(abs(result.area_m2 / (pi * radius * LENGTH + pi * radius**2) - 1.0))
        assert result.volume_m3 == pytest.approx(0.5 * pi * radius**2 * LENGTH, rel=0.03 / count)
    assert errors[0] < 2e-3
    assert errors[2] < errors[1] < errors[0]


@pytest.mark.parametrize(("stations", "waterlines", "tolerance"), [(11, 9, 5e-3), (21, 17, 1e-3), (41, 33, 5e-4)])
def test_half_ellipsoid_from_offsets(stations: int, waterlines: int, tolerance: float) -> None:
    a, b, c = 5.0, 1.5, 0.8

    def breadth(x: float, z: float) -> float | None:
        square = 1.0 - ((x - a) / a) ** 2 - ((z - c) / c) ** 2
        return None if square < -1e-9 else b * sqrt(max(0.0, square))

    table = offset_table(
        breadth, stations_m=crowded(2 * a, stations), waterlines_m=crowded_below(c, waterlines), draft_m=c
    )
    result = offsets_area(table)
    assert result.area_m2 == pytest.approx(0.5 * ellipsoid_area_m2(2 * a, 2 * b, 2 * c), rel=tolerance)
    assert result.volume_m3 == pytest.approx(2.0 / 3.0 * pi * a * b * c, rel=4 * tolerance)


def test_spheroid_area_against_its_elementary_form() -> None:
    long, short = 2.0, 0.5
    eccentricity = sqrt(1.0 - (short / long) ** 2)
    closed = 2 * pi * short**2 * (1 + long / (short * eccentricity) * asin(eccentricity))
    assert ellipsoid_area_m2(2 * long, 2 * short, 2 * short) == pytest.approx(closed, rel=1e-12)


@pytest.mark.parametrize("thickness_m", [0.0, 0.1, 0.3, 1.0])
def test_foil_perimeter_is_the_ellipse_s(thickness_m: float) -> None:
    exact = 2.0 * float(ellipe(1.0 - thickness_m**2))
    assert foil_perimeter_m(1.0, thickness_m) == pytest.approx(exact, rel=5e-4)
