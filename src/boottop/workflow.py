"""The rooms in a row: job and weather in; hull, order, outlook and plan out. Command line, page and tests call this.

Pure like the rooms: what comes from outside (job, weather) is an argument. A room is imported when it is first entered,
so that the area of a hull does not wait for the compiler of the weather.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from boottop.base.clock import Grid
from boottop.climate.climate import Climate
from boottop.climate.weather import Weather
from boottop.coating.compatibility import findings
from boottop.coating.finding import Finding
from boottop.coating.scope import zones_for
from boottop.coating.takeoff import TakeOff, take_off
from boottop.files.job import Job
from boottop.measure.build import build_hull
from boottop.measure.hull import Hull
from boottop.plan.inputs import WindowKey
from boottop.plan.plan import Plan
from boottop.plan.progress import Progress
from boottop.windows.windows import ZoneWindows

if TYPE_CHECKING:
    from boottop.plan.checker import CheckReport

LANES, SEED = 32, 20
HORIZON_DAYS = 21
RUN_IN = timedelta(days=2)
RUN_OUT = timedelta(days=1)


@dataclass(frozen=True)
class Ashore:
    """One job and what follows from it without weather; each part is computed when first asked for."""

    job: Job

    @cached_property
    def hull(self) -> Hull:
        return build_hull(self.job.hull)

    @cached_property
    def order(self) -> TakeOff:
        return take_off(self.hull, self.job.plan.systems, self.job.coating)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        return findings(self.hull, self.job.plan.systems, self.job.coating)


def weather_span(job: Job, days: int) -> tuple[datetime, datetime]:
    """From when until when the weather file is read: the days asked for, a run-in before and a day after them."""
    first = job.plan.wishes.earliest_haul
    return first - RUN_IN, first + timedelta(days=days) + RUN_OUT


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """The weather made into windows. `tent` only where a tent is on offer."""

    weather: Weather
    grid: Grid
    climate: Climate
    tent: Climate | None
    windows: Mapping[WindowKey, ZoneWindows]


def outlook_for(ashore: Ashore, weather: Weather, *, days: int = HORIZON_DAYS) -> Outlook:
    """Hull climate and windows of every coating on every zone that it covers, in the open and under the tent."""
    from boottop.climate.build import hull_climate
    from boottop.climate.draws import make_draws
    from boottop.climate.slots import grid_for
    from boottop.windows.build import zone_windows

    job = ashore.job
    begin = job.plan.wishes.earliest_haul.replace(minute=0, second=0, microsecond=0)
    grid = grid_for(weather, start=begin, end=begin + timedelta(days=days))
    draws = make_draws(LANES, SEED)
    zones = [zone for zone in ashore.hull.zones if zone.coated]
    caution = job.plan.wishes.caution
    climate = hull_climate(weather, job.site, zones, grid=grid, draws=draws, caution=caution)
    tent = None
    if job.plan.hire.tent_from is not None:
        tent = hull_climate(weather, job.site, zones, grid=grid, draws=draws, tent=True, caution=caution)
    windows: dict[WindowKey, ZoneWindows] = {}
    for system in job.plan.systems:
        for zone in zones_for(system, ashore.hull):
            for under_tent, around in ((False, climate), (True, tent)):
                if around is not None:
                    key = WindowKey(zone.name, system.sheet.name, under_tent)
                    windows[key] = zone_windows(around, zone, system.sheet, caution=caution, under_tent=under_tent)
    return Outlook(weather=weather, grid=grid, climate=climate, tent=tent, windows=windows)


@dataclass(frozen=True, kw_only=True)
class Planned:
    """A plan with what it was read again against."""

    plan: Plan
    check: CheckReport


def plan_for(
    ashore: Ashore,
    outlook: Outlook,
    *,
    time_limit_s: float,
    on_first: Callable[[Plan], None] | None = None,
    progress: Progress | None = None,
) -> Planned:
    """The plan, and the checker's word on it; with `progress` of a job that has begun."""
    from boottop.plan.checker import Evidence, check_plan
    from boottop.plan.make import make_plan

    inputs = replace(ashore.job.plan, cleaner=ashore.job.coating.cleaner)
    plan = make_plan(
        inputs,
        ashore.hull,
        windows=outlook.windows,
        climate=outlook.climate,
        time_limit_s=time_limit_s,
        on_first=on_first,
        tent_climate=outlook.tent,
        progress=progress,
    )
    evidence = Evidence(
        plan=plan,
        inputs=inputs,
        hull=ashore.hull,
        weather=outlook.weather,
        climate=outlook.climate,
        tent_climate=outlook.tent,
        roofed=ashore.job.site.cover == "shed",
        progress=progress,
    )
    return Planned(plan=plan, check=check_plan(evidence))
