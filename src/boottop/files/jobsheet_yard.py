"""The job sheet's sections on the yard and the hands: [yard], [crew], [hire], [order]."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any, get_args
from zoneinfo import ZoneInfo, available_timezones

from boottop.base.clock import SLOT_S, zone_info
from boottop.base.errors import InputError
from boottop.climate.weather import Cover, Ground, Site
from boottop.coating.facts import CrewFacts
from boottop.files.job import Boat
from boottop.files.jobsheet_table import REQUIRED, Span, Table, local_day, local_instant, local_time, nearest, refuse
from boottop.files.jobsheet_tide import makes_slots
from boottop.files.jobsheet_words import coordinate, heading, hours_of, week, weekdays
from boottop.files.places import BORDER_KM, Place, zone_name_at
from boottop.plan.inputs import Crew, Hire, Hours, Wishes, Yard
from boottop.plan.tasks import WORK_KEYS

LONGEST_PATTERN_DAYS = 400
_PEOPLE = Span(low=1, high=50)
_TASK_TIME = Span(low=0.0, high=240.0)
_SOME_TIME = Span(low=0.0, high=72.0, above=True)
_RATE = Span(low=0.0, high=200.0, above=True)
_OUTDOORS = Span(low=-10.0, high=45.0)
_PART = Span(low=0.1, high=1.0)
_CHANCE = Span(low=0.5, high=0.999)


def yard_zone(root: Table) -> ZoneInfo:
    """The yard's time zone, needed before any time can be read; UTC stands in when it is wrong."""
    section = root.data.get("yard")
    if not isinstance(section, dict):
        return ZoneInfo("UTC")
    try:
        if "time_zone" in section:
            name = section["time_zone"]
            return zone_info(name if isinstance(name, str) else "", where="")
        latitude = coordinate(section.get("latitude"), "", letters="NS")
        longitude = coordinate(section.get("longitude"), "", letters="EW")
        return zone_info(zone_name_at(Place(latitude_deg=latitude, longitude_deg=longitude), where="").name, where="")
    except InputError:
        return ZoneInfo("UTC")


def read_yard(root: Table, zone: ZoneInfo, currency: str, *, hull_absorptance: float) -> tuple[Yard, Site, list[str]]:
    """[yard]: its terms, the place, and notes."""
    table = root.table("yard")
    notes: list[str] = []
    site = _site(table, hull_absorptance, notes)
    closed = _closed(table)
    yard = Yard(
        name=table.text("name"),
        zone_name=site.zone_name,
        hours=read_hours(table, "hours"),
        closed=closed,
        lift_slots=_lift_slots(table, zone, closed, notes=notes),
        lift_h=table.quantity("lift_time", "duration", _SOME_TIME, default=1.0),
        lift_charge_minor=table.money("lift_charge", currency),
        stand_move_h=table.quantity("stand_move_time", "duration", _SOME_TIME, default=1.0),
        stand_lead_h=table.quantity("stand_notice", "duration", Span(low=0.0, high=336.0), default=0.0),
        day_charge_minor=table.money("day_charge", currency),
        wash_h=table.quantity("wash_time", "duration", _SOME_TIME, default=1.5),
        sanding_allowed=table.flag("sanding_allowed", default=True),
    )
    table.close()
    return yard, site, notes


def _site(table: Table, hull_absorptance: float, notes: list[str]) -> Site:
    if not table.has("shelter"):
        notes.append(f"yard.shelter not given: wind at the hull taken as {Site.shelter:.0%} of the open wind")
    place = Place(
        latitude_deg=table.read("latitude", partial(coordinate, letters="NS"), REQUIRED, fallback=0.0),
        longitude_deg=table.read("longitude", partial(coordinate, letters="EW"), REQUIRED, fallback=0.0),
    )
    return Site(
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        elevation_m=table.quantity("elevation", "length", Span(low=-50.0, high=5000.0), default=3.0),
        zone_name=_site_zone(table, place, notes),
        bow_deg=table.read("bow", heading, REQUIRED, fallback=0.0),
        ground=table.choice("ground", get_args(Ground), default=Site.ground),
        cover=table.choice("cover", get_args(Cover), default=Site.cover),
        shelter=table.quantity("shelter", "fraction", Span(low=0.05, high=1.0), default=Site.shelter),
        cabin_closed=table.flag("cabin_closed", default=Site.cabin_closed),
        hull_absorptance=hull_absorptance,
    )


def _site_zone(table: Table, place: Place, notes: list[str]) -> str:
    """The time zone typed, or else the one found from the coordinates, with a note that says so."""
    if table.has("time_zone"):
        named: str = table.read("time_zone", _zone_name, REQUIRED, fallback="UTC")
        return named
    if table.absent or not table.ok("latitude", "longitude"):
        return "UTC"
    try:
        found = zone_name_at(place, where=table.where("time_zone"))
    except InputError as error:
        table.sheet.add((*table.path, "time_zone"), error.problems)
        return "UTC"
    notes.append(f"yard.time_zone not given: {found.name}, found from the coordinates")
    if found.near:
        notes.append(
            f"yard.time_zone: a border of time zones is within {BORDER_KM:.0f} km ({', '.join(found.near)}): "
            "write the one the yard keeps"
        )
    return found.name


