"""What is brought into a record from files: film readings, logger readings, photographs, visits. All or nothing, and
the log names each by its hash."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import get_args
from uuid import uuid4
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc
from boottop.base.errors import InputError, Problem
from boottop.base.quantities import parse
from boottop.files.film_csv import read_film_csv
from boottop.files.logger_csv import read_logger_csv
from boottop.files.loose_csv import ColumnMap, LooseTable, bracketed, in_short, mapped, number_in, read_loose
from boottop.files.photo_facts import look_at
from boottop.files.record_docs import (
    SOURCES,
    read_visits,
    remember_columns,
    remembered_columns,
    write_film,
    write_visits,
)
from boottop.job.check import event_problems
from boottop.job.events import Event, Json
from boottop.record.history import VISIT_WORDS, Visit, VisitKind, fouling_words
from boottop.record.record import Record
from boottop.record.years import advice_for_next
from boottop.store.documents import RECORD
from boottop.store.photos import PHOTO_BYTES_MAX
from boottop.web.api_photos import looks_like
from boottop.web.house import House
from boottop.web.record_desk import anchor

VISIT_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "date": ("date", "day", "when"),
    "kind": ("what", "kind", "visit"),
    "zone": ("zone", "side", "where"),
    "fouling": ("foul", "rating"),
    "film_sd": ("give or take", "sd", "doubt"),
    "film": ("film", "thickness", "dft"),
    "note": ("note", "remark"),
}
KINDS: Mapping[str, VisitKind] = {one.replace("_", " "): one for one in get_args(VisitKind)} | {
    words: kind for kind, words in VISIT_WORDS.items()
}
FILM_SD_SHARE = 0.05
DAY_S = 86_400
EVENTS_MAX = 3000


def _zone_names(house: House, job: str) -> list[str]:
    return [zone.name for zone in house.desk.ashore(job).hull.zones]


def _yard_zone(house: House, job: str) -> ZoneInfo:
    return ZoneInfo(house.desk.ashore(job).job.plan.yard.zone_name)


def _keep_source(house: House, job: str, file: tuple[str, bytes]) -> str:
    """Keep the file itself beside what was read from it; its SHA-256."""
    house.store.documents.put(job, file[1], kind=RECORD, name=f"{SOURCES}{file[0][:150]}", now=house.now())
    return hashlib.sha256(file[1]).hexdigest()


def take_film(house: House, job: str, file: tuple[str, bytes], *, given: ColumnMap, who: str) -> tuple[str, ...]:
    """Film readings of a gauge's file; the same name again takes the place of what it brought before."""
    name, content = file
    found = read_film_csv(
        content,
        name=name,
        zone_names=_zone_names(house, job),
        yard_zone=_yard_zone(house, job),
        given=given,
        remembered=lambda signature: remembered_columns(house.store, signature),
    )
    _keep_source(house, job, file)
    digest = write_film(house.store, job, found.readings, name=name[:150], now=house.now())
    remember_columns(house.store, job, signature=found.signature, mapping=found.mapping, now=house.now())
    words = f"Film readings brought in: {name}, {len(found.readings)} readings."
    anchor(house, job, words=words, sha256=digest, who=who)
    return (*found.notes, read_as(found.mapping))


def read_as(mapping: ColumnMap) -> str:
    """How a file was read, in a sentence."""
    columns = ", ".join(f"{field} from {column!r}" for field, column in mapping.columns.items())
    fixed = ", ".join(f"{name} {value}" for name, value in mapping.fixed.items())
    return (
        f"read as: {columns}{'; for the whole file: ' if fixed else ''}{fixed}; remembered for files with this header"
    )


def take_logger(house: House, job: str, file: tuple[str, bytes], *, given: ColumnMap, who: str) -> tuple[str, ...]:
    """Readings of a logger into the log of a job; rows that are there already stay as they are."""
    name, content = file
    found = read_logger_csv(
        content,
        name=name,
        yard_zone=_yard_zone(house, job),
        job=job,
        given=given,
        remembered=lambda signature: remembered_columns(house.store, signature),
    )
    events = _of_the_job(house, job, found.events, name=name)
    problems = [problem for event in events for problem in event_problems(event)]
    if problems:
        raise InputError(in_short(problems, name))
    digest = _keep_source(house, job, file)
    appended = house.store.append(job, events, now=house.now())
    appended.check()
    remember_columns(house.store, job, signature=found.signature, mapping=found.mapping, now=house.now())
    if appended.added:
        words = f"Logger brought in: {name}, {appended.added} readings."
        anchor(house, job, words=words, sha256=digest, who=who)
    return (
        *found.notes,
        read_as(found.mapping),
        f"{len(found.events) - len(events)} outside the job: in the file that is kept, not in the log",
        f"{appended.added} new in the log, {len(events) - appended.added} were there already",
    )


