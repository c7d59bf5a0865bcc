"""The job sheet's section [yard.tide]: lifts only where the tide floats the boat over the sill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from boottop.base.clock import Grid
from boottop.climate.weather import Site
from boottop.files.job import Boat
from boottop.files.jobsheet_table import REQUIRED, Span, Table, nearest, refuse
from boottop.files.places import Place, distance_km
from boottop.files.tides import load_station
from boottop.plan.calendar import all_open, open_slots, said
from boottop.plan.inputs import Wishes, Yard
from boottop.plan.tide import LiftWater, Sill, high_water_lifts, lift_slots, lifts_water
from boottop.plan.tide_constants import TideStation
from boottop.plan.tide_heights import left_out

HIGH_WATER = "high water"
LIFTS = ("as listed", HIGH_WATER)
LOOK_AHEAD_DAYS = 60
CLEARANCE_M = 0.3
"""Water under the keel where the sheet names none (common practice, no source)."""
NEAR_KM, FAR_KM = 10.0, 200.0
ENOUGH_NAMED = 6
CAUTION = (
    "Caution: not for navigation (yard.tide). The tide is predicted from harmonic constants alone; wind, air pressure "
    "and rivers move the water by decimetres, storms by more: look at the gauge on the day, and ask the yard"
)


@dataclass(frozen=True, kw_only=True)
class _Keys:
    """[yard.tide] as read; `station` None when it could not be."""

    station: TideStation | None
    datum: str
    floor_m: float
    clearance_m: float
    lifts: str


def makes_slots(yard: Table) -> bool:
    """Whether [yard.tide] makes lift slots of its own, so that none need be listed."""
    table = yard.data.get("tide") if yard.has("tide") else None
    return isinstance(table, dict) and table.get("lifts") == HIGH_WATER


def with_tide(root: Table, yard: Yard, *, site: Site, boat: Boat, wishes: Wishes) -> tuple[Yard, list[str]]:
    """The yard with the lift slots that have the water, and notes; the yard itself without the section."""
    outer = root.table_or_none("yard")
    table = outer.table_or_none("tide") if outer is not None else None
    if table is None:
        return yard, []
    keys = _read(table)
    if boat.draft_m is None and root.sheet.ok(("boat",)):
        allowed = "her draft, since [yard.tide] asks how much water floats her"
        root.sheet.note(("boat", "draft"), found="nothing", allowed=allowed, advice='Add draft = "1.9 m" to [boat].')
    readable = root.sheet.ok(("yard",)) and root.sheet.ok(("boat",)) and root.sheet.ok(("job", "earliest_haul_out"))
    if keys.station is None or boat.draft_m is None or not readable:
        return yard, []
    station = keys.station
    away_km = distance_km(_place(station), _place(site))
    if away_km > FAR_KM:
        found = f"{station.name}, {away_km:.0f} km from the yard"
        advice = "Take the nearest station; check the signs of latitude and longitude."
        table.note("station", found=found, allowed=f"a station within {FAR_KM:.0f} km", advice=advice)
        return yard, []
    sill = Sill(station=station, datum=keys.datum, floor_m=keys.floor_m, needed_m=boat.draft_m + keys.clearance_m)
    notes = [CAUTION, *_of_station(station, away_km), *_of_sill(sill, keys, table)]
    tide = _Tide(sill=sill, yard=yard, wishes=wishes)
    return _chosen(table, tide, makes=keys.lifts == HIGH_WATER, notes=notes), notes


def _place(where: TideStation | Site) -> Place:
    return Place(latitude_deg=where.latitude_deg, longitude_deg=where.longitude_deg)


def _read(table: Table) -> _Keys:
    folder = table.sheet.file.path.parent
    station = table.read("station", lambda value, where: _station(value, where, folder), REQUIRED, fallback=None)
    chart = station.chart_datum if station else ""
    known = tuple(station.datums_m) if station else ()
    keys = _Keys(
        station=station,
        datum=table.read("datum", lambda value, where: _datum(value, where, known), chart, fallback=chart),
        floor_m=table.quantity("sill", "length", Span(low=-30.0, high=30.0)),
        clearance_m=table.quantity("clearance", "length", Span(low=0.0, high=5.0), default=CLEARANCE_M),
        lifts=table.choice("lifts", LIFTS, default=LIFTS[0]),
    )
    if station is not None and not keys.datum and table.ok("datum"):
        advice = 'Say what the height of the sill counts from: datum = "MSL".'
        table.note(
            "datum", found="nothing, and the station names no chart datum", allowed=", ".join(known), advice=advice
        )
    table.close()
    return keys


def _station(value: Any, where: str, folder: Path) -> TideStation:
    if not isinstance(value, str) or not value.endswith(".json"):
        allowed = 'the file of a tide station, such as "tides/harbour.json"'
        raise refuse(where, value, allowed=allowed, advice="Write its path from this sheet, in quotes.")
    return load_station(folder / value, label=value)


def _datum(value: Any, where: str, known: Sequence[str]) -> str:
    """A level that the station has (any text while the station is unknown)."""
    if isinstance(value, str) and (value in known or not known):
        return value
    allowed = ", ".join(known) or 'a level of the station, such as "LAT"'
    hint = nearest(value, known) if isinstance(value, str) else ""
    raise refuse(where, value, allowed=allowed, advice=hint or "Take the level that the yard's figure counts from.")


# -- what is said of it ---------------------------------------------------------------------------------------------


def _of_station(station: TideStation, away_km: float) -> list[str]:
    epoch = f", levels of {station.epoch}" if station.epoch else ""
    says = [
        f"yard.tide: constants of {station.name} ({station.source}, {station.licence}{epoch}), {away_km:.0f} km away"
    ]
    if away_km > NEAR_KM:
        says.append(f"yard.tide: {station.name} is not next door: the tide at the yard differs in time and height")
    if station.remark:
        says.append(f"yard.tide: the station file warns: {station.remark}")
    if missing := left_out(station):
        names, most_cm = ", ".join(one.name for one in missing), sum(one.amplitude_m for one in missing) * 100.0
        says.append(
            f"yard.tide: constituents left out, their definition unknown: {names} (together {most_cm:.1f} cm at most)"
        )
    return says


def _of_sill(sill: Sill, keys: _Keys, table: Table) -> list[str]:
    draft_m = sill.needed_m - keys.clearance_m
    taken = "" if table.has("datum") else ", the station's chart datum"
    usual = "" if table.has("clearance") else " (none given)"
    side = "above" if sill.floor_m >= 0.0 else "below"
    return [
        f"yard.tide: she floats with {sill.needed_m:.2f} m over the sill: draft {draft_m:.2f} m and clearance "
        f"{keys.clearance_m:.2f} m{usual}; sill {abs(sill.floor_m):.2f} m {side} {sill.datum}{taken}"
    ]


# -- which lifts ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class _Tide:
    """The sill, and whose lifts go over it."""

    sill: Sill
    yard: Yard
    wishes: Wishes

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.yard.zone_name)

    def at(self, lift: LiftWater) -> str:
        return f"{said(lift.slot.astimezone(self.zone))} ({lift.least_m:.2f} m)"

    def floats(self, lift: LiftWater) -> bool:
        return lift.least_m >= self.sill.needed_m

    def high_waters(self) -> list[LiftWater]:
        """Lifts at high water in the yard's hours, from the earliest haul-out on."""
        start = self.wishes.earliest_haul.replace(minute=0, second=0, microsecond=0)
        grid = Grid(start=start, count=LOOK_AHEAD_DAYS * 96)
        day, minute = grid.local(self.zone)
        open_ = open_slots(self.yard.hours, self.yard.closed, day=day, minute=minute)
        whole = all_open(open_, lift_slots(self.yard.lift_h))
        lifts = high_water_lifts(self.sill, grid, lift_h=self.yard.lift_h)
        return [
            lift
            for lift in lifts
            if lift.slot >= self.wishes.earliest_haul and whole[grid.mark_at_or_before(lift.slot)]
        ]


