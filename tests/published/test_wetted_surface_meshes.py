"""Closed forms as meshes: Wigley, sphere, spheroid, wedge and barge, at the fineness that an exporter gives."""

from __future__ import annotations

from math import asin, pi, sqrt

import numpy as np
import pytest

from boottop.measure.girths import girth_area
from boottop.measure.mesh import Facets
from boottop.measure.mesh_bottom import Bottom, bottom_of
from boottop.measure.mesh_frame import Waterline
from boottop.measure.mesh_repair import Repair
from boottop.measure.mesh_sections import girths_of
from tests.measure.meshes import box, revolved, wigley_half


def floated(surface: Facets, height_m: float) -> Bottom:
    hull = Repair(surface=surface).whole_hull()
    return bottom_of(hull, Waterline(fore_m=height_m, aft_m=height_m))


def test_wigley() -> None:
    """S/L2 0.148791 (own quadrature), CB 4/9 exactly; S/(L (2T + B)) 0.661 (ITTC cooperative tests, from memory)."""
    bottom = floated(wigley_half(), 0.625)
    assert bottom.area_m2 / 100.0 == pytest.approx(0.148791, rel=2e-4)
    assert bottom.area_m2 / (10.0 * (2 * 0.625 + 1.0)) == pytest.approx(0.661, abs=2e-3)
    assert bottom.volume_m3 / (10.0 * 1.0 * 0.625) == pytest.approx(4.0 / 9.0, rel=5e-4)
    assert bottom.waterplane_m2 == pytest.approx(2.0 / 3.0 * 10.0, rel=5e-4)
    assert bottom.closed


def test_wigley_error_falls_with_the_square_of_the_facet() -> None:
    """And the doubt for flat facets is of the size of the error, never less than half of it."""
    exact = 14.8791
    for rows, columns in ((17, 9), (33, 17), (65, 33)):
        bottom = floated(wigley_half(rows, columns), 0.625)
        error = exact - bottom.area_m2
        assert 0.0 < error < 3.0 / rows**2 * exact
        assert 0.5 * error < bottom.facets_sd_m2 < 2.5 * error


def test_sphere() -> None:
    """Lower half: 2 pi r2, volume 2/3 pi r3."""
    bottom = floated(revolved(lambda x: np.sqrt(np.maximum(4.0 - (x - 2.0) ** 2, 0.0)), 4.0), 0.0)
    assert bottom.area_m2 == pytest.approx(8.0 * pi, rel=5e-4)
    assert bottom.volume_m3 == pytest.approx(16.0 / 3.0 * pi, rel=1e-3)


def test_spheroid() -> None:
    """Half of a prolate spheroid: pi b2 (1 + a/(b e) asin e), with a = 5, b = 1 (textbook closed form)."""
    a, b = 5.0, 1.0
    e = sqrt(1.0 - b**2 / a**2)
    bottom = floated(revolved(lambda x: b * np.sqrt(np.maximum(1.0 - ((x - a) / a) ** 2, 0.0)), 2 * a), 0.0)
    assert bottom.area_m2 == pytest.approx(pi * b**2 * (1.0 + a / (b * e) * asin(e)), rel=5e-4)


def test_barge_with_trim_and_heel() -> None:
    """A box of 10 x 3 x 2 m: level, trimmed and heeled waterlines have closed forms."""
    hull = Repair(surface=box((0.0, -1.5, 0.0), (10.0, 1.5, 2.0))).whole_hull()
    level = bottom_of(hull, Waterline(fore_m=1.0, aft_m=1.0))
    assert level.area_m2 == pytest.approx(30.0 + 2 * 10.0 + 2 * 3.0, rel=1e-12)
    assert level.volume_m3 == pytest.approx(30.0, rel=1e-12)
    trimmed = bottom_of(hull, Waterline(fore_m=0.8, aft_m=1.2))
    assert trimmed.area_m2 == pytest.approx(30.0 + 2 * 10.0 + 3.0 * 0.8 + 3.0 * 1.2, rel=1e-12)
    assert trimmed.volume_m3 == pytest.approx(30.0, rel=1e-12)
    heeled = bottom_of(hull, Waterline(fore_m=1.0, aft_m=1.0, heel_deg=10.0))
    assert heeled.area_m2 == pytest.approx(level.area_m2, rel=1e-9)  # what one side gains the other loses
    top = bottom_of(hull, Waterline(fore_m=1.0, aft_m=1.0, boot_top_m=0.1))
    assert top.area_m2 == pytest.approx(level.area_m2 + 0.1 * 26.0, rel=1e-9)
    assert top.volume_m3 == pytest.approx(level.volume_m3, rel=1e-9)


def test_resampling_wigley_converges() -> None:
    bottom = floated(wigley_half(241, 81), 0.625)
    errors = [
        abs(girth_area(girths_of(bottom.surface, count, length_m=10.0)).area_m2 / bottom.area_m2 - 1.0)
        for count in (5, 7, 11, 21)
    ]
    assert max(errors) < 5e-3
    assert errors[-1] < 1e-3
