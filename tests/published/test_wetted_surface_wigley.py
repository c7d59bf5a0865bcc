"""The Wigley parabolic hull y = (B/2)(1 - 4 x^2/L^2)(1 - z^2/T^2), from its own girths and offsets.

CB = 4/9 exactly; CS = S/(L (2T+B)) = 0.661 from the ITTC cooperative tests (from memory, 2e-3); S/L^2 with and without
obliquity: own quadrature (pins, 1e-5).
"""

from __future__ import annotations

import numpy as np
import pytest

from boottop.measure.girths import girth_area
from boottop.measure.inputs import Girth, Girths
from boottop.measure.offsets import offsets_area
from tests.measure.shapes import Shape
from tests.measure.tables import crowded_below, offset_table, steps

LENGTH = 10.0


def wigley(beam_ratio: float = 0.1, draft_ratio: float = 0.0625) -> Shape:
    return Shape(
        length_m=LENGTH,
        half_beam_m=0.5 * beam_ratio * LENGTH,
        draft_m=draft_ratio * LENGTH,
        fullness=2.0,
        widest=0.5,
        transom_beam=0.0,
        transom_draft=1.0,
        stem_draft=1.0,
        entry=2.0,
        run=2.0,
    )


def taped(shape: Shape, count: int) -> Girths:
    x = np.linspace(0.0, LENGTH, count)
    rows = zip(x, shape.half_girth(x), shape.half_beam(x), strict=True)
    readings = tuple(Girth(station_m=float(s), half_girth_m=float(g), half_beam_m=float(b)) for s, g, b in rows)
    return Girths(waterline_length_m=LENGTH, readings=readings)


@pytest.mark.parametrize(("count", "tolerance"), [(9, 6e-5), (11, 3e-5), (21, 1e-5), (41, 1e-5)])
def test_girths_with_and_without_obliquity(count: int, tolerance: float) -> None:
    result = girth_area(taped(wigley(), count))
    assert result.spline_m2 / LENGTH**2 == pytest.approx(0.148363, abs=tolerance)
    assert result.simpson_m2 is not None
    assert result.simpson_m2 / LENGTH**2 == pytest.approx(0.148363, abs=tolerance)
    assert result.area_m2 / LENGTH**2 == pytest.approx(0.148791, abs=tolerance)
    assert result.area_m2 / (LENGTH**2 * 0.225) == pytest.approx(0.661, rel=2e-3)
    assert result.end_faces_m2 == pytest.approx((0.0, 0.0), abs=1e-9)


def test_girths_know_the_volume_of_a_parabolic_hull() -> None:
    result = girth_area(taped(wigley(), 11))
    assert result.volume_m3 == pytest.approx(4.0 / 9.0 * 0.1 * 0.0625 * LENGTH**3, rel=1e-6)
    assert result.draft_m == pytest.approx(0.0625 * LENGTH, rel=1e-9)


@pytest.mark.parametrize(("beam", "draft", "expected"), [(0.125, 0.0625, 0.159646), (0.1, 0.05, 0.127528)])
def test_other_proportions(beam: float, draft: float, expected: float) -> None:
    assert girth_area(taped(wigley(beam, draft), 21)).area_m2 / LENGTH**2 == pytest.approx(expected, abs=1e-5)


def test_offsets_converge() -> None:
    shape, draft = wigley(), 0.0625 * LENGTH

    def breadth(x: float, z: float) -> float:
        return float(shape.half_beam(np.array([x]))[0]) * (1.0 - ((draft - z) / draft) ** 2)

    errors = []
    for stations, waterlines in ((11, 9), (21, 11), (41, 21)):
        table = offset_table(
            breadth,
            stations_m=steps(LENGTH, stations),
            waterlines_m=crowded_below(draft, waterlines),
            draft_m=draft,
        )
        result = offsets_area(table)
        assert result.block_coefficient == pytest.approx(4.0 / 9.0, rel=2e-3)
        errors.append(abs(result.area_m2 / LENGTH**2 / 0.148791 - 1.0))
    assert errors[0] < 5e-3
    assert errors[2] < 5e-4
    assert errors[2] < errors[1] < errors[0]
