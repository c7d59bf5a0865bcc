"""The job sheet's sections on the work: [job], [[coatings]], [[extra_jobs]]."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import get_args
from zoneinfo import ZoneInfo

from boottop.base.errors import InputError, Problem
from boottop.base.money import check_currency
from boottop.base.quantities import shown
from boottop.coating.sheet import CoatingKind, ProductSheet, Role, System
from boottop.files.jobsheet_table import REQUIRED, Span, Table, refuse
from boottop.files.jobsheet_text import BESIDE
from boottop.files.product import BUILT_IN, load_sheet
from boottop.measure.checks import GEAR, PORT, SLINGS, SOLE, STARBOARD
from boottop.measure.inputs import HullMeasure
from boottop.plan.inputs import ExtraJob, FirstSide, SidesRule, Wishes
from boottop.plan.tasks import TASK_KINDS

ROLES: Mapping[CoatingKind, tuple[Role, ...]] = {
    "copper_epoxy": ("antifouling",),
    "eroding_antifouling": ("antifouling",),
    "barrier_epoxy": ("barrier", "primer"),
    "primer": ("primer", "barrier"),
}
_PRODUCT = "a product sheet (.toml) that lies with the job sheet, or a demonstration sheet by its name"
_LOSS = Span(low=0.0, high=0.6)
_LONG = Span(low=0.0, high=2000.0)
_LONGEST_AHEAD_DAYS = 400


@dataclass(frozen=True, kw_only=True)
class JobSection:
    """[job]: what to call it, its money, its wishes, its weather file and how that is read."""

    name: str
    currency: str
    wishes: Wishes
    weather: Path | None
    weather_station: str | None
    weather_dry: bool
    notes: tuple[str, ...]


def read_currency(root: Table) -> str:
    """The job's currency, needed before any amount can be read; its errors are told by `read_job`."""
    section = root.data.get("job")
    code = section.get("currency") if isinstance(section, dict) else None
    try:
        return check_currency(code, where="")
    except InputError:
        return "EUR"


def read_job(root: Table, zone: ZoneInfo, currency: str) -> JobSection:
    """[job]."""
    table = root.table("job")
    wanted = table.day("wanted_launch", None)
    wishes = Wishes(
        earliest_haul=table.instant("earliest_haul_out", zone) or datetime(2000, 1, 1, tzinfo=UTC),
        wanted_launch=wanted,
        late_day_minor=table.money("late_day_cost", currency, default=0),
        strip=table.flag("strip"),
        dry_h=table.quantity("dry_time", "duration", _LONG, default=0.0),
        sides=table.choice("sides", get_args(SidesRule), default="either"),
        first_side=table.choice("first_side", get_args(FirstSide), default="either"),
        caution=table.quantity("caution", "fraction", Span(low=0.5, high=0.95), default=Wishes.caution),
    )
    if wanted is None and table.ok("wanted_launch"):
        notes = ["job.wanted_launch not given: no day is late, the cheapest and then the earliest launch is sought"]
    else:
        notes = []
        _check_dates(table, wishes, zone)
    section = JobSection(
        name=table.text("name"),
        currency=table.read(
            "currency", lambda value, where: check_currency(value, where=where), REQUIRED, fallback="?"
        ),
        wishes=wishes,
        weather=_weather(table),
        weather_station=table.text("weather_station") if table.has("weather_station") else None,
        weather_dry=table.flag("weather_dry", default=False),
        notes=(*notes, *_without_file(table), *table.names("notes")),
    )
    table.close()
    return section


def _currency(value: object, where: str) -> str:
    return check_currency(value, where=where)


def _check_dates(table: Table, wishes: Wishes, zone: ZoneInfo) -> None:
    wanted = wishes.wanted_launch
    if wanted is None or not table.ok("wanted_launch", "earliest_haul_out"):
        return
    earliest = wishes.earliest_haul.astimezone(zone).date()
    if not 0 < (wanted - earliest).days <= _LONGEST_AHEAD_DAYS:
        table.note(
            "wanted_launch",
            found=str(wanted),
            allowed=f"a day after the earliest haul-out, {earliest}, and within {_LONGEST_AHEAD_DAYS} days of it",
            advice="Check both dates, and their years.",
        )


def _weather(table: Table) -> Path | None:
    """The weather file, beside the sheet unless its path is absolute; it is not opened here."""
    if not table.has("weather"):
        return None
    name = table.text("weather")
    return table.sheet.file.path.parent / name if table.ok("weather") else None


def _without_file(table: Table) -> Iterator[str]:
    """What the sheet says of a weather file that it does not name."""
    if not table.has("weather"):
        for key in ("weather_station", "weather_dry"):
            if table.has(key):
                yield f"job.{key} is not used: the sheet names no weather file"


