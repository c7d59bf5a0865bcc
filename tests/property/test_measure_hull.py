"""Whatever is taped: areas add up, grow with the girths, follow the square of size, and doubts stay sane."""

from __future__ import annotations

from dataclasses import replace
from math import fsum, hypot

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.measure.build import build_hull
from boottop.measure.girths import girth_area
from boottop.measure.inputs import Girth, Girths
from boottop.measure.rules import pchip_integral, simpson_even, spline_integral, trapezoid
from tests.measure.boats import PADS, plain, sloop


@st.composite
def taped(draw: st.DrawFn) -> Girths:
    """A hull-like run of girths: rising and falling, with half-beams no longer than them."""
    count = draw(st.integers(4, 11))
    length = draw(st.floats(5.0, 18.0))
    widest = draw(st.floats(0.35, 0.65))
    greatest = length * draw(st.floats(0.14, 0.24))
    shares = [draw(st.floats(0.5, 0.95)) for _ in range(count)]
    readings = []
    for index, share in enumerate(shares):
        u = index / (count - 1)
        girth = greatest * (1.0 - 0.9 * abs((u - widest) / max(widest, 1.0 - widest)) ** 2)
        readings.append(Girth(station_m=length * u, half_girth_m=girth, half_beam_m=share * girth))
    return Girths(waterline_length_m=length, readings=tuple(readings))


def grown(girths: Girths, factor: float) -> Girths:
    readings = tuple(
        Girth(
            station_m=factor * r.station_m,
            half_girth_m=factor * r.half_girth_m,
            half_beam_m=None if r.half_beam_m is None else factor * r.half_beam_m,
        )
        for r in girths.readings
    )
    return Girths(
        waterline_length_m=factor * girths.waterline_length_m, readings=readings, tape_sd_m=factor * girths.tape_sd_m
    )


@settings(max_examples=40, deadline=None)
@given(girths=taped(), factor=st.floats(0.3, 4.0))
def test_area_follows_the_square_of_size(girths: Girths, factor: float) -> None:
    small, large = girth_area(girths), girth_area(grown(girths, factor))
    assert large.area_m2 == pytest.approx(factor**2 * small.area_m2, rel=1e-6)
    assert large.sd_m2 == pytest.approx(factor**2 * small.sd_m2, rel=1e-5)


@settings(max_examples=40, deadline=None)
@given(girths=taped())
def test_true_area_is_at_least_the_girth_area(girths: Girths) -> None:
    result = girth_area(girths)
    assert result.obliquity_factor >= 1.0
    assert 0.0 < result.sd_m2 < 0.5 * result.area_m2
    parts = (result.tape_sd_m2, result.scale_sd_m2, result.sampling_sd_m2, result.ends_sd_m2)
    assert result.sd_m2 >= hypot(*parts) - 1e-12


@settings(max_examples=40, deadline=None)
@given(girths=taped())
def test_turned_end_for_end_the_area_is_the_same(girths: Girths) -> None:
    length = girths.waterline_length_m
    turned = replace(
        girths, readings=tuple(replace(r, station_m=length - r.station_m) for r in reversed(girths.readings))
    )
    assert girth_area(turned).area_m2 == pytest.approx(girth_area(girths).area_m2, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(girths=taped(), pads=st.integers(1, 8), set_count=st.integers(1, 3))
def test_zones_conserve_area(girths: Girths, pads: int, set_count: int) -> None:
    bare = build_hull(replace(plain(), girths=girths))
    hidden = tuple(replace(PADS, count=pads, area_each_m2=0.01, stand_set=n + 1) for n in range(set_count))
    hull = build_hull(replace(plain(), girths=girths, hidden=hidden))
    assert hull.total_m2 == pytest.approx(bare.total_m2, rel=1e-12)
    assert fsum(z.area_m2 for z in hull.zones) == hull.total_m2
    assert sum(z.kind == "pads" for z in hull.zones) == set_count
    assert hull.total_sd_m2 <= sum(z.area_sd_m2 for z in hull.zones) + 1e-12


@settings(max_examples=25, deadline=None)
@given(factor=st.floats(1.01, 1.3))
def test_longer_girths_never_make_a_smaller_hull(factor: float) -> None:
    base = sloop()
    assert base.girths is not None
    longer = tuple(replace(r, half_girth_m=factor * r.half_girth_m) for r in base.girths.readings)
    grown_up = replace(base, girths=replace(base.girths, readings=longer))
    assert build_hull(grown_up).total_m2 > build_hull(base).total_m2


@settings(max_examples=50, deadline=None)
@given(
    coefficients=st.tuples(st.floats(-2.0, 2.0), st.floats(-2.0, 2.0), st.floats(-2.0, 2.0), st.floats(-2.0, 2.0)),
    gaps=st.lists(st.floats(0.2, 2.0), min_size=4, max_size=9),
)
def test_rules_are_exact_for_their_polynomials(
    coefficients: tuple[float, float, float, float], gaps: list[float]
) -> None:
    a, b, c, d = coefficients
    x = np.concatenate(([0.0], np.cumsum(gaps)))
    end = float(x[-1])
    cubic = a * end + b * end**2 / 2 + c * end**3 / 3 + d * end**4 / 4
    assert spline_integral(x, a + b * x + c * x**2 + d * x**3) == pytest.approx(cubic, rel=1e-7, abs=1e-7)
    line = a + b * x
    straight = a * end + b * end**2 / 2
    assert trapezoid(x, line) == pytest.approx(straight, rel=1e-9, abs=1e-9)
    assert pchip_integral(x, line) == pytest.approx(straight, rel=1e-9, abs=1e-9)
    even = np.linspace(0.0, end, 2 * len(gaps) + 1)
    exact = a + b * even + c * even**2 + d * even**3
    assert simpson_even(even, exact) == pytest.approx(cubic, rel=1e-9, abs=1e-9)
