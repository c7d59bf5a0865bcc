"""From a plan and its windows to the board table that phones keep."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOT_S, Grid
from boottop.coating.film import mixture
from boottop.coating.mixing import pot_life
from boottop.coating.scope import zones_for
from boottop.coating.settling import stir_rule
from boottop.coating.sheet import ProductSheet, System
from boottop.coating.takeoff import SystemOrder
from boottop.files.calendar_file import words_of
from boottop.files.document_of import coat_slots, weather_words
from boottop.job.board import BoardStock, BoardSystem, BoardTable, BoardTask, BoardZone
from boottop.measure.hull import Zone
from boottop.plan.inputs import WindowKey
from boottop.plan.plan import Plan
from boottop.windows.windows import RULE_TEXT, Rule, ZoneWindows
from boottop.workflow import Ashore, Outlook, Planned

STEPS = ("strip", "abrade", "mask", "wipe")
TENT = "tent"
BATCH_C = range(46)
"""Temperatures, degC, for which the board knows the pot life: beyond them the end value holds."""


def board_table(ashore: Ashore, outlook: Outlook, planned: Planned, *, made: datetime) -> BoardTable:
    """All that a phone needs to know what may be done now, by the cautious edges that the plan used."""
    job, grid, plan = ashore.job, outlook.grid, planned.plan
    roof = _sheltered(ashore, grid, plan)
    return BoardTable(
        job=job.plan.job_name,
        boat=job.boat.name,
        made_s=int(made.timestamp()),
        start_s=int(grid.start.timestamp()),
        slot_s=SLOT_S,
        count=grid.count,
        zone_name=job.plan.yard.zone_name,
        weather=weather_words(outlook),
        weather_age_h=_age_h(outlook, made),
        rain_mm=_rounded(outlook.climate.rain_mm, 2),
        zones=tuple(_zone(ashore, outlook, plan, zone=zone, roof=roof) for zone in ashore.hull.zones if zone.coated),
        tasks=tuple(
            BoardTask(
                key=task.key,
                kind=task.kind,
                label=words_of(task),
                zone=task.zone,
                coat=task.coat,
                start_s=int(task.start.timestamp()),
                end_s=int(task.end.timestamp()),
            )
            for task in plan.tasks
        ),
        stock=tuple(
            BoardStock(product=sheet.name, litres=round(order.kits * sheet.kit_volume_l, 3), parts=_parts(sheet))
            for order in ashore.order.orders
            for sheet in [_sheet(ashore, order)]
        ),
        rules=tuple(RULE_TEXT[rule] for rule in Rule),
        midnights=_midnights(grid, ZoneInfo(job.plan.yard.zone_name)),
        cost_minor=plan.cost_minor,
        currency=plan.currency,
    )


def _age_h(outlook: Outlook, made: datetime) -> float | None:
    """Hours since the forecast was issued; None for weather that was measured."""
    issued = outlook.weather.issued
    return None if issued is None else round(max((made - issued) / timedelta(hours=1), 0.0), 2)


def _sheet(ashore: Ashore, order: SystemOrder) -> ProductSheet:
    return next(one.sheet for one in ashore.job.plan.systems if one.sheet.name == order.product)


def _parts(sheet: ProductSheet) -> tuple[str, ...]:
    return tuple(part.name for part in sheet.parts)


def _midnights(grid: Grid, zone: ZoneInfo) -> tuple[int, ...]:
    """Marks at which a new local day begins, the last mark too where it is one."""
    days, _ = grid.local(zone)
    after = grid.end.astimezone(zone).date().toordinal()
    return tuple(int(mark) + 1 for mark in np.flatnonzero(np.diff(days, append=after)))


def _sheltered(ashore: Ashore, grid: Grid, plan: Plan) -> tuple[int, ...]:
    """First and end mark of the tent that the plan hires, empty without one."""
    hire = ashore.job.plan.hire
    if TENT not in plan.options or hire.tent_from is None or hire.tent_to is None:
        return ()
    first, end = grid.mark_at_or_after(hire.tent_from), grid.mark_at_or_before(hire.tent_to)
    first, end = max(first, 0), min(end, grid.count)
    return (first, end) if first < end else ()


def _zone(ashore: Ashore, outlook: Outlook, plan: Plan, *, zone: Zone, roof: tuple[int, ...]) -> BoardZone:
    wishes = ashore.job.plan.wishes
    systems = [system for system in ashore.job.plan.systems if zone in zones_for(system, ashore.hull)]
    done = {task.kind for task in plan.tasks if task.zone == zone.name}
    whole = {task.kind for task in plan.tasks if task.zone is None} if zone.kind == "side" else set()
    steps = tuple(step for step in STEPS if step in done | whole) if plan.tasks else BoardZone.steps
    return BoardZone(
        name=zone.name,
        kind=zone.kind,
        side=zone.side,
        area_m2=round(zone.area_m2, 3),
        waits_for_stands=zone.stand_set,
        systems=tuple(_system(ashore, outlook, zone, system=system, roof=roof) for system in systems),
        steps=steps,
        dry_h=wishes.dry_h if "strip" in steps else 0.0,
    )


def _system(ashore: Ashore, outlook: Outlook, zone: Zone, *, system: System, roof: tuple[int, ...]) -> BoardSystem:
    sheet, facts = system.sheet, ashore.job.coating
    open_air = outlook.windows[WindowKey(zone.name, sheet.name, False)]
    tent = outlook.windows.get(WindowKey(zone.name, sheet.name, True)) if roof else None
    order = next(one for one in ashore.order.orders if one.product == sheet.name and one.role == system.role)
    line = next(one for one in order.coats if one.zone == zone.name)
    return BoardSystem(
        product=sheet.name,
        role=system.role,
        coats=system.coats,
        coat_slots=coat_slots(ashore, system, zone),
        one_day=sheet.one_day,
        litres_per_coat=round(line.litres, 3),
        dew_margin_k=sheet.limits.dew_margin_k,
        pot_life_min=_pot_life_min(sheet),
        usable_pot_life=facts.usable_pot_life,
        stir_every_min=stir_rule(sheet).every_min or 0.0,
        activation=sheet.activation_grit is not None,
        activation_before_launch_h=sheet.activation_before_launch_h,
        sheltered=roof,
        **_arrays(open_air, tent, roof),
    )


def _pot_life_min(sheet: ProductSheet) -> tuple[tuple[float, float], ...]:
    """(degC, minutes) of a whole kit, the largest batch there is, as its batch card has it: a degree apart, so that
    the straight lines that the board draws between them do not show."""
    mass_kg = sheet.kit_volume_l * mixture(sheet).density_kg_l
    hours = [(at_c, pot_life(sheet, float(at_c), mass_kg=mass_kg).hours) for at_c in BATCH_C]
    return tuple((float(at_c), round(60.0 * life_h, 2)) for at_c, life_h in hours)


def _arrays(open_air: ZoneWindows, tent: ZoneWindows | None, roof: tuple[int, ...]) -> Mapping[str, Any]:
    """The windows in the open, and under the tent while it stands."""

    def both(of: Callable[[ZoneWindows], NDArray[Any]]) -> NDArray[Any]:
        return _joined(of(open_air), None if tent is None else of(tent), roof)

    marks: Mapping[str, NDArray[Any]] = {
        "ready": both(lambda one: one.ready.late),
        "ready_middle": both(lambda one: one.ready.middle),
        "overcoat_until": both(lambda one: one.overcoat_until.early),
        "rain_safe": both(lambda one: one.rain_safe.late),
        "stands_safe": both(lambda one: one.stands_safe.late),
        "immersion": both(lambda one: one.immersion.late),
        "rule": both(lambda one: one.rule),
    }
    found: dict[str, Any] = {name: tuple(values.tolist()) for name, values in marks.items()}
    found["margin_k"] = _rounded(both(lambda one: one.margin_k), 1)
    found["surface_c"] = _rounded(both(lambda one: one.surface_c), 1)
    return found


def _joined(outside: NDArray[Any], inside: NDArray[Any] | None, roof: Sequence[int]) -> NDArray[Any]:
    if inside is None or not roof:
        return outside
    joined = outside.copy()
    joined[roof[0] : roof[1]] = inside[roof[0] : roof[1]]
    return joined


def _rounded(values: NDArray[Any], digits: int) -> tuple[float, ...]:
    """Few digits, so that the runs of the coded table are long."""
    return tuple(np.round(values.astype(np.float64), digits).tolist())
