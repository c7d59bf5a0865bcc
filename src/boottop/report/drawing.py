"""From a plan and its windows to the lanes, bars and strips of the drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR, Grid
from boottop.coating.scope import zones_for
from boottop.files.calendar_file import STATE_MARKS, words_of
from boottop.measure.hull import Hull, Zone
from boottop.plan.calendar import said
from boottop.plan.inputs import WindowKey
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.tasks import TASK_KINDS
from boottop.report.axis import Axis, make_axis
from boottop.report.bands import LOOK_OF, LOOKS, OPEN
from boottop.report.timeline import Bar, Curve, Lane, Strip, draw, row_names
from boottop.report.typeset import typeset
from boottop.windows.windows import Rule, ZoneWindows
from boottop.workflow import Ashore, Outlook

COLOUR_WORDS: Mapping[str, str] = {
    "port": "port side",
    "starboard": "starboard side",
    "gear": "running gear",
    "pads": "pad spots",
    "whole": "whole boat, yard",
    "extra": "own jobs",
}
SHORT: Mapping[str, str] = {
    "haul_out": "out",
    "wash": "wash",
    "strip": "strip",
    "dry": "dry",
    "abrade": "abrade",
    "wipe": "wipe",
    "mask": "mask",
    "move_stands": "stands",
    "activate": "bare copper",
    "launch": "in",
}
MARGIN_SLOTS = 6 * SLOTS_PER_HOUR
SHOWN_WITHOUT_PLAN = 14 * 24 * SLOTS_PER_HOUR


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """The finished drawing with what stands beside and below it."""

    svg: str
    row_names: list[tuple[str, int]]
    legend: list[tuple[str, str]]
    colours: set[str]


def drawing_of(ashore: Ashore, outlook: Outlook, plan: Plan) -> Drawing:
    """The plan over its weather; without a plan, the first two weeks of the weather alone."""
    axis = _axis(ashore, outlook, plan)
    lanes = _lanes(ashore, outlook, plan)
    strips = _strips(ashore, outlook)
    shown = {LOOK_OF[Rule(int(rule))] for lane in lanes if lane.rules is not None for rule in np.unique(lane.rules)}
    return Drawing(
        svg=draw(axis, lanes, strips),
        row_names=row_names(lanes, strips),
        legend=[(look.name, look.legend) for look in LOOKS if look in shown | {OPEN}],
        colours={bar.colour.removeprefix("c-") for lane in lanes for bar in lane.bars},
    )


def _axis(ashore: Ashore, outlook: Outlook, plan: Plan) -> Axis:
    grid, zone = outlook.grid, ZoneInfo(ashore.job.plan.yard.zone_name)
    if plan.haul_out is None or plan.launch is None:
        return make_axis(grid, zone, first=0, last=min(grid.count, SHOWN_WITHOUT_PLAN))
    first = grid.mark_at_or_before(plan.haul_out) - MARGIN_SLOTS
    last = grid.mark_at_or_after(max(task.end for task in plan.tasks)) + MARGIN_SLOTS
    return make_axis(grid, zone, first=first, last=last)


def colour_of(task: PlannedTask, hull: Hull) -> str:
    """Colour class of a task: by the side or part of the hull it is done on."""
    zone = next((zone for zone in hull.zones if zone.name == task.zone), None)
    if task.kind == "extra":
        return "extra"
    if zone is None:
        return "whole"
    if zone.kind in {"gear", "pads"}:
        return zone.kind
    return zone.side if zone.side != "centre" else "whole"


def _lanes(ashore: Ashore, outlook: Outlook, plan: Plan) -> list[Lane]:
    hull, grid = ashore.hull, outlook.grid
    bars: dict[str, list[Bar]] = {"whole boat": []}
    for task in plan.tasks:
        bars.setdefault(task.zone or "whole boat", []).append(_bar(task, ashore, grid))
    lanes = [Lane(name="whole boat", rules=None, bars=tuple(bars.pop("whole boat")))]
    for zone in hull.zones:
        if zone.coated:
            rules = _rules(ashore, outlook, zone)
            lanes.append(Lane(name=zone.name, rules=rules, bars=tuple(bars.pop(zone.name, ()))))
    lanes += [Lane(name=name, rules=None, bars=tuple(left)) for name, left in bars.items()]
    return lanes


def _bar(task: PlannedTask, ashore: Ashore, grid: Grid) -> Bar:
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    short = SHORT.get(task.kind, "")
    if task.coat is not None:
        short = {"coat": "", "barrier_coat": "b", "primer_coat": "p"}[task.kind] + str(task.coat)
    if task.kind == "extra":
        short = words_of(task)
    start, end = task.start.astimezone(zone), task.end.astimezone(zone)
    people = f", {task.people} people" if task.people > 1 else ""
    state = "" if task.state == "to do" else f" ({task.state})"
    words = f"{words_of(task)}{people}: {said(start)} to {said(end)}{state}. {task.because}"
    return Bar(
        first=grid.mark_at_or_before(task.start),
        end=grid.mark_at_or_after(task.end),
        short=STATE_MARKS[task.state] + (short or TASK_KINDS[task.kind].label),
        words=typeset(words),
        colour=f"c-{colour_of(task, ashore.hull)}",
    )


def _rules(ashore: Ashore, outlook: Outlook, zone: Zone) -> NDArray[np.int8] | None:
    windows = _windows(ashore, outlook, zone)
    return None if windows is None else windows.rule


def _windows(ashore: Ashore, outlook: Outlook, zone: Zone) -> ZoneWindows | None:
    """Windows of the zone's last coating: the antifouling where there is one."""
    found = None
    for system in ashore.job.plan.systems:
        if zone in zones_for(system, ashore.hull):
            found = outlook.windows[WindowKey(zone.name, system.sheet.name, False)]
            if system.role == "antifouling":
                return found
    return found


def _strips(ashore: Ashore, outlook: Outlook) -> list[Strip]:
    sides = [
        (zone, windows)
        for zone in ashore.hull.zones
        if zone.kind == "side" and zone.coated and (windows := _windows(ashore, outlook, zone)) is not None
    ]
    surface = [Curve(name=zone.name, values=windows.surface_c, style=f"l-{zone.side}") for zone, windows in sides]
    margin = [Curve(name=zone.name, values=windows.margin_k, style=f"l-{zone.side}") for zone, windows in sides]
    air = Curve(name="air", values=np.asarray(outlook.climate.air_c[0], dtype=np.float64), style="l-air")
    rain = Curve(name="rain", values=outlook.climate.rain_mm * SLOTS_PER_HOUR, style="l-rain")
    limit_k = next(s.sheet.limits.dew_margin_k for s in reversed(ashore.job.plan.systems))
    return [
        Strip(name="rain", unit="mm/h", curves=(rain,), filled=True),
        Strip(name="above dew point", unit="K", curves=tuple(margin), limit=limit_k),
        Strip(name="hull, dotted: air", unit="°C", curves=(*surface, air)),
    ]