def _of_the_job(house: House, job: str, events: Sequence[Event], *, name: str) -> list[Event]:
    """Readings from two days before the haul-out until a day after the launch: a logger hangs there all year."""
    state = house.ledger.state(job)
    first_s = state.hauled_s - 2 * DAY_S if state.hauled_s is not None else None
    last_s = state.launched_s + DAY_S if state.launched_s is not None else None
    found = [
        one
        for one in events
        if (first_s is None or one.happened.timestamp() >= first_s)
        and (last_s is None or one.happened.timestamp() <= last_s)
    ]
    if not 0 < len(found) <= EVENTS_MAX:
        raise InputError(
            Problem(
                where=name,
                found=f"{len(found)} half hours with readings within the job, of {len(events)}",
                allowed=f"1 to {EVENTS_MAX}, from two days before the haul-out until a day after the launch",
                advice="Log the haul-out and the launch, or cut the file to the days of the job. Check its clock.",
            )
        )
    return found


def take_photos(
    house: House, job: str, files: Mapping[str, bytes], *, zone: str, who: str
) -> tuple[tuple[str, ...], tuple[Problem, ...]]:
    """Photographs into a job, each at the time of its own camera, else now; what is none is told and left alone."""
    names, taken, problems = _zone_names(house, job), [], []
    if zone and zone not in names:
        raise InputError(
            Problem(where="zone", found=repr(zone), allowed=", ".join(names), advice="Name a zone of this hull.")
        )
    for name, content in files.items():
        kind = looks_like(content)
        if kind is None or len(content) > PHOTO_BYTES_MAX:
            problems.append(_no_photo(name, content, kind))
            continue
        taken.append(_take_photo(house, job, (name, content, kind), zone=zone, who=who))
    return tuple(taken), tuple(problems)


def _no_photo(name: str, content: bytes, kind: str | None) -> Problem:
    if kind is None:
        return Problem(
            where=name,
            found="no picture of a kind that is kept, by its first bytes",
            allowed="JPEG, PNG, WebP, AVIF or HEIC, as the camera made it",
            advice="Look at the file; it was left where it is.",
        )
    return Problem(
        where=name,
        found=f"{len(content) / 1e6:.0f} MB",
        allowed=f"{PHOTO_BYTES_MAX / 1e6:.0f} MB at most",
        advice="Save it smaller; the file was left where it is.",
    )


def _take_photo(house: House, job: str, file: tuple[str, bytes, str], *, zone: str, who: str) -> str:
    name, content, kind = file
    seen = look_at(content, _yard_zone(house, job), named=kind)
    photo = house.store.photos.put(job, content, content_type=kind, now=house.now())
    now = house.job_now(job)
    taken = now if seen.camera_s is None else min(datetime.fromtimestamp(seen.camera_s, tz=UTC), now)
    data: dict[str, Json] = {"sha256": photo.sha256, "name": name[:120], "bytes": photo.size_bytes}
    event = Event(
        id=str(uuid4()), kind="photo", happened=taken, recorded=now, device="record", order=int(now.timestamp() * 1000),
        who=who, zone=zone or None, data=data,
    )  # fmt: skip
    if problems := event_problems(event):
        raise InputError(problems)
    house.store.append(job, [event], now=house.now()).check()
    when = f"{taken.astimezone(_yard_zone(house, job)):%Y-%m-%d %H:%M}"
    clock = "by its camera's clock" if seen.camera_s is not None else "its camera says no time: taken as now"
    hauled_s = house.ledger.state(job).hauled_s
    if hauled_s is not None and taken.timestamp() < hauled_s - DAY_S:
        clock += ", which is before she was hauled out: correct it in the log if the camera was wrong"
    return f"{name}: {seen.words}; {when}, {clock}"


def take_visits(house: House, job: str, file: tuple[str, bytes], *, who: str) -> tuple[str, ...]:
    """Visits of a CSV added to what was typed before; a visit that is there already is not doubled."""
    name, content = file
    table = read_loose(content, name=name, known=[word for words in VISIT_COLUMNS.values() for word in words])
    mapping = mapped(table, VISIT_COLUMNS, given=ColumnMap())
    found: list[Visit] = []
    problems: list[Problem] = []
    for row in range(len(table.rows)):
        try:
            found.append(_visit(table, mapping, row, zone_names=_zone_names(house, job), zone=_yard_zone(house, job)))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(in_short(problems, name))
    return (add_visits(house, job, found, who=who),)