def _zone_name(value: Any, where: str) -> str:
    try:
        return zone_info(value if isinstance(value, str) else "", where=where).key
    except InputError:
        hint = nearest(value, available_timezones()) if isinstance(value, str) else ""
        allowed = 'an IANA time zone such as "Europe/Lisbon"'
        raise refuse(where, value, allowed=allowed, advice=hint or "Write continent/city.") from None


def read_hours(table: Table, key: str) -> tuple[Hours, ...]:
    """Hours of a week: one text, or a list of texts."""
    if not table.has(key):
        table.read(key, hours_of, REQUIRED, fallback=())
        return ()
    value = table.data[key]
    lines = table.each(key, [value] if isinstance(value, str) else value, hours_of)
    if not table.ok(key):
        return ()
    if not lines:
        table.note(key, found="an empty list", allowed="at least one weekday", advice='Write "Mon-Fri 08:00-17:00".')
    return table.read(key, lambda _, where: week(lines, where), (), fallback=())


def _closed(table: Table) -> tuple[date, ...]:
    values = table.data["closed"] if table.has("closed") else []
    return tuple(sorted(set(table.each("closed", values, local_day))))


def _lift_slots(table: Table, zone: ZoneInfo, closed: tuple[date, ...], *, notes: list[str]) -> tuple[datetime, ...]:
    """All times the crane can take the boat, in order: those listed and those of the weekly patterns."""
    values = table.data["lift_slots"] if table.has("lift_slots") else []
    slots = set(table.each("lift_slots", values, lambda value, where: _on_the_quarter(value, zone, where)))
    for slot in sorted(slots):
        if slot.astimezone(zone).date() in closed:
            when = f"{slot.astimezone(zone):%Y-%m-%d %H:%M}"
            notes.append(f"yard.lift_slots: {when} lies on a day the yard is closed, and is left out")
            slots.discard(slot)
    for pattern in table.tables("lift_pattern"):
        slots |= _expanded(pattern, zone, closed)
    enough = makes_slots(table) or len(slots) >= 2
    if not enough and table.ok("lift_slots", "lift_pattern") and not table.absent:
        table.note(
            "lift_slots",
            found=f"{len(slots)} lift slots",
            allowed="at least two: one to haul out, one to launch",
            advice="List the crane's free times, or describe them with [[yard.lift_pattern]] or [yard.tide].",
        )
    return tuple(sorted(slots))


def _on_the_quarter(value: Any, zone: ZoneInfo, where: str) -> datetime:
    slot = local_instant(value, zone, where)
    if slot.timestamp() % SLOT_S:
        advice = "Write the quarter of an hour at which the boat must be ready."
        raise refuse(where, value, allowed="a full quarter of an hour", advice=advice)
    return slot


def _expanded(pattern: Table, zone: ZoneInfo, closed: tuple[date, ...]) -> set[datetime]:
    """Every lift slot of one weekly pattern; days on which the yard is closed are left out."""
    days = pattern.read("days", weekdays, REQUIRED, fallback=())
    times = pattern.each("times", pattern.data["times"], local_time) if pattern.has("times") else []
    if not times and pattern.ok("times"):
        pattern.note("times", found="nothing", allowed="at least one time", advice='Write times = ["08:00", "13:00"].')
    first, last = pattern.day("from"), pattern.day("to")
    slots: set[datetime] = set()
    if first is not None and last is not None:
        if not 0 <= (last - first).days <= LONGEST_PATTERN_DAYS:
            allowed = f"from {first} to at most {LONGEST_PATTERN_DAYS} days later"
            pattern.note("to", found=str(last), allowed=allowed, advice="Check the two dates.")
            last = first
        every = [first + timedelta(days=step) for step in range((last - first).days + 1)]
        open_days = [day for day in every if day.weekday() in days and day not in closed]
        slots = _in_utc(pattern, [datetime.combine(day, hour) for day in open_days for hour in times], zone)
    pattern.close()
    return slots


def _in_utc(pattern: Table, walls: Iterable[datetime], zone: ZoneInfo) -> set[datetime]:
    slots: set[datetime] = set()
    for wall in walls:
        try:
            slots.add(_on_the_quarter(wall, zone, pattern.where("times")))
        except InputError as error:
            pattern.sheet.add((*pattern.path, "times"), error.problems)
    return slots


