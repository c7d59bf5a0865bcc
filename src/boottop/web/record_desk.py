"""From a job of the store to its record: log, papers, boards, photographs and the boat's other jobs put together."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from boottop import __version__
from boottop.base.errors import InputError, Problem
from boottop.files.photo_facts import PhotoSeen, clock_words, look_at
from boottop.files.record_docs import read_facts, read_film, read_visits
from boottop.job.board import BoardTable
from boottop.job.coding import table_of
from boottop.job.events import Event
from boottop.job.settle import ms, settle
from boottop.job.state import State
from boottop.record.bare import bare_spots
from boottop.record.facts import BareSpot, BoatPapers, ChainEnd, PhotoFact
from boottop.record.film import film_readings, zone_films
from boottop.record.history import Visit
from boottop.record.record import Record, RecordInput, make_record
from boottop.record.years import advice_for_next, same_boat, visits_of
from boottop.store.jobs import Job as StoredJob
from boottop.store.photos import Photo
from boottop.store.store import Store
from boottop.web.desk import BOARD_KIND, BOARD_NAME
from boottop.web.house import House
from boottop.workflow import Ashore

TABLES_MAX = 5


def find_job(store: Store, name: str) -> StoredJob:
    """A job by its id, its name, or a part of the name that only one has; InputError listing what there is."""
    jobs = store.jobs.all()
    exact = [one for one in jobs if name in (one.id, one.name)]
    part = [one for one in jobs if name and (name.casefold() in one.name.casefold() or one.id.startswith(name))]
    found = exact or part
    if len(found) == 1:
        return found[0]
    which = "no job of that name or id" if not found else f"{len(found)} jobs of that name"
    raise InputError(
        Problem(
            where=f"job {name!r}",
            found=which,
            allowed="; ".join(f"{one.name} ({one.id[:8]})" for one in jobs[:20]) or "a store with a job in it",
            advice="Name one of these, or its id; make jobs on the page of boottop serve, or boottop import one.",
        )
    )


def record_of(house: House, job: str) -> Record:
    """The record of a job as it stands now."""
    return make_record(record_input(house, job))


def record_input(house: House, job: str) -> RecordInput:
    """All that the record of a job is made from."""
    store, ashore = house.store, house.desk.ashore(job)
    events = [one.event for one in house.ledger.events(job)]
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    return RecordInput(
        boat=boat_papers(ashore),
        hull=ashore.hull,
        hidden=ashore.job.hull.hidden,
        systems=ashore.job.plan.systems,
        tables=tables_of(house, job),
        events=events,
        chain=chain_end(store, job),
        made_s=int(house.job_now(job).timestamp()),
        version=__version__,
        film=read_film(store, job),
        photos=tuple(photo_facts(store, job, events, zone)),
        facts=read_facts(store, job),
        last_time=last_time(house, job),
        history=history_of(house, job),
    )


def boat_papers(ashore: Ashore) -> BoatPapers:
    """Boat and yard as the sheet has them."""
    job, boat = ashore.job, ashore.job.boat
    return BoatPapers(
        name=boat.name,
        length_m=boat.length_m,
        waterline_m=boat.waterline_length_m,
        beam_m=boat.beam_m,
        draft_m=boat.draft_m,
        displacement_kg=boat.displacement_kg,
        yard=job.plan.yard.name,
        zone_name=job.plan.yard.zone_name,
        job=job.plan.job_name,
        people=job.plan.crew.people,
        notes=job.notes,
    )


def tables_of(house: House, job: str) -> tuple[BoardTable, ...]:
    """The newest boards of a job, newest first; those of another version of boottop are passed over."""
    found: list[BoardTable] = []
    for version in reversed(house.store.documents.versions(job, kind=BOARD_KIND, name=BOARD_NAME)):
        if len(found) == TABLES_MAX:
            break
        kept = house.store.documents.get(job, kind=BOARD_KIND, name=BOARD_NAME, version=version.version)
        try:
            content: Any = json.loads(kept.text)
            found.append(table_of(content["table"]))
        except (KeyError, TypeError, ValueError):
            continue
    return tuple(found)


def chain_end(store: Store, job: str) -> ChainEnd:
    """The end of a job's log, with what is wrong with the log."""
    kept = store.jobs.get(job)
    return ChainEnd(events=kept.events, head=kept.head, faults=tuple(store.verify_chain(job)))


