"""Girths: ends, missing half-beams, notes, and whether the stated doubt covers the truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.measure.girths import TYPICAL_OBLIQUITY, Taped, fill_ends, girth_area, parabola_depth
from boottop.measure.inputs import Girth, Girths
from tests.measure.boats import girths
from tests.measure.shapes import Array, Shape, random_shape


def taped(shape: Shape, x: Array, *, noise: Array | None = None, scale: float = 1.0, beams: bool = True) -> Girths:
    beam = shape.half_beam(x)
    girth = np.maximum((shape.half_girth(x) + (0.0 if noise is None else noise)) * scale, beam)
    readings = tuple(
        Girth(station_m=float(s), half_girth_m=float(g), half_beam_m=float(b) if beams else None)
        for s, g, b in zip(x, girth, beam, strict=True)
    )
    return Girths(waterline_length_m=shape.length_m, readings=readings)


@pytest.mark.parametrize("count", [5, 7, 9])
@pytest.mark.parametrize("uneven", [0.0, 0.3])
@pytest.mark.parametrize("beams", [True, False])
def test_stated_doubt_covers_random_hulls(count: int, uneven: float, beams: bool) -> None:
    rng = np.random.default_rng(7)
    scores = []
    for _ in range(120):
        shape = random_shape(rng)
        x = np.linspace(0.0, shape.length_m, count)
        x[1:-1] += rng.uniform(-uneven, uneven, count - 2) * shape.length_m / (count - 1)
        noise, scale = rng.normal(0.0, 0.01, count), 1.0 + rng.normal(0.0, 0.01)
        result = girth_area(taped(shape, x, noise=noise, scale=scale, beams=beams))
        body = result.area_m2 - sum(result.end_faces_m2)
        sd = np.hypot(np.hypot(result.tape_sd_m2, result.scale_sd_m2), result.sampling_sd_m2)
        scores.append(abs(body - shape.area()) / np.hypot(sd, result.spline_m2 * result.obliquity_sd))
    within = np.asarray(scores)
    assert 0.60 < np.mean(within < 1.0) < 0.92  # 0.68 if the doubt is honest; scatter of 120 draws 0.04
    assert np.mean(within < 2.0) > 0.91


def test_correction_for_obliquity_on_random_hulls() -> None:
    rng = np.random.default_rng(3)
    factors, errors = [], []
    for _ in range(150):
        shape = random_shape(rng)
        fine = np.linspace(0.0, shape.length_m, 1001)
        true = shape.area() / (2.0 * float(np.trapezoid(shape.half_girth(fine), fine)))
        factors.append(true)
        errors.append(girth_area(taped(shape, np.linspace(0.0, shape.length_m, 9))).obliquity_factor - true)
    assert np.mean(factors) == pytest.approx(TYPICAL_OBLIQUITY, abs=0.002)
    assert float(np.std(factors)) == pytest.approx(0.0065, abs=0.0025)
    assert np.sqrt(np.mean(np.square(errors))) < 0.0015


def test_missing_ends_are_zero_and_noted_and_doubted() -> None:
    whole = girths()
    cut = replace(whole, readings=whole.readings[1:-1])
    filled: Taped = fill_ends(cut)
    assert filled.stations_m[[0, -1]] == pytest.approx([0.0, 9.2])
    assert filled.half_girths_m[[0, -1]] == pytest.approx([0.0, 0.0])
    assert not filled.taped[0]
    assert not filled.taped[-1]
    result = girth_area(cut)
    assert result.ends_sd_m2 == pytest.approx(2 * 0.25 * np.hypot(1.15 * 0.78, 1.15 * 1.30) * result.obliquity_factor)
    assert sum("end of the waterline" in note for note in result.notes) == 2
    assert girth_area(whole).ends_sd_m2 == 0.0


def test_tape_error_through_the_weights() -> None:
    result = girth_area(girths(tape_sd_m=0.02))
    halved = girth_area(girths(tape_sd_m=0.01))
    assert result.tape_sd_m2 == pytest.approx(2.0 * halved.tape_sd_m2)
    assert girth_area(girths(tape_sd_m=0.0)).tape_sd_m2 == 0.0
    assert result.sd_m2 > halved.sd_m2 > 0.01 * halved.spline_m2


def test_few_half_beams_take_the_usual_correction() -> None:
    result = girth_area(girths(beams=False))
    assert result.obliquity_factor == TYPICAL_OBLIQUITY
    assert result.end_faces_m2 == (0.0, 0.0)
    assert result.draft_m is None
    assert any("Half-beams at too few stations" in note for note in result.notes)


def test_one_missing_half_beam_is_interpolated() -> None:
    whole = girths()
    gap = replace(
        whole, readings=tuple(replace(r, half_beam_m=None) if i == 4 else r for i, r in enumerate(whole.readings))
    )
    result = girth_area(gap)
    assert any("Half-beam at 4.60 m interpolated" in note for note in result.notes)
    assert result.area_m2 == pytest.approx(girth_area(whole).area_m2, rel=1e-3)


def test_a_half_beam_filled_in_is_never_longer_than_its_girth() -> None:
    whole = girths()
    open_end = replace(
        whole, readings=(*whole.readings[:-1], replace(whole.readings[-1], half_girth_m=0.05, half_beam_m=None))
    )
    filled = fill_ends(open_end)
    assert filled.half_beams_m is not None
    assert filled.half_beams_m[-1] == pytest.approx(0.05)


def test_uneven_stations_leave_simpson_out() -> None:
    whole = girths()
    moved = replace(whole, readings=tuple(r for i, r in enumerate(whole.readings) if i != 3))
    result = girth_area(moved)
    assert result.simpson_m2 is None
    assert any("not evenly spaced" in note for note in result.notes)
    assert result.area_m2 == pytest.approx(girth_area(whole).area_m2, rel=0.01)


def test_even_number_of_stations_is_noted() -> None:
    readings = tuple(Girth(station_m=2.0 * i, half_girth_m=1.0, half_beam_m=0.8) for i in range(4))
    result = girth_area(Girths(waterline_length_m=6.0, readings=readings))
    assert any("trapezoid on the last bay" in note for note in result.notes)
    assert result.simpson_m2 == pytest.approx(12.0)


def test_parabola_depth_limits() -> None:
    depth = parabola_depth(np.array([1.0, 0.0, 1.0]), np.array([1.0, 0.7, 4.0]))
    assert depth[0] == pytest.approx(0.0, abs=1e-6)
    assert depth[1] == pytest.approx(0.7)
    assert 3.5 < depth[2] < 4.0
