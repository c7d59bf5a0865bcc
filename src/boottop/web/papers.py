"""The documents of a job as files: the readers of sheets and weather take paths, the store keeps versions."""

from __future__ import annotations

import hashlib
import re
import shutil
import threading
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from boottop.base.errors import InputError, Problem
from boottop.files.jobsheet_text import parse_toml
from boottop.files.product import BUILT_IN
from boottop.store.documents import JOB_SHEET, PRODUCT_SHEET, WEATHER, Document
from boottop.store.store import Store

SHEET = "job.toml"
OTHER = "other"
HULL = "hull"
FILE_KINDS = (JOB_SHEET, PRODUCT_SHEET, WEATHER, HULL, OTHER)
"""Kinds of document that become files beside the sheet."""

VERSIONS_KEPT = 6

_NAME = re.compile(r"(?:[A-Za-z0-9][\w .+()-]{0,80}/){0,2}[A-Za-z0-9][\w .+()-]{0,80}", re.ASCII)
_DOTS = re.compile(r"\.\.|[. ](/|$)")
KIND_OF_ENDING: Mapping[str, str] = {
    ".toml": PRODUCT_SHEET, ".json": OTHER, ".stl": HULL, ".obj": HULL, ".ply": HULL, ".glb": HULL, ".3mf": HULL,
}  # fmt: skip
HULL_ENDINGS = (".hull.toml", ".offsets.csv")


@dataclass(frozen=True, kw_only=True)
class Papers:
    """The documents of a job as they stand: `version` names the whole set, `folder` holds them as files."""

    version: str
    folder: Path
    sheet_version: int

    @property
    def sheet(self) -> Path:
        return self.folder / SHEET


def good_name(name: str) -> bool:
    """Whether a document may be written by that name below a folder: plain words, no way out of it."""
    return bool(_NAME.fullmatch(name)) and not _DOTS.search(name)


def check_names(names: Iterable[str]) -> None:
    """InputError with every name by which no document can be kept."""
    bad = [
        Problem(
            where="name of the file",
            found=repr(name[:80]),
            allowed="letters without accents, digits, blank and . _ - + ( ), at most two folders deep",
            advice="Rename the file.",
        )
        for name in names
        if not good_name(name)
    ]
    if bad:
        raise InputError(bad)


def kind_of(name: str) -> str:
    """Kind of a file by its name; what is no sheet and no table of constants is weather."""
    if name == SHEET:
        return JOB_SHEET
    if name.lower().endswith(HULL_ENDINGS):
        return HULL
    return KIND_OF_ENDING.get(Path(name).suffix.lower(), WEATHER)


class Cabinet:
    """Papers of every job, written out once a version below `root`."""

    def __init__(self, store: Store, root: Path) -> None:
        self._store = store
        self._root = root
        self._lock = threading.Lock()
        self._papers: dict[str, Papers] = {}

    def papers(self, job: str) -> Papers:
        """The newest papers of a job."""
        with self._lock:
            known = self._papers.get(job)
            if known is None:
                known = self._papers[job] = self._write_out(job)
            return known

    def save(self, job: str, name: str, content: bytes | str, *, now: datetime, base: int | None = None) -> int:
        """Save a document by its name below the job's folder, and give its version."""
        check_names([name])
        version = self._store.documents.put(job, content, kind=kind_of(name), name=name, now=now, base=base)
        self._forget(job)
        return version

    def remove(self, job: str, name: str, *, now: datetime) -> None:
        """Take a document away; the sheet itself stays."""
        self._store.documents.remove(job, kind=kind_of(name), name=name, now=now)
        self._forget(job)

    def _forget(self, job: str) -> None:
        with self._lock:
            self._papers.pop(job, None)

    def _write_out(self, job: str) -> Papers:
        documents = [one for kind in FILE_KINDS for one in self._store.documents.all(job, kind=kind)]
        version = _version(documents)
        folder = self._root / job / version
        if not folder.is_dir():
            part = folder.with_name(f"{version}.part")
            shutil.rmtree(part, ignore_errors=True)
            for one in documents:
                if good_name(one.name):
                    path = part / one.name
                    path.parent.mkdir(parents=True, exist_ok=True)
                    path.write_bytes(one.content)
            part.mkdir(parents=True, exist_ok=True)
            part.rename(folder)
            self._tidy(folder)
        sheet = next((one.version for one in documents if one.name == SHEET and one.kind == JOB_SHEET), 0)
        return Papers(version=version, folder=folder, sheet_version=sheet)

    def _tidy(self, folder: Path) -> None:
        """Take old versions away, or a day of editing beside a large weather file fills the disk. Work that was begun
        on one of the newest is left its files."""
        others = sorted((one for one in folder.parent.iterdir() if one != folder), key=lambda one: one.stat().st_mtime)
        for old in others[: 1 - VERSIONS_KEPT]:
            shutil.rmtree(old, ignore_errors=True)


def _version(documents: Iterable[Document]) -> str:
    text = "\n".join(f"{one.kind} {one.name} {one.sha256}" for one in documents)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def check_inside(text: str, *, label: str = SHEET) -> None:
    """InputError for a sheet that names a file which is not one of the job's documents by its place.

    A sheet that comes over the network may not have the server read any other file of the computer.
    """
    file = parse_toml(text, path=Path(label), label=label)
    problems = [
        Problem(
            where=f"{label}, {key}",
            found=repr(name)[:80],
            allowed="the name of a file that lies with the job" + (" or of a demonstration sheet" if sheet else ""),
            advice="Bring the file in on the Job page, then name it here as it is listed there.",
        )
        for key, name, sheet in _named_files(file.data)
        if isinstance(name, str) and not good_name(name) and not (sheet and name in BUILT_IN)
    ]
    if problems:
        raise InputError(problems)


def named_files(sheet: bytes) -> list[str]:
    """Names of files that a job sheet calls for; none for a text that is no TOML."""
    try:
        data = parse_toml(sheet.decode("utf-8", "replace"), path=Path(SHEET), label=SHEET).data
    except InputError:
        return []
    return [name for _, name, _ in _named_files(data) if isinstance(name, str) and good_name(name)]


def _named_files(data: Mapping[str, Any]) -> Iterator[tuple[str, object, bool]]:
    job, yard, coatings = data.get("job"), data.get("yard"), data.get("coatings")
    measure = data.get("measure")
    if isinstance(measure, dict):
        yield "measure.hull_file", measure.get("hull_file"), False
    if isinstance(job, dict):
        yield "job.weather", job.get("weather"), False
    tide = yard.get("tide") if isinstance(yard, dict) else None
    if isinstance(tide, dict):
        yield "yard.tide.station", tide.get("station"), False
    for number, coating in enumerate(coatings if isinstance(coatings, list) else ()):
        if isinstance(coating, dict):
            yield f"coatings[{number + 1}].sheet", coating.get("sheet"), True