def photo_facts(store: Store, job: str, events: Sequence[Event], zone: ZoneInfo) -> Iterator[PhotoFact]:  # noqa: PLR0917 - as they are found
    """Every photograph that the log names, in order of time."""
    kept = {one.sha256: one for one in store.photos.all(job)}
    for event in settle(events).events:
        if event.kind != "photo":
            continue
        digest, taken_s = str(event.data.get("sha256")), ms(event.happened) // 1000
        photo, camera_s, shown = kept.get(digest), None, False
        if photo is None:
            words = "not arrived yet: it is still on the phone that took it"
        else:
            seen = _seen(store, photo, zone)
            words, camera_s, shown = seen.words, seen.camera_s, seen.shown
        size = photo.size_bytes if photo else event.data.get("bytes")
        yield PhotoFact(
            sha256=digest,
            name=str(event.data.get("name") or digest[:16]),
            taken_s=taken_s,
            zone=event.zone,
            who=event.who,
            size_bytes=int(size) if isinstance(size, int | float) else 0,
            words=words,
            shown=shown,
            camera_s=camera_s,
            clock_words=clock_words(taken_s, camera_s),
        )


_LOOKED_AT: dict[tuple[str, int, int, str], PhotoSeen] = {}
"""What photographs were found to be, by hash, size, time of change and zone: a page shows a hundred of them."""


def _seen(store: Store, photo: Photo, zone: ZoneInfo) -> PhotoSeen:
    """What a photograph is; looked at again only when its file has changed."""
    try:
        kept = (store.photos.folder or Path()).joinpath(photo.path).stat()
        key = (photo.sha256, kept.st_size, kept.st_mtime_ns, zone.key)
        if key not in _LOOKED_AT:
            _LOOKED_AT[key] = look_at(store.photos.read(photo), zone, named=photo.content_type)
        return _LOOKED_AT[key]
    except (InputError, OSError) as error:
        found = error.problems[0].found if isinstance(error, InputError) else "its file cannot be read"
        return PhotoSeen(words=found, shown=False, camera_s=None)


def jobs_of_boat(house: House, job: str) -> list[StoredJob]:
    """Every job of the store that is of the same boat as this one, itself too; the newest first."""
    name = house.desk.ashore(job).job.boat.name
    return [one for one in house.store.jobs.all() if one.id == job or _is_of(house, one.id, name)]


def _is_of(house: House, job: str, name: str) -> bool:
    try:
        return same_boat(house.desk.ashore(job).job.boat.name, name)
    except InputError:
        return False


def history_of(house: House, job: str) -> tuple[Visit, ...]:
    """The years of the boat: what was typed in any of her jobs, and what their logs tell."""
    found: list[Visit] = []
    for one in jobs_of_boat(house, job):
        ashore = house.desk.ashore(one.id)
        state = house.ledger.state(one.id)
        readings = film_readings(state, read_film(house.store, one.id))
        films = zone_films(ashore.hull, ashore.job.plan.systems, state=state, readings=readings)
        found += visits_of(state, films, job=one.name)
        found += [Visit(**{**vars(visit), "job": one.name}) for visit in read_visits(house.store, one.id)]
    return tuple(sorted(found, key=lambda visit: (visit.at_s, visit.zone or "", visit.kind)))


def last_time(house: House, job: str) -> tuple[BareSpot, ...]:
    """Bare spots of the boat's job before this one: the newest that was over before this one began."""
    begins_s = house.ledger.state(job).hauled_s
    before = []
    for one in jobs_of_boat(house, job):
        over_s = _over_s(house.ledger.state(one.id))
        if one.id != job and over_s is not None and (begins_s is None or over_s < begins_s):
            before.append((over_s, one.id))
    if not before:
        return ()
    other = max(before)[1]
    ashore = house.desk.ashore(other)
    return bare_spots(
        ashore.hull,
        ashore.job.hull.hidden,
        systems=ashore.job.plan.systems,
        state=house.ledger.state(other),
        facts=read_facts(house.store, other),
    )


def advice_from_last_time(house: House, job: str) -> tuple[str, ...]:
    """What the bare spots of the job before mean for this one's plan; none for a sheet that cannot be read."""
    try:
        return advice_for_next(last_time(house, job))
    except InputError:
        return ()


def _over_s(state: State) -> int | None:
    """When the work of a job was over: launched, else the last coat; notes written later do not count."""
    ends = [coat.finished_s for zone in state.zones for coat in zone.coats if coat.finished_s is not None]
    return state.launched_s if state.launched_s is not None else max(ends, default=state.hauled_s)


def anchor(house: House, job: str, *, words: str, sha256: str, who: str) -> None:
    """Write a note into the log that names a document of the record by its hash, so that the chain holds it too."""
    now = house.job_now(job)
    event = Event(
        id=str(uuid4()),
        kind="note",
        happened=now,
        recorded=now,
        device="record",
        order=int(now.timestamp() * 1000),
        who=who,
        data={"text": f"{words} SHA-256 {sha256}"},
    )
    house.store.append(job, [event], now=house.now()).check()
    house.hub.tell(job, "log", {"seq": house.store.event_count(job)})


def made_at(record: Record) -> datetime:
    """When a record was made, aware UTC."""
    return datetime.fromtimestamp(record.made_s, tz=UTC)
