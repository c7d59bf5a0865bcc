"""Adding to the log of a job, and reading it: every event once, in the order of arrival, chained by hashes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, update

from boottop.base.errors import InputError, Problem
from boottop.job.events import Event
from boottop.store.entry import Entry, Logged, entry_of, entry_text, link, logged_of
from boottop.store.refusal import no_job, refuse
from boottop.store.tables import EVENTS, JOBS

IDS_AT_ONCE = 500
"""Databases limit the number of values in one statement."""


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """An event that was not taken: `conflict` when its id is in the log already with other content."""

    id: str
    conflict: bool
    problem: Problem


@dataclass(frozen=True, kw_only=True)
class Appended:
    """What became of events. `acknowledged`: ids that are in the log for good, repeats too: the device may forget
    them. `refused`: what needs a person. `first_seq`, `last_seq`: what was added, None when nothing was."""

    acknowledged: tuple[str, ...]
    refused: tuple[Refusal, ...]
    added: int
    first_seq: int | None
    last_seq: int | None

    def check(self) -> None:
        """InputError with every refusal, for callers that have no list to show them in."""
        if self.refused:
            raise InputError([refusal.problem for refusal in self.refused])


@dataclass(frozen=True, kw_only=True)
class Batch:
    """Events of one call, checked before the lock is taken."""

    job: str
    now: datetime
    entries: tuple[Entry, ...]
    refused: tuple[Refusal, ...]


def batch_of(job: str, events: Iterable[Event], *, now: datetime) -> Batch:
    """Check events, apart from what only the log knows."""
    entries: list[Entry] = []
    refused: list[Refusal] = []
    for event in events:
        entry = entry_of(event)
        if isinstance(entry, Entry):
            entries.append(entry)
        else:
            refused.append(Refusal(id=event.id, conflict=False, problem=entry))
    return Batch(job=job, now=now, entries=tuple(entries), refused=tuple(refused))


_HEAD = select(JOBS.c.events, JOBS.c.head).where(JOBS.c.id == bindparam("job"))
_MOVE_HEAD = (
    update(JOBS).where(JOBS.c.id == bindparam("job")).values(events=bindparam("new_events"), head=bindparam("new_head"))
)
_KNOWN = select(EVENTS).where(EVENTS.c.id.in_(bindparam("ids", expanding=True)))
_ADD = insert(EVENTS)
_AFTER = select(EVENTS).where(EVENTS.c.job == bindparam("job"), EVENTS.c.seq > bindparam("seq")).order_by(EVENTS.c.seq)


def append(connection: Connection, batch: Batch) -> Appended:
    """Add a batch, inside a transaction that holds the writer's lock.

    Because no one else can write meanwhile, what is there is asked first and only what is new is inserted. The unique
    index on the id stands behind that: a writer without the lock makes the whole transaction fail, not the chain.
    """
    head = connection.execute(_HEAD, {"job": batch.job}).one_or_none()
    if head is None:
        raise no_job(batch.job)
    known = _known(connection, [entry.columns["id"] for entry in batch.entries])
    rows: list[dict[str, Any]] = []
    refused = list(batch.refused)
    acknowledged: dict[str, None] = {}
    chain = head.head
    for entry in batch.entries:
        ident = entry.columns["id"]
        there = known.get(ident)
        if there is None:
            known[ident] = (batch.job, entry.text)
            chain = link(chain, entry.text, job=batch.job, received=batch.now)
            seq = head.events + len(rows) + 1
            rows.append({**entry.columns, "job": batch.job, "seq": seq, "received": batch.now, "chain": chain})
        elif there != (batch.job, entry.text):
            refused.append(_conflict(entry))
            continue
        acknowledged[ident] = None
    _write(connection, batch.job, rows)
    return _appended(acknowledged, refused, rows)


def events_after(connection: Connection, job: str, seq: int, *, limit: int | None) -> list[Logged]:
    """Events of a job whose place is beyond `seq`, in order."""
    statement = _AFTER if limit is None else _AFTER.limit(limit)
    try:
        return [logged_of(row) for row in connection.execute(statement, {"job": job, "seq": seq}).mappings()]
    except ValueError as error:
        raise refuse(
            f"log of the job {job}",
            found=f"an event that cannot be read ({error})",
            allowed="events as they were logged",
            advice="Verify the log: it names what was changed. Then restore the last backup to a new place.",
        ) from error


def event_count(connection: Connection, job: str) -> int:
    """Number of events of a job, which is the place of the last one too."""
    head = connection.execute(_HEAD, {"job": job}).one_or_none()
    if head is None:
        raise no_job(job)
    return int(head.events)


def _known(connection: Connection, ids: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Job and text of every event of these ids that is in the log, of whatever job."""
    known: dict[str, tuple[str, str]] = {}
    for start in range(0, len(ids), IDS_AT_ONCE):
        rows = connection.execute(_KNOWN, {"ids": list(ids[start : start + IDS_AT_ONCE])}).mappings()
        known.update({row["id"]: (row["job"], entry_text(row)) for row in rows})
    return known


def _write(connection: Connection, job: str, rows: Sequence[dict[str, Any]]) -> None:
    if rows:
        connection.execute(_ADD, rows)
        last = rows[-1]
        connection.execute(_MOVE_HEAD, {"job": job, "new_events": last["seq"], "new_head": last["chain"]})


def _appended(acknowledged: Iterable[str], refused: Iterable[Refusal], rows: Sequence[dict[str, Any]]) -> Appended:
    return Appended(
        acknowledged=tuple(acknowledged),
        refused=tuple(refused),
        added=len(rows),
        first_seq=rows[0]["seq"] if rows else None,
        last_seq=rows[-1]["seq"] if rows else None,
    )


def _conflict(entry: Entry) -> Refusal:
    ident = entry.columns["id"]
    problem = Problem(
        where=f"event {ident} ({entry.columns['kind']})",
        found="another event with the same id in the log",
        allowed="one content for one id",
        advice="The one that came first stands. Compare the two; if this one is right, log it anew as a correction.",
    )
    return Refusal(id=ident, conflict=True, problem=problem)