def read_coatings(root: Table, currency: str, measure: HullMeasure) -> tuple[System, ...]:
    """[[coatings]]: every product with its sheet; at least one antifouling."""
    tables = root.tables("coatings")
    systems = [system for table in tables if (system := _coating(table, currency, zone_names(measure)))]
    if root.ok("coatings") and not any(system.role == "antifouling" for system in systems):
        root.note(
            "coatings",
            found="no antifouling" if systems else "nothing",
            allowed="at least one antifouling",
            advice=f'Add [[coatings]] with sheet = "{BUILT_IN[0]}", or the path of your own product sheet.',
        )
    by_name: dict[str, ProductSheet] = {}
    for number, system in enumerate(systems):
        known = by_name.setdefault(system.sheet.name, system.sheet)
        if known != system.sheet:
            root.sheet.note(
                ("coatings", number, "sheet"),
                found=f"another sheet by the name of {known.name!r}",
                allowed="a name of its own for every product sheet",
                advice="Change `name` in one of the product sheets.",
            )
    return tuple(systems)


def zone_names(measure: HullMeasure) -> tuple[str, ...]:
    """Names of the zones that this hull can have."""
    pads = sorted({f"pads {hidden.stand_set}" for hidden in measure.hidden if hidden.kind == "pads"})
    slings = [SLINGS] if any(hidden.kind == "slings" for hidden in measure.hidden) else []
    drawn = measure.mesh.drawn_zones if measure.mesh is not None else ()
    return (PORT, STARBOARD, GEAR, *pads, SOLE, *slings, *drawn, *(zone.name for zone in measure.named_zones))


def _coating(table: Table, currency: str, zones: Iterable[str]) -> System | None:
    """One product as used here; None when its sheet could not be read (which has been told)."""
    sheet = table.read("sheet", partial(_product, folder=table.sheet.file.path.parent), REQUIRED, fallback=None)
    roles = ROLES[sheet.kind] if sheet else get_args(Role)
    role = table.choice("role", roles, default=roles[0])
    coats = table.whole("coats", Span(low=1, high=12), default=sheet.coats if sheet else 1)
    loss = table.quantity("loss", "fraction", _LOSS)
    price = table.money("kit_price", currency) if table.has("kit_price") else None
    readable = all(table.sheet.ok(path) for path in (("zones",), ("hidden",), ("measure", "hull_file")))
    named = table.names("zones", zones if readable else None)
    table.close()
    if sheet is None:
        return None
    return System(sheet=sheet, role=role, coats=coats, loss_fraction=loss, kit_price_minor=price, zones=named)


def _product(value: object, where: str, *, folder: Path) -> ProductSheet | None:
    """The product sheet that a coating names; a path is taken from the folder of the job sheet."""
    if not isinstance(value, str):
        raise refuse(
            where, value, allowed='a product sheet, such as "coatings/mine.toml"', advice="Write it in quotes."
        )
    if value in BUILT_IN or not value.endswith(".toml"):
        return load_sheet(value, label=where)
    if not os.path.exists(folder / value):
        raise InputError(Problem(where=where, found=f"{shown(value)}, no such file", allowed=_PRODUCT, advice=BESIDE))
    return load_sheet(folder / value, label=value)


def read_extra_jobs(root: Table) -> tuple[ExtraJob, ...]:
    """[[extra_jobs]], in an order without circles."""
    tables = root.tables("extra_jobs")
    names = [name for table in tables if isinstance(name := table.data.get("name"), str)]
    known = (*(kind for kind in TASK_KINDS if kind != "extra"), *names)
    jobs = [_extra_job(table, known) for table in tables]
    seen: set[str] = set()
    for table, job in zip(tables, jobs, strict=True):
        if table.ok("name") and job.name in {*seen, *TASK_KINDS}:
            advice = "Call it something else: after and before refer to it by name."
            table.note("name", found=repr(job.name), allowed="a name that is not in use", advice=advice)
        seen.add(job.name)
    if root.ok("extra_jobs"):
        _refuse_circle(root, jobs)
    return tuple(jobs)


def _extra_job(table: Table, known: Iterable[str]) -> ExtraJob:
    job = ExtraJob(
        name=table.text("name"),
        duration_h=table.quantity("duration", "duration", Span(low=0.0, high=1000.0, above=True)),
        people=table.whole("people", Span(low=1, high=50), default=1),
        after=table.names("after", known),
        before=table.names("before", known),
        dry_weather=table.flag("dry_weather", default=False),
    )
    table.close()
    return job


def _refuse_circle(root: Table, jobs: Iterable[ExtraJob]) -> None:
    """Note extra jobs that wait for each other in a circle."""
    names = {job.name for job in jobs}
    order: TopologicalSorter[str] = TopologicalSorter()
    for job in jobs:
        order.add(job.name, *(name for name in job.after if name in names))
        for name in job.before:
            if name in names:
                order.add(name, job.name)
    try:
        order.prepare()
    except CycleError as error:
        circle = " after ".join(f"{name!r}" for name in reversed(error.args[1]))
        root.note(
            "extra_jobs",
            found=f"a circle: {circle}",
            allowed="jobs that do not wait for each other in a circle",
            advice="Take one after or before out.",
        )


def check_hands(root: Table, hands: int, jobs: Iterable[ExtraJob]) -> None:
    """Note extra jobs that want more people than the crew and a hired helper are."""
    for number, job in enumerate(jobs):
        told = not all(root.sheet.ok(path) for path in (("extra_jobs", number), ("crew", "people"), ("hire",)))
        if job.people > hands and not told:
            root.sheet.note(
                ("extra_jobs", number, "people"),
                found=str(job.people),
                allowed=f"at most {hands}, the crew and a hired helper",
                advice="Ask for fewer people, or have a helper on offer.",
            )
