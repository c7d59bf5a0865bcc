"""The files of a record: PDF, JSON, CSV, by the names that they are saved under."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from boottop.base.errors import InputError
from boottop.base.quantities import System
from boottop.files.photo_facts import for_print
from boottop.files.record_data import coats_csv, readings_csv, record_json
from boottop.record.record import Record
from boottop.report.hull_shape import shape_of
from boottop.report.record_pdf import Paper, paper_of, record_pdf
from boottop.web.cost_desk import with_cost
from boottop.web.house import House
from boottop.web.record_desk import made_at, record_of, tables_of


@dataclass(frozen=True, kw_only=True)
class RecordFiles:
    """A record and the files made of it, by name."""

    record: Record
    files: Mapping[str, bytes]


def paper_for(house: House, job: str, record: Record, *, system: System) -> Paper:
    """The blocks of a job's record."""
    paper = paper_of(record, shape_of(house.desk.ashore(job)), tables=tables_of(house, job), system=system)
    return with_cost(paper, house, job, record=record, system=system)


def printed_pdf(house: House, job: str, record: Record, *, system: System) -> bytes:
    """The record as PDF."""
    photos: dict[str, bytes] = {}
    for photo in house.store.photos.all(job):
        try:
            content = for_print(house.store.photos.read(photo))
        except InputError:  # gone or changed: the record says so in words
            content = None
        if content is not None:
            photos[photo.sha256] = content
    shown = {one.sha256 for one in record.photos if one.shown}
    used = {digest: content for digest, content in photos.items() if digest in shown}
    return record_pdf(paper_for(house, job, record, system=system), made=made_at(record), photos=used)


def record_files(house: House, job: str, *, system: System = "metric") -> RecordFiles:
    """Everything that the command writes."""
    record = record_of(house, job)
    name = slug(record.boat.name)
    files = {
        f"{name}-record.pdf": printed_pdf(house, job, record, system=system),
        f"{name}-record.json": record_json(record, house.ledger.events(job)).encode(),
        f"{name}-coats.csv": coats_csv(record).encode(),
        f"{name}-readings.csv": readings_csv(record).encode(),
    }
    return RecordFiles(record=record, files=files)


def slug(name: str) -> str:
    """A name as a file's: small letters, digits and hyphens.

    >>> slug("Marsh Wren (invented)")
    'marsh-wren-invented'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-") or "boat"
