"""Can this crew roll all coats of a zone in one working day, and a whole kit before it goes off?"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from boottop.coating.batches import crew_rate_m2_h, plan_batches
from boottop.coating.facts import CrewFacts
from boottop.coating.finding import COMMON_PRACTICE, Finding, require_between
from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.coating.takeoff import take_off
from boottop.coating.times import time_at
from boottop.measure.hull import Hull, Zone


def coats_in_a_row_h(system: System, area_m2: float, facts: CrewFacts, *, surface_c: float) -> float:
    """Hours from the first stroke to the last with all coats of an area on, at a constant surface temperature.

    Rolling time of every coat plus, between coats, the wait until tacky, counted from the end of a coat as on the
    sheet. Nobody waits for the batch: mixing goes on beside the rolling. Source: common practice, no source.
    """
    sheet = system.sheet
    tacky_h = time_at(sheet.tacky, surface_c, energy_j_mol=sheet.activation_energy_j_mol)[0]
    return system.coats * area_m2 / crew_rate_m2_h(facts) + (system.coats - 1) * tacky_h


def one_day(hull: Hull, systems: tuple[System, ...], facts: CrewFacts) -> Iterator[Finding]:
    """All coats of a zone in one working day, where the sheet asks for it: impossible, or only when warm enough."""
    require_between(facts.working_day_h, (0.0, 24.0), where="working day", unit="h")
    for system in systems:
        if not system.sheet.one_day:
            continue
        zones = [zone for zone in zones_for(system, hull) if zone.area_m2 > 0.0]
        for zone in zones:
            yield from _zone_day(system, zone, facts)
        yield from _sides_day(system, [zone for zone in zones if zone.kind == "side"], facts)


def _zone_day(system: System, zone: Zone, facts: CrewFacts) -> Iterator[Finding]:
    expected_h = coats_in_a_row_h(system, zone.area_m2, facts, surface_c=facts.surface_c)
    if expected_h <= facts.working_day_h:
        return
    rolling_h = system.coats * zone.area_m2 / crew_rate_m2_h(facts)
    warmest_c = system.sheet.limits.surface_max_c
    never = coats_in_a_row_h(system, zone.area_m2, facts, surface_c=warmest_c) > facts.working_day_h
    more = " even at the warmest surface of the sheet's limits" if never else ""
    yield Finding(
        rule="one_day",
        severity="stop" if never else "warn",
        cause=f"{zone.name}: {system.coats} coats of {system.sheet.name} take {expected_h:.1f} h at "
        f"{facts.surface_c:g} degC ({rolling_h:.1f} h of rolling, the rest waiting until tacky); the working day has "
        f"{facts.working_day_h:g} h. It does not fit{more}.",
        advice=_way_out(system, zone, facts),
        source=f"the sheet's one-day rule and tacky time; rate of rolling as given ({COMMON_PRACTICE})",
    )


def _way_out(system: System, zone: Zone, facts: CrewFacts) -> str:
    waits_h = coats_in_a_row_h(system, 0.0, facts, surface_c=facts.surface_c)
    spare_h = facts.working_day_h - waits_h
    if spare_h <= 0.0:
        return (
            "The waiting alone fills the day: wait for warmer weather, work longer, or split the zone by a tape line."
        )
    needed = ceil(system.coats * zone.area_m2 / (facts.roll_m2_h * spare_h))
    return f"{needed} people rolling would do it; or a warmer day, longer hours, or the zone split by a tape line."


def _sides_day(system: System, sides: list[Zone], facts: CrewFacts) -> Iterator[Finding]:
    area_m2 = sum(zone.area_m2 for zone in sides)
    each_h = [coats_in_a_row_h(system, zone.area_m2, facts, surface_c=facts.surface_c) for zone in sides]
    if len(sides) < 2 or max(each_h) > facts.working_day_h:
        return
    rolling_h = system.coats * area_m2 / crew_rate_m2_h(facts)
    if rolling_h > facts.working_day_h:
        yield Finding(
            rule="one_day",
            severity="note",
            cause=f"{system.sheet.name}: both sides in one day need {rolling_h:.1f} h of rolling alone; the working "
            f"day has {facts.working_day_h:g} h.",
            advice="One side a day.",
            source=COMMON_PRACTICE,
        )


def kit_too_large(hull: Hull, systems: tuple[System, ...], facts: CrewFacts) -> Iterator[Finding]:
    """A kit that may not be divided and that this crew cannot roll out within the usable pot life."""
    for system in systems:
        if system.sheet.part_kits or len(system.sheet.parts) < 2:
            continue
        areas = [zone.area_m2 for zone in zones_for(system, hull) if zone.area_m2 > 0.0]
        batch = plan_batches(system, max(areas), facts) if areas else None
        if batch is not None and not batch.in_time:
            yield Finding(
                rule="kit_too_large",
                severity="warn",
                cause=f"{system.sheet.name}: a kit of {system.sheet.kit_volume_l:g} L takes "
                f"{60 * batch.roll_h_each:.0f} min to roll out; {60 * batch.use_within_h:.0f} min of its pot life at "
                f"{facts.batch_c:g} degC are usable, and the sheet does not let a kit be divided.",
                advice="One more person rolling, or cooler tins; otherwise part of every kit goes hard in the pan.",
                source=f"the sheet's pot life; usable share {facts.usable_pot_life:.0%}: {COMMON_PRACTICE}",
            )


def kits_stay_whole(hull: Hull, systems: tuple[System, ...], facts: CrewFacts) -> Iterator[Finding]:
    """Kits that may not be divided: what goes hard if every coat of every part of the hull opens its own."""
    for order, system in zip(take_off(hull, systems, facts).orders, systems, strict=True):
        if order.kits_opened > order.kits:
            yield Finding(
                rule="kits_stay_whole",
                severity="warn",
                cause=f"{order.product}: {order.kits} kits hold the {order.wanted_l:.1f} L wanted, but the sheet does "
                f"not let a kit of {system.sheet.kit_volume_l:g} L be divided. If every coat of each side, and of gear "
                f"and pads, opens its own, {order.kits_opened} are used and the rest of each goes hard.",
                advice="Roll on from one part to the next with an open kit while its pot life lasts (both sides in one "
                "go), or ask the maker for the ratio by mass. Otherwise order the larger number.",
                source=f"{COMMON_PRACTICE}; arithmetic of the order",
            )