def add_visits(house: House, job: str, visits: list[Visit], *, who: str) -> str:
    """Add visits to a job's own history, and say how many were new."""
    known = read_visits(house.store, job)
    new = [one for one in dict.fromkeys(visits) if one not in known]
    if new:
        digest = write_visits(house.store, job, [*known, *new], now=house.now())
        anchor(house, job, words=f"History: {len(new)} visits written down.", sha256=digest, who=who)
    return f"{len(new)} visits added, {len(visits) - len(new)} were there already"


def _visit(table: LooseTable, mapping: ColumnMap, row: int, *, zone_names: list[str], zone: ZoneInfo) -> Visit:
    where = f"{table.name} line {table.lines[row]}"

    def cell(field: str) -> str:
        column = mapping.columns.get(field)
        return "" if column is None else number_in(table.rows[row][table.header.index(column)], table).strip()

    def film(field: str) -> float | None:
        text = cell(field)
        if text and text.replace(".", "", 1).isdigit():
            text = f"{text} {bracketed(mapping.columns[field])}"
        return parse(text, "film", where=f"{where}, {field}") if text else None

    words = {field: cell(field) for field in ("date", "kind", "zone", "fouling", "note")}
    return made_visit(words, where, film_um=film("film"), film_sd_um=film("film_sd"), place=(zone_names, zone))


def made_visit(
    words: Mapping[str, str],
    where: str,
    *,
    film_um: float | None,
    film_sd_um: float | None,
    place: tuple[list[str], ZoneInfo],
) -> Visit:
    """A visit from words as typed; InputError with what is wrong. `place`: zones of the hull and the yard's clock.

    A film without its doubt is taken to 5 % (common practice, no source).
    """
    zone_names, zone = place
    kind = KINDS.get(words.get("kind", "").casefold())
    problems = []
    if kind is None:
        problems.append(Problem(where=f"{where}, what", found=repr(words.get("kind", "")), allowed=", ".join(KINDS),
                                advice="Choose one of these."))  # fmt: skip
    named = words.get("zone", "")
    if named and named not in zone_names and named != "whole boat":
        problems.append(Problem(where=f"{where}, zone", found=repr(named), allowed=", ".join(zone_names),
                                advice="Name a zone of this hull, or leave it empty for the whole boat."))  # fmt: skip
    try:
        at_s = int(to_utc(datetime.fromisoformat(words.get("date", "")), zone, where=where).timestamp())
    except ValueError:
        at_s = 0
        problems.append(Problem(where=f"{where}, date", found=repr(words.get("date", "")), allowed="such as 2024-05-07",
                                advice="Write year, month, day."))  # fmt: skip
    rating = words.get("fouling", "")
    if rating and not (rating.isdigit() and int(rating) <= 100):
        problems.append(Problem(where=f"{where}, fouling", found=repr(rating), allowed="0 to 100",
                                advice="Compare with the scale."))  # fmt: skip
    if problems or kind is None:
        raise InputError(problems)
    if film_um is not None and film_sd_um is None:
        film_sd_um = FILM_SD_SHARE * film_um
    return Visit(
        at_s=at_s, kind=kind, zone=named if named in zone_names else None, fouling=int(rating) if rating else None,
        film_um=film_um, film_sd_um=film_sd_um, note=words.get("note", ""),
    )  # fmt: skip


def history_lines(record: Record) -> Iterator[str]:
    """The years of a boat as lines of text."""
    zone = ZoneInfo(record.boat.zone_name)

    def day(at_s: int | None) -> str:
        return "no end seen" if at_s is None else f"{datetime.fromtimestamp(at_s, tz=zone):%Y-%m-%d}"

    yield f"{record.boat.name}: {len(record.history)} visits"
    for one in record.history:
        parts = [day(one.at_s), VISIT_WORDS[one.kind], one.zone or "whole boat"]
        if one.fouling is not None:
            parts.append(f"fouling {one.fouling} ({fouling_words(one.fouling)})")
        if one.film_um is not None:
            parts.append(f"film {one.film_um:.0f} um, give or take {one.film_sd_um or 0.0:.0f}")
        yield "  " + ", ".join([*parts, *([one.note] if one.note else [])])
    for wear in record.wear:
        rate = f"{wear.rate_um:.1f} um a year, give or take {wear.rate_sd_um:.1f}"
        due = f"due {day(wear.due_s)}, between {day(wear.due_early_s)} and {day(wear.due_late_s)}"
        yield f"{wear.zone}: wears {rate}; {due} ({wear.words})"
    if record.last_time:
        yield "bare spots from last time:"
        yield from (f"  {line}" for line in advice_for_next(record.last_time))
    yield record.fouling_source
