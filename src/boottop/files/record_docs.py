"""The record's own documents in the store: facts, readings, history, remembered columns. JSON, each with its format."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from boottop.base.errors import InputError, Problem
from boottop.files.loose_csv import ColumnMap
from boottop.record.facts import Facts
from boottop.record.history import Visit
from boottop.record.readings import FilmReading
from boottop.store.documents import RECORD, Document
from boottop.store.store import Store

FACTS, HISTORY, COLUMNS = "facts.json", "history.json", "columns.json"
READINGS, SOURCES = "readings/", "source/"
FORMAT = 1


@lru_cache(maxsize=8)
def _adapter(kind: Any) -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(kind)


def _read(store: Store, job: str, name: str, *, kind: Any, empty: Any) -> Any:
    if not store.documents.versions(job, kind=RECORD, name=name):
        return empty
    document = store.documents.get(job, kind=RECORD, name=name)
    return _value(document, kind)


def _value(document: Document, kind: Any) -> Any:
    from pydantic import ValidationError

    try:
        table = json.loads(document.content)
        if table["format"] > FORMAT:
            raise _spoilt(document.name, f"format {table['format']}, newer than this version knows")
        return _adapter(kind).validate_python(table["content"])
    except (ValueError, KeyError, TypeError, ValidationError) as error:
        raise _spoilt(document.name, f"a document that cannot be read ({type(error).__name__})") from error


def _write(store: Store, job: str, name: str, *, content: Any, now: datetime, base: int | None = None) -> str:
    """Save a document and give the SHA-256 of what was saved; with `base`, not over somebody else's newer version."""
    text = json.dumps({"format": FORMAT, "content": content}, ensure_ascii=False, indent=1, sort_keys=True)
    version = store.documents.put(job, text, kind=RECORD, name=name, now=now, base=base)
    return store.documents.get(job, kind=RECORD, name=name, version=version).sha256


def read_facts(store: Store, job: str) -> Facts:
    """Facts typed for a job's record; empty ones where there are none."""
    found: Facts = _read(store, job, FACTS, kind=Facts, empty=Facts())
    return found


def facts_version(store: Store, job: str) -> int:
    """Version of the facts that are there; 0 for none."""
    versions = store.documents.versions(job, kind=RECORD, name=FACTS)
    return versions[-1].version if versions else 0


def write_facts(store: Store, job: str, facts: Facts, *, now: datetime, base: int | None = None) -> str:
    """Save the facts; the SHA-256 of the document. With `base`, not over somebody else's newer version."""
    return _write(store, job, FACTS, content=asdict(facts), now=now, base=base)


def read_visits(store: Store, job: str) -> tuple[Visit, ...]:
    """The history typed in one job."""
    found: tuple[Visit, ...] = _read(store, job, HISTORY, kind=tuple[Visit, ...], empty=())
    return found


def write_visits(store: Store, job: str, visits: Sequence[Visit], *, now: datetime) -> str:
    """Save the history typed in one job."""
    kept = [asdict(replace(one, job="")) for one in visits]
    return _write(store, job, HISTORY, content=kept, now=now)


def read_film(store: Store, job: str) -> tuple[FilmReading, ...]:
    """Film readings of every file that was brought in."""
    documents = [one for one in store.documents.all(job, kind=RECORD) if one.name.startswith(READINGS)]
    return tuple(reading for one in documents for reading in _value(one, tuple[FilmReading, ...]))


def write_film(store: Store, job: str, readings: Sequence[FilmReading], *, name: str, now: datetime) -> str:
    """Save the readings of one file."""
    return _write(store, job, f"{READINGS}{name}.json", content=[asdict(one) for one in readings], now=now)


def remembered_columns(store: Store, signature: str) -> ColumnMap | None:
    """How files with this header were read before, in any job of the store; the newest job's way first."""
    for job in store.jobs.all():
        known: dict[str, ColumnMap] = _read(store, job.id, COLUMNS, kind=dict[str, ColumnMap], empty={})
        if signature in known:
            return known[signature]
    return None


def remember_columns(store: Store, job: str, *, signature: str, mapping: ColumnMap, now: datetime) -> None:
    """Keep how files with this header are read: columns, unit, instrument, clock; never the zone of the boat, which is
    another one in the next file."""
    mapping = replace(mapping, fixed={name: value for name, value in mapping.fixed.items() if name != "zone"})
    known: dict[str, ColumnMap] = _read(store, job, COLUMNS, kind=dict[str, ColumnMap], empty={})
    content = {key: asdict(one) for key, one in (known | {signature: mapping}).items()}
    _write(store, job, COLUMNS, content=content, now=now)


def _spoilt(name: str, found: str) -> InputError:
    return InputError(
        Problem(
            where=f"record document {name}",
            found=found,
            allowed="a document that boottop wrote",
            advice="Bring the file in again, or restore a backup; older versions of the document are still there.",
        )
    )
