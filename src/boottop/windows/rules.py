"""Which rule closes which slot for applying a coat, with what it needed and what it had."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR
from boottop.climate.climate import Climate
from boottop.coating.sheet import Limits
from boottop.windows.windows import Rule

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

DARK_BELOW_DEG = -6.0


@dataclass(frozen=True, kw_only=True)
class Slots:
    """Central lane of one zone, reduced to its worst patch; every array (slot,).

    `coldest_c`, `hottest_c` over the patches; `margin_k` of the coldest; `soon_k` the least margin of this and the
    next hour; `dry_in_h` hours until no patch is wet (0 when dry, the rest of the known weather when not within it);
    `rain` as far as it reaches the zone; `known`: weather of this slot is known.
    """

    coldest_c: Floats
    hottest_c: Floats
    margin_k: Floats
    soon_k: Floats
    dry_in_h: Floats
    rain_mm: Floats
    air_c: Floats
    rh: Floats
    sun_elevation_deg: Floats
    known: Bools


@dataclass(frozen=True, kw_only=True)
class Closing:
    """The rule that closes each slot (OPEN = 0), what it needed and what it had; every array (slot,)."""

    rule: NDArray[np.int8]
    needed: Floats
    had: Floats


class _Check(NamedTuple):
    rule: Rule
    closed: Bools
    needed: float
    had: Floats


def slots_of(climate: Climate, rows: list[int], *, under_tent: bool) -> Slots:
    """Reduce the climate of one zone's patches to what the rules look at.

    Slots without weather (not a number anywhere in the zone) end the known weather: all after the first are unknown.
    """
    surface_c = climate.surface_c[rows, 0].astype(np.float64)
    air_c, dew_c = (array[0].astype(np.float64) for array in (climate.air_c, climate.dew_c))
    margin_k = surface_c.min(axis=0) - dew_c
    rain_mm = np.zeros_like(climate.rain_mm) if under_tent else climate.rain_mm
    return Slots(
        coldest_c=surface_c.min(axis=0),
        hottest_c=surface_c.max(axis=0),
        margin_k=margin_k,
        soon_k=_least_ahead(margin_k, SLOTS_PER_HOUR),
        dry_in_h=_hours_until(~np.asarray(climate.wet[rows].any(axis=0))),
        rain_mm=rain_mm,
        air_c=air_c,
        rh=climate.rh,
        sun_elevation_deg=climate.sun_elevation_deg,
        known=np.arange(climate.grid.count) < known_slots(climate, rows),
    )


def known_slots(climate: Climate, rows: list[int]) -> int:
    """How many slots from the start have weather in every lane."""
    whole = np.isfinite(climate.surface_c[rows]).all(axis=(0, 1))
    for array in (climate.air_c, climate.dew_c, climate.wind_m_s):
        whole &= np.isfinite(array).all(axis=0)
    whole &= np.isfinite(climate.rain_mm) & np.isfinite(climate.rh)
    return int(np.argmin(whole)) if not whole.all() else whole.size


def close_slots(slots: Slots, limits: Limits) -> Closing:
    """Put the rules to every slot; the first that holds, in the order of `Rule`, is reported.

    Rain, any of it, in the slot. Water on any patch. The coldest patch nearer the dew point than the sheet's margin
    (3 K as a rule). Relative humidity. Coldest and hottest patch, air. Falling towards the dew point: the margin is
    kept now, but not for the whole of the hour to come. Darkness: sun more than 6 degrees below the horizon, the end
    of civil twilight, when a holiday in the film can no longer be seen (a lamp may put that right: the working hours
    are the planner's). An open slot carries its dew margin.

    Source: UFC 3-190-06 9.6.6 (read): surface at least 5 degF (3 K) above the dew point and not falling; ISO 8502-4
    gives the method (title read). One hour ahead for "falling", and twilight: common practice, no source.
    """
    checks = _checks(slots, limits)
    closed = [check.closed for check in checks]
    return Closing(
        rule=np.select(closed, [np.int8(check.rule) for check in checks], np.int8(Rule.OPEN)).astype(np.int8),
        needed=np.select(closed, [check.needed for check in checks], limits.dew_margin_k),
        had=np.select(closed, [check.had for check in checks], slots.margin_k),
    )


def _checks(slots: Slots, limits: Limits) -> list[_Check]:
    near_k, cold_c, hot_c = limits.dew_margin_k, slots.coldest_c, slots.hottest_c
    known_h = np.where(slots.known, 0.25, 0.0)
    return [
        _Check(Rule.NO_WEATHER, ~slots.known, 0.25, known_h),
        _Check(Rule.RAIN, slots.rain_mm > 0.0, 0.0, slots.rain_mm),
        _Check(Rule.WET_SURFACE, slots.dry_in_h > 0.0, 0.0, slots.dry_in_h),
        _Check(Rule.DEW_MARGIN, slots.margin_k < near_k, near_k, slots.margin_k),
        _Check(Rule.HUMIDITY, slots.rh > limits.humidity_max, limits.humidity_max, slots.rh),
        _Check(Rule.SURFACE_COLD, cold_c < limits.surface_min_c, limits.surface_min_c, cold_c),
        _Check(Rule.SURFACE_HOT, hot_c > limits.surface_max_c, limits.surface_max_c, hot_c),
        _Check(Rule.AIR_COLD, slots.air_c < limits.air_min_c, limits.air_min_c, slots.air_c),
        _Check(Rule.AIR_HOT, slots.air_c > limits.air_max_c, limits.air_max_c, slots.air_c),
        _Check(Rule.FALLING_TO_DEW, slots.soon_k < near_k, near_k, slots.soon_k),
        _Check(Rule.DARK, slots.sun_elevation_deg < DARK_BELOW_DEG, DARK_BELOW_DEG, slots.sun_elevation_deg),
    ]


def _least_ahead(values: Floats, slots: int) -> Floats:
    """Least of each value and those up to `slots` after it, shape as given."""
    padded = np.concatenate([values, np.full(slots, np.inf)])
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, slots + 1).min(axis=1))


def _hours_until(mask: Bools) -> Floats:
    """Hours from the start of each slot to the next one where `mask` holds, or to the end."""
    places = np.where(mask, np.arange(mask.size), mask.size)
    return (np.minimum.accumulate(places[::-1])[::-1] - np.arange(mask.size)) / SLOTS_PER_HOUR
