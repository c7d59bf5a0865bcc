"""What must hold for any weather a yard can have."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.climate.build import hull_climate
from boottop.climate.climate import Climate
from boottop.climate.draws import make_draws
from boottop.climate.moist import dew_point_c, relative_humidity, saturation_pa, saturation_temperature_c, wet_bulb_c
from boottop.climate.slots import grid_for
from tests.climate.made import SITE, two_sides, weather

CELSIUS = st.floats(-25.0, 45.0)
SHARE = st.floats(0.05, 1.0)


@given(CELSIUS, SHARE)
def test_humidity_and_dew_point_are_each_other_turned_round(air_c: float, rh: float) -> None:
    dew_c = float(dew_point_c(air_c, rh))
    assert dew_c <= air_c + 1e-9
    assert abs(float(relative_humidity(air_c, dew_c)) - rh) < 1e-9


@given(CELSIUS, SHARE)
def test_wet_bulb_lies_between_dew_point_and_air(air_c: float, rh: float) -> None:
    wet_c = float(wet_bulb_c(air_c, rh, 101325.0))
    assert float(dew_point_c(air_c, rh)) - 1e-6 <= wet_c <= air_c + 1e-6


@given(st.floats(-60.0, 60.0), st.floats(0.001, 5.0))
def test_saturation_rises_with_temperature(air_c: float, warmer_k: float) -> None:
    assert float(saturation_pa(air_c + warmer_k)) > float(saturation_pa(air_c))
    assert abs(float(saturation_temperature_c(saturation_pa(air_c))) - air_c) < 1e-7


def _drawn(mean_c: float, swing_k: float, *, dew_gap_k: float, wet: tuple[int, float]) -> Climate:
    hour = np.arange(73)
    air = mean_c + swing_k * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi)
    rain = np.where(hour % 30 < wet[0], wet[1], 0.0)
    table = weather(days=3, air_c=air, dew_c=air.min() - dew_gap_k, rain_mm=rain, cloud=0.3)
    site = replace(SITE, latitude_deg=52.0, bow_deg=70.0)
    return hull_climate(table, site, two_sides(), grid=grid_for(table), draws=make_draws(16, 1))


WEATHERS = st.builds(
    _drawn,
    st.floats(-5.0, 28.0),
    st.floats(0.5, 9.0),
    dew_gap_k=st.floats(-2.0, 12.0),
    wet=st.tuples(st.integers(0, 12), SHARE),
)


@settings(max_examples=25, deadline=None)
@given(WEATHERS)
def test_surfaces_stay_within_physical_bounds(made: Climate) -> None:
    """Never colder than a black radiator to a clear sky allows, never hotter than all the sun kept: air -15, +60 K."""
    above = made.surface_c - made.air_c[None]
    assert above.min() > -15.0
    assert above.max() < 60.0
    assert (made.absorbed_w_m2 >= 0.0).all()
    assert (made.dew_c <= made.air_c + 1e-4).all()


@settings(max_examples=25, deadline=None)
@given(WEATHERS)
def test_a_later_wetting_never_dries_earlier(made: Climate) -> None:
    marks = np.arange(made.grid.count + 1)
    assert (np.diff(made.dry_after, axis=1) >= 0).all()
    assert (made.dry_after[:, :-1] > marks[:-1]).all()
    assert (made.dry_after <= made.grid.beyond).all()


@settings(max_examples=25, deadline=None)
@given(WEATHERS)
def test_a_dry_mark_is_not_in_the_rain(made: Climate) -> None:
    """Where a wetted surface is said to be dry, the slot before is not one of real rain."""
    found = made.dry_after[made.dry_after <= made.grid.count]
    assert (made.rain_mm[found - 1] < 0.02).all()