def _chosen(table: Table, tide: _Tide, *, makes: bool, notes: list[str]) -> Yard:
    """The yard with only the slots that have the water; a problem when haul-out and launch cannot both."""
    listed = lifts_water(tide.sill, tide.yard.lift_slots, lift_h=tide.yard.lift_h)
    lifts = {lift.slot: lift for lift in (*(tide.high_waters() if makes else ()), *listed)}
    every = [lifts[slot] for slot in sorted(lifts)]
    ahead = [lift for lift in every if lift.slot >= tide.wishes.earliest_haul]
    floating = [lift for lift in ahead if tide.floats(lift)]
    if len(floating) < 2:
        _too_few(table, tide, ahead, makes=makes)
    if makes and floating:
        notes.append(f"yard.tide: lift slots made at high water in the yard's hours, {LOOK_AHEAD_DAYS} days ahead")
    notes += _left_out(tide, ahead)
    return replace(tide.yard, tidal=True, lift_slots=tuple(lift.slot for lift in every if tide.floats(lift)))


def _left_out(tide: _Tide, ahead: Sequence[LiftWater]) -> list[str]:
    dry = [lift for lift in ahead if not tide.floats(lift)]
    if not dry:
        return [f"yard.tide: all {len(ahead)} lift slots have the water"] if ahead else []
    head = f"yard.tide: {len(dry)} of {len(ahead)} lift slots left out for want of water over the sill"
    if len(dry) <= ENOUGH_NAMED:
        return [f"{head}: {', '.join(tide.at(lift) for lift in dry)}"]
    least, most = min(dry, key=lambda lift: lift.least_m), max(dry, key=lambda lift: lift.least_m)
    return [f"{head}: from {tide.at(least)} to {tide.at(most)}"]


def _too_few(table: Table, tide: _Tide, ahead: Sequence[LiftWater], *, makes: bool) -> None:
    """Note that too few lifts have the water, how near the best comes, and which would do."""
    floating = sum(tide.floats(lift) for lift in ahead)
    best = max(ahead, key=lambda lift: lift.least_m, default=None)
    kind = "lift slots on or after the earliest haul-out" + (", those made at high water included," if makes else "")
    found = f"{floating} of {len(ahead)} {kind} with enough water" + (f", the best {tide.at(best)}" if best else "")
    needed = f"{tide.sill.needed_m:.2f} m over the sill, draft and clearance, all through a lift"
    table.sheet.note(table.path, found=found, allowed=f"at least two with {needed}", advice=_advice(tide, makes=makes))


def _advice(tide: _Tide, *, makes: bool) -> str:
    check = "Check draft, clearance, sill and its datum."
    high = [lift for lift in tide.high_waters() if tide.floats(lift)]
    if makes or len(high) < 2:
        return f"No two high waters in the yard's hours of the next {LOOK_AHEAD_DAYS} days reach it. {check}"
    named = ", ".join(tide.at(lift) for lift in high[:3])
    return f'Ask the yard for a lift near high water ({named}), or write lifts = "{HIGH_WATER}". {check}'
