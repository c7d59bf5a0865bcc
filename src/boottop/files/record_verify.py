"""Is a job as it was written down: its log, its photographs, the record's documents, and a paper printed from it."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass

from boottop.base.errors import InputError
from boottop.files.record_docs import FACTS, HISTORY, READINGS
from boottop.store.documents import RECORD
from boottop.store.store import Store

_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, kw_only=True)
class Verified:
    """What was looked at and what was wrong with it. `printed_seq`: the place in the log of the end that a paper
    printed, None without one."""

    events: int
    head: str
    photos: int
    documents: int
    faults: tuple[str, ...]
    printed_seq: int | None = None


def verify_job(store: Store, job: str, *, printed: str = "") -> Verified:
    """Look at everything of a job again. `printed`: the end of the log as a record on paper has it.

    A log that was written anew from end to end is only found out by such a paper, or by a backup.
    """
    kept = store.jobs.get(job)
    faults = [f"log: {one}" for one in store.verify_chain(job)]
    texts, chains = _notes(store, job)
    faults += _photo_faults(store, job)
    faults += _document_faults(store, job, " ".join(texts))
    wanted = printed.strip().lower()
    if wanted and wanted not in chains:
        what = "no event of this log has it: the log is not the one that was printed from"
        faults.append(f"printed end {wanted[:16]}: {what if _HASH.fullmatch(wanted) else 'not 64 hexadecimal digits'}")
    return Verified(
        events=kept.events,
        head=kept.head,
        photos=len(store.photos.all(job)),
        documents=len(store.documents.all(job, kind=RECORD)),
        faults=tuple(faults),
        printed_seq=chains.get(wanted),
    )


def _notes(store: Store, job: str) -> tuple[list[str], dict[str, int]]:
    """Texts of all notes, and every link of the chain with its place; as far as the log can be read at all."""
    try:
        events = store.events_after(job, 0)
    except (ValueError, TypeError, InputError):  # changed into something that is no event: the chain tells which
        return [], {}
    texts = [str(one.event.data.get("text", "")) for one in events if one.event.kind == "note"]
    return texts, {one.chain: one.seq for one in events}


def _photo_faults(store: Store, job: str) -> list[str]:
    faults = []
    for photo in store.photos.all(job):
        try:
            store.photos.read(photo)
        except InputError as error:
            faults += [f"{one.where}: {one.found}" for one in error.problems]
    return faults


def _document_faults(store: Store, job: str, notes: str) -> list[str]:
    faults = []
    for document in store.documents.all(job, kind=RECORD):
        content: object = document.content  # text where somebody edited the database by hand
        digest = hashlib.sha256(content if isinstance(content, bytes) else str(content).encode()).hexdigest()
        if digest != document.sha256:
            faults.append(f"document {document.name}: changed after it was saved")
        elif document.name.startswith((READINGS, FACTS, HISTORY)) and digest not in notes:
            faults.append(f"document {document.name}: not the content that the log names")
    return faults
