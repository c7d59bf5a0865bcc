"""Synthetic years of windows for the odds benchmarks: the demonstration job under made weather, a year at a time.

Air: a yearly and a daily wave with autoregressive noise; rain: a two-state chain by the hour; cure times by the rule of
thumb exp(0.055 (T - 20)) integrated over the year. Dew, damp and cold close slots. Every array rises as the windows'
own do. The climate and film marches that real weather needs are not run here: they are told apart in the benchmark.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import Grid
from boottop.climate.climate import Climate
from boottop.coating.scope import zones_for
from boottop.files.jobsheet import load_job
from boottop.odds_work import season_inputs
from boottop.plan.inputs import PlanInput, WindowKey
from boottop.plan.odds_ways import Way
from boottop.windows.windows import Band, Rule, ZoneWindows
from boottop.workflow import Ashore

JOB = Path(__file__).parent.parent / "src/boottop/demo/job.toml"
DAY = 96
HORIZON = 35


@dataclass(frozen=True, kw_only=True)
class Year:
    """One synthetic year with its horizon: what the plan's rules read."""

    grid: Grid
    inputs: PlanInput
    windows: dict[WindowKey, ZoneWindows]
    climate: Climate
    tent: Climate


def demo() -> Ashore:
    """The demonstration job."""
    ashore = Ashore(load_job(JOB))
    ashore.hull  # noqa: B018 - computed once, outside every timer
    return ashore


def synthetic_year(ashore: Ashore, seed: int, ways: tuple[Way, ...], *, days: int = 365 + HORIZON) -> Year:
    """A year drawn from a seed; `days` of it, the first a 1 January."""
    start = datetime(2023, 1, 1, 5, tzinfo=UTC)
    grid = Grid(start=start, count=days * DAY)
    rng = np.random.default_rng(seed)
    air_c, rain = _air(grid.count, rng), _rain(grid.count, rng)
    inputs = season_inputs(ashore.job.plan, ways, begin=start, days=days)
    windows = {}
    for system in ashore.job.plan.systems:
        for index, zone in enumerate(zones_for(system, ashore.hull)):
            for tent in (False, True):
                key = WindowKey(zone.name, system.sheet.name, tent)
                windows[key] = _windows(key, grid, air_c=air_c + 0.3 * index + tent, rain=rain & (not tent))
    climate = _climate(ashore, grid, air_c=air_c, rain=rain)
    return Year(grid=grid, inputs=inputs, windows=windows, climate=climate, tent=replace(climate))


def _air(count: int, rng: np.random.Generator) -> NDArray[np.float64]:
    slot = np.arange(count)
    hours = rng.normal(0.0, 0.6, count // 4 + 1)
    noise = np.empty_like(hours)
    held = 0.0
    for hour, step in enumerate(hours):
        held = 0.97 * held + step
        noise[hour] = held
    yearly = 12.0 - 9.0 * np.cos(2.0 * np.pi * slot / (365 * DAY))
    return np.asarray(yearly - 5.0 * np.cos(2.0 * np.pi * (slot % DAY - 12) / DAY) + np.repeat(noise, 4)[:count])


def _rain(count: int, rng: np.random.Generator) -> NDArray[np.bool_]:
    draws = rng.random(count // 4 + 1)
    wet, found = False, np.empty(draws.size, np.bool_)
    for hour, draw in enumerate(draws):
        wet = draw < (0.75 if wet else 0.02)
        found[hour] = wet
    return np.repeat(found, 4)[:count]


def _windows(key: WindowKey, grid: Grid, *, air_c: NDArray[np.float64], rain: NDArray[np.bool_]) -> ZoneWindows:
    count = grid.count
    clock = np.concatenate([[0.0], np.cumsum(np.exp(0.055 * (air_c - 20.0)) / 4.0)])
    minute = np.arange(count) % DAY
    rule = np.zeros(count, np.int8)
    rule[(minute < 32) | (minute > 80)] = Rule.DEW_MARGIN
    rule[air_c < 8.0] = Rule.AIR_COLD
    rule[rain] = Rule.RAIN
    return ZoneWindows(
        zone=key.zone, product=key.product, under_tent=key.under_tent, grid=grid, rule=rule,
        needed=np.zeros(count), had=np.zeros(count), surface_c=air_c, margin_k=np.full(count, 5.0),
        ready=_band(clock, 0.7, count), overcoat_until=_band(clock, 8.0, count), rain_safe=_band(clock, 2.0, count),
        stands_safe=_band(clock, 60.0, count), immersion=_band(clock, 72.0, count), rain=rain,
        dewy=np.zeros(count, np.bool_), drying_decides=np.zeros(count + 1, np.bool_),
    )  # fmt: skip


def _band(clock: NDArray[np.float64], hours: float, count: int) -> Band:
    marks = np.minimum(np.searchsorted(clock, clock + hours), count + 1).astype(np.int32)
    return Band(early=marks, middle=marks, late=marks)


def _climate(ashore: Ashore, grid: Grid, *, air_c: NDArray[np.float64], rain: NDArray[np.bool_]) -> Climate:
    count = grid.count
    patches = tuple((zone.name, patch.name) for zone in ashore.hull.zones if zone.coated for patch in zone.patches)
    one = air_c.astype(np.float32)[None]
    dry = np.minimum(np.arange(count + 1) + 8, count + 1).astype(np.int32)
    minute = np.arange(count) % DAY
    return Climate(
        grid=grid, patches=patches, surface_c=np.broadcast_to(one, (len(patches), 1, count)), air_c=one, dew_c=one - 5,
        wind_m_s=one, absorbed_w_m2=np.broadcast_to(one, (len(patches), 1, count)),
        rain_mm=np.where(rain, 0.3, 0.0), rh=np.full(count, 0.6), wet=np.tile(rain, (len(patches), 1)),
        dry_after=np.tile(dry, (len(patches), 1)),
        sun_elevation_deg=np.where((minute > 26) & (minute < 78), 30.0, -20.0), time_factor=np.ones(1),
        energy_shift_j_mol=np.zeros(1), convection_factor=np.ones(1), estimated=np.zeros(count, np.bool_),
    )  # fmt: skip
