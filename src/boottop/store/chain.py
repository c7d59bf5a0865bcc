"""Reading the chain of hashes again: what in a log was changed, is missing, or stands in another order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, Text, bindparam, select, type_coerce

from boottop.store.entry import FIRST_LINK, entry_text, link
from boottop.store.refusal import no_job
from boottop.store.tables import EVENTS, JOBS, UtcText

TRACED_MAX = 50
"""So many breaks are traced to where the event belongs; each costs one hash for every event of the job."""

_AS_KEPT = [
    type_coerce(column, Text).label(column.name) if isinstance(column.type, UtcText) else column for column in EVENTS.c
]
"""Times as the texts that they are kept as: one that was changed may not be a time any more."""
_ROWS = select(*_AS_KEPT).where(EVENTS.c.job == bindparam("job")).order_by(EVENTS.c.seq)
_HEAD = select(JOBS.c.events, JOBS.c.head).where(JOBS.c.id == bindparam("job"))


@dataclass(frozen=True, kw_only=True)
class _Break:
    row: RowMapping
    after: int


def verify(connection: Connection, job: str) -> list[str]:
    """Every fault of a job's log in a sentence; none when the log is whole.

    It finds what happened to the file behind the program's back: damage, an edit by hand, a restored half. Whoever
    writes a new chain over the whole log is only found out by a copy of a hash kept elsewhere, such as a backup.
    """
    head = connection.execute(_HEAD, {"job": job}).one_or_none()
    if head is None:
        raise no_job(job)
    rows = connection.execute(_ROWS, {"job": job}).mappings().all()
    missing, breaks = _walk(rows)
    places = {FIRST_LINK: 0} | {row["chain"]: row["seq"] for row in rows}
    faults = missing + [_sentence(found, places if index < TRACED_MAX else {}) for index, found in enumerate(breaks)]
    return faults + _tail(rows, count=head.events, chain=head.head)


def _walk(rows: Sequence[RowMapping]) -> tuple[list[str], list[_Break]]:
    missing: list[str] = []
    breaks: list[_Break] = []
    seq, chain = 0, FIRST_LINK
    for row in rows:
        if row["seq"] != seq + 1:
            missing.append(_gap(seq + 1, row["seq"] - 1))
        elif _link(chain, row) != row["chain"]:
            breaks.append(_Break(row=row, after=seq))
        seq, chain = row["seq"], row["chain"]
    return missing, breaks


def _link(previous: str, row: RowMapping) -> str | None:
    """None for a row that was changed into something that is no event."""
    try:
        return link(previous, entry_text(row), job=row["job"], received=row["received"])
    except (ValueError, TypeError):
        return None


def _sentence(found: _Break, places: dict[str, int]) -> str:
    row = found.row
    name = f"event {row['seq']} ({row['kind']}, {row['id']})"
    for chain, place in places.items():
        if _link(chain, row) == row["chain"]:
            return f"{name} stands after event {found.after} but was logged after event {place}: the order was changed"
    return f"{name} was changed after it was logged"


def _gap(first: int, last: int) -> str:
    return f"event {first} is missing" if first == last else f"events {first} to {last} are missing"


def _tail(rows: Sequence[RowMapping], *, count: int, chain: str) -> list[str]:
    last = rows[-1]["seq"] if rows else 0
    if last < count:
        return [_gap(last + 1, count)]
    if last > count:
        return [f"{last - count} events stand after the end of the log at {count}"]
    if (rows[-1]["chain"] if rows else FIRST_LINK) != chain:
        return ["the hash of the last event is not the one that the job keeps"]
    return []