def read_crew(root: Table, currency: str) -> Crew:
    """[crew]: hands, hours, rates of work."""
    table = root.table("crew")
    crew = Crew(
        people=table.whole("people", _PEOPLE),
        hours=read_hours(table, "hours"),
        rates_m2_h=_by_work(table.table("rates"), "rate", _RATE),
        fixed_h=_by_work(table.table_or_none("set_up"), "duration", _TASK_TIME),
        hour_cost_minor=table.money("hour_cost", currency, default=0),
    )
    for key in ("applicators", "cleaner"):
        table.has(key)
    table.close()
    return crew


def _by_work(table: Table | None, kind: str, span: Span) -> dict[str, float]:
    """A quantity for each kind of work that is named."""
    if table is None:
        return {}
    found = {key: table.quantity(key, kind, span) for key in WORK_KEYS if table.has(key)}
    table.close()
    return found


def need_work(root: Table, crew: Crew, needed: Iterable[str]) -> None:
    """Note every kind of work that the job needs and the crew says nothing of; rolling needs a rate."""
    table = root.table("crew")
    if not table.ok("rates", "set_up"):
        return
    rates = Table(sheet=table.sheet, path=("crew", "rates"), data=crew.rates_m2_h)
    for key in needed:
        if key not in crew.rates_m2_h and (key == "roll" or key not in crew.fixed_h):
            rates.note(
                key,
                found="nothing",
                allowed=f"a rate of work for {key!r}" + ("" if key == "roll" else ", or a time in [crew.set_up]"),
                advice=f'Add {key} = "12 m2/h" (per person) to [crew.rates].',
            )


def read_hire(root: Table, zone: ZoneInfo, currency: str) -> Hire:
    """[hire.tent] and [hire.helper]: what may be hired if it pays; without the section, nothing."""
    table = root.table_or_none("hire")
    if table is None:
        return Hire()
    tent, helper = table.table_or_none("tent"), table.table_or_none("helper")
    table.close()
    offers: dict[str, Any] = {}
    if tent is not None:
        offers |= _tent(tent, zone, currency)
    if helper is not None:
        offers["helper_people"] = helper.whole("people", _PEOPLE, default=1)
        offers["helper_cost_minor"] = helper.money("cost", currency)
        helper.close()
    return Hire(**offers)


def _tent(tent: Table, zone: ZoneInfo, currency: str) -> dict[str, Any]:
    start, end = tent.instant("from", zone), tent.instant("to", zone)
    if start is not None and end is not None and end <= start:
        tent.note("to", found=f"{end:%Y-%m-%d %H:%M} UTC", allowed="a time after hire.tent.from", advice="Swap them?")
    cost = tent.money("cost", currency)
    tent.close()
    return {"tent_from": start, "tent_to": end, "tent_cost_minor": cost}


def read_coating_facts(root: Table, crew: Crew, boat: Boat, *, strip: bool, barrier_sound: bool) -> CrewFacts:
    """What the take-off must know: [order], and the crew's hands and habits."""
    hands, table = root.table("crew"), root.table_or_none("order")
    if table is None:
        table = Table(sheet=root.sheet, path=("order",), data={})
    batch_c = table.quantity("material_temperature", "temperature", _OUTDOORS, default=18.0)
    facts = CrewFacts(
        people=crew.people,
        applicators=hands.whole("applicators", Span(low=1, high=crew.people), default=crew.people),
        roll_m2_h=crew.rates_m2_h.get("roll", 1.0),
        working_day_h=longest_day_h(crew.hours),
        batch_c=batch_c,
        surface_c=table.quantity("surface_temperature", "temperature", _OUTDOORS, default=batch_c),
        usable_pot_life=table.quantity("usable_pot_life", "fraction", _PART, default=CrewFacts.usable_pot_life),
        confidence=table.quantity("confidence", "fraction", _CHANCE, default=CrewFacts.confidence),
        cleaner=hands.text("cleaner") if hands.has("cleaner") else None,
        barrier_sound=barrier_sound,
        strip=strip,
        waterline_length_m=boat.waterline_length_m,
    )
    table.close()
    return facts


def longest_day_h(hours: Iterable[Hours]) -> float:
    """Working hours of the longest day of the week."""
    by_day = [0.0] * 7
    for span in hours:
        closes = span.closes.hour + span.closes.minute / 60.0 or 24.0
        by_day[span.weekday] += closes - span.opens.hour - span.opens.minute / 60.0
    return max(by_day)


def check_lifts(root: Table, yard: Yard, wishes: Wishes) -> None:
    """Note a crane that cannot both haul out and launch after the earliest haul-out."""
    sheet = root.sheet
    if not (sheet.ok(("job", "earliest_haul_out")) and sheet.ok(("yard",)) and "yard" in root.data):
        return
    usable = [slot for slot in yard.lift_slots if slot >= wishes.earliest_haul]
    if len(usable) < 2:
        sheet.note(
            ("yard", "lift_slots"),
            found=f"{len(usable)} of {len(yard.lift_slots)} lift slots on or after the earliest haul-out",
            allowed="at least two: one to haul out, one to launch",
            advice="Check job.earliest_haul_out and the dates of the lift slots.",
        )
