"""Which rule closes a slot, in which order, and with which numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from boottop.climate.climate import Climate
from boottop.windows.build import zone_windows
from boottop.windows.windows import Rule, ZoneWindows
from tests.coating.made import COPPER_EPOXY
from tests.windows.windows_made import climate, steady, zone


def _windows(hull: Climate, *, under_tent: bool = False) -> ZoneWindows:
    return zone_windows(hull, zone("bilge", "topsides"), COPPER_EPOXY, under_tent=under_tent)


def _fair(hours: int = 24) -> Climate:
    return climate(steady(18.0, hours=hours, patches=2), dew_c=8.0)


def _at(array: np.ndarray, slot: int, value: float) -> np.ndarray:
    changed = np.array(array)
    changed[..., slot] = value
    return changed


def test_a_fair_day_is_open_all_day() -> None:
    windows = _windows(_fair())
    assert set(windows.rule.tolist()) == {Rule.OPEN}
    assert windows.had[10] == pytest.approx(10.0)
    assert windows.needed[10] == COPPER_EPOXY.limits.dew_margin_k


@pytest.mark.parametrize(
    ("field", "value", "expected"),
    [
        ("rain_mm", 0.3, (Rule.RAIN, 0.0, 0.3)),
        ("wet", True, (Rule.WET_SURFACE, 0.0, 0.25)),
        ("dew_c", 15.5, (Rule.DEW_MARGIN, 3.0, 2.5)),
        ("rh", 0.9, (Rule.HUMIDITY, 0.85, 0.9)),
        ("air_c", 7.0, (Rule.AIR_COLD, 8.0, 7.0)),
        ("air_c", 36.0, (Rule.AIR_HOT, 35.0, 36.0)),
        ("sun_elevation_deg", -7.0, (Rule.DARK, -6.0, -7.0)),
    ],
)
def test_each_rule_alone(field: str, value: float, expected: tuple[Rule, float, float]) -> None:
    hull = _fair()
    changed: dict[str, Any] = {field: _at(getattr(hull, field), 40, value)}
    closed = _windows(replace(hull, **changed)).closed_at(40)
    assert closed.rule == expected[0]
    assert (closed.needed, closed.had) == pytest.approx(expected[1:])


@pytest.mark.parametrize(("patch_c", "rule"), [(7.5, Rule.SURFACE_COLD), (36.0, Rule.SURFACE_HOT)])
def test_one_patch_is_enough(patch_c: float, rule: Rule) -> None:
    hull = replace(_fair(), dew_c=np.full((1, 96), 2.0, dtype=np.float32))
    surface_c = hull.surface_c.copy()
    surface_c[1, 0, 40] = patch_c
    windows = _windows(replace(hull, surface_c=surface_c))
    assert (windows.closed_at(40).rule, windows.closed_at(40).had) == (rule, patch_c)
    assert windows.closed_at(39).rule == Rule.OPEN


def test_of_several_the_first_in_order_is_named() -> None:
    hull = _fair()
    bad = replace(
        hull,
        rain_mm=_at(hull.rain_mm, 40, 0.1),
        wet=_at(hull.wet, 40, True),
        rh=_at(hull.rh, 40, 0.99),
        sun_elevation_deg=_at(hull.sun_elevation_deg, 40, -20.0),
    )
    assert _windows(bad).closed_at(40).rule == Rule.RAIN
    assert _windows(replace(bad, rain_mm=hull.rain_mm)).closed_at(40).rule == Rule.WET_SURFACE


def test_wet_says_for_how_long() -> None:
    hull = _fair()
    wet = hull.wet.copy()
    wet[0, 40:48] = True
    windows = _windows(replace(hull, wet=wet))
    assert [windows.closed_at(slot).had for slot in (40, 44, 47)] == [2.0, 1.0, 0.25]


def test_falling_towards_the_dew_point_closes_the_hour_before() -> None:
    """The margin breaks the limit at slot 40: slots 36 to 39 keep it now, but not for an hour."""
    hull = _fair()
    surface_c = hull.surface_c.copy()
    surface_c[1, 0, 40:] = 10.0
    windows = _windows(replace(hull, surface_c=surface_c))
    assert [windows.closed_at(slot).rule for slot in (35, 36, 39, 40)] == [
        Rule.OPEN, Rule.FALLING_TO_DEW, Rule.FALLING_TO_DEW, Rule.DEW_MARGIN,
    ]  # fmt: skip
    assert windows.closed_at(36).had == pytest.approx(2.0)


def test_rising_out_of_the_dew_margin_opens_at_once() -> None:
    hull = _fair()
    surface_c = hull.surface_c.copy()
    surface_c[:, 0, :40] = 10.0
    windows = _windows(replace(hull, surface_c=surface_c))
    assert [windows.closed_at(slot).rule for slot in (39, 40)] == [Rule.DEW_MARGIN, Rule.OPEN]


def test_the_rules_look_at_the_central_lane() -> None:
    surface_c = steady(18.0, hours=24, lanes=3, patches=2)
    surface_c[:, 1:] = 2.0
    assert set(_windows(climate(surface_c, dew_c=8.0)).rule.tolist()) == {Rule.OPEN}


def test_weather_that_stops_is_not_known_and_its_marks_lie_beyond() -> None:
    hull = _fair()
    surface_c = hull.surface_c.copy()
    surface_c[0, 0, 60] = np.nan
    windows = _windows(replace(hull, surface_c=surface_c))
    assert set(windows.rule[:60].tolist()) == {Rule.OPEN}
    assert set(windows.rule[60:].tolist()) == {Rule.NO_WEATHER}
    assert windows.ready.late[55] <= 60
    assert set(windows.ready.late[60:].tolist()) == {windows.grid.beyond}
    assert windows.why_not(58, 4) == windows.closed_at(60)


def test_rain_does_not_reach_a_zone_under_the_tent() -> None:
    hull = _fair()
    rained = replace(hull, rain_mm=_at(hull.rain_mm, 40, 1.0))
    assert _windows(rained).rain[40]
    tent = _windows(rained, under_tent=True)
    assert not tent.rain.any()
    assert set(tent.rule.tolist()) == {Rule.OPEN}
