"""Spread a study over its pieces: threads here, or a Dask cluster that exists; what is done is kept in a folder.

The pieces are the same whoever walks them, and so are the results, bit by bit. A piece that is done is written before
the next is asked for: an interrupt or a lost worker costs the pieces in hand, no more.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import zipfile
import zlib
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from boottop import __version__
from boottop.base.errors import InputError, Problem
from boottop.files.save import write_bytes
from boottop.odds_work import Part, Piece, Study, walk_piece
from boottop.workflow import Ashore

FORMAT = "boottop-odds-part-1"
Told = Callable[[int, int], None]


@dataclass(frozen=True, kw_only=True)
class Spread:
    """How the work is shared out. `dask`: address of a scheduler, None for threads of this machine, `threads` of them
    (None: as many as it has cores). `folder`: where finished pieces are kept and found again. `wait_s`: how long a
    scheduler may take to answer."""

    dask: str | None = None
    threads: int | None = None
    folder: Path | None = None
    wait_s: float = 10.0


def run_study(
    ashore: Mapping[str, Ashore], pieces: Sequence[Piece], study: Study, *, spread: Spread, told: Told
) -> list[Part]:
    """Every piece walked, in the order given; `told` hears how many are done of how many. `ashore`: the job at each
    place that the pieces are `at`."""
    kept = _Kept(spread.folder, ashore, study)
    found: dict[int, Part] = {}
    for index, piece in enumerate(pieces):
        if (part := kept.get(piece)) is not None:
            found[index] = part
    told(len(found), len(pieces))
    left = [index for index in range(len(pieces)) if index not in found]
    job = _Task(ashore=ashore, study=study)

    def done(index: int, part: Part) -> None:
        kept.put(pieces[index], part)
        found[index] = part
        told(len(found), len(pieces))

    if left:
        run = _on_threads if spread.dask is None else _on_cluster
        run(job, {index: pieces[index] for index in left}, spread=spread, done=done)
    return [found[index] for index in range(len(pieces))]


@dataclass(frozen=True, kw_only=True)
class _Task:
    """What is sent to a worker beside the piece."""

    ashore: Mapping[str, Ashore]
    study: Study

    def __call__(self, piece: Piece) -> Part:
        return walk_piece(self.ashore[piece.at], piece, self.study)


def _on_threads(job: _Task, pieces: dict[int, Piece], *, spread: Spread, done: Callable[[int, Part], None]) -> None:
    """Threads of this machine; each piece is told as it is done, and an interrupt waits for none that is not begun."""
    with ThreadPoolExecutor(spread.threads or os.cpu_count() or 1) as threads:
        futures = {threads.submit(job, piece): index for index, piece in pieces.items()}
        try:
            for future in as_completed(futures):
                done(futures[future], future.result())
        except BaseException:
            threads.shutdown(wait=False, cancel_futures=True)
            raise


def _on_cluster(job: _Task, pieces: dict[int, Piece], *, spread: Spread, done: Callable[[int, Part], None]) -> None:
    """A cluster that exists; a worker that is lost has its piece done again by another."""
    try:
        from distributed import Client
        from distributed import as_completed as completed
    except ImportError:
        raise _no_cluster(str(spread.dask), "distributed is not installed: pip install 'boottop[cluster]'") from None
    try:
        client = Client(spread.dask, timeout=spread.wait_s)  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as error:
        raise _no_cluster(str(spread.dask), str(error)) from None
    with client:
        sent = client.scatter(job, broadcast=True)  # type: ignore[no-untyped-call]
        futures = {client.submit(_walk, sent, piece, retries=2, pure=False): index for index, piece in pieces.items()}
        for future in completed(futures):  # type: ignore[no-untyped-call]
            done(futures[future], future.result())


def _walk(job: _Task, piece: Piece) -> Part:
    return job(piece)


def _no_cluster(address: str, error: str) -> InputError:
    return InputError(
        Problem(
            where="--dask",
            found=f"{address}, which does not answer ({error})",
            allowed="the address of a Dask scheduler that is running, such as tcp://127.0.0.1:8786",
            advice="Start one with `dask scheduler` and workers beside it, or leave --dask away.",
        )
    )


class _Kept:
    """Finished pieces in a folder, each under a name made of all that it depends on."""

    def __init__(self, folder: Path | None, ashore: Mapping[str, Ashore], study: Study) -> None:
        self.folder = folder
        self.bases = {} if folder is None else {
            name: digest((FORMAT, __version__, _bare(there), study)) for name, there in ashore.items()
        }  # fmt: skip
        if folder is not None:
            try:
                folder.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                raise _no_folder(folder, error) from None

    def _path(self, piece: Piece) -> Path | None:
        if self.folder is None:
            return None
        name = hashlib.sha256(self.bases[piece.at] + digest(piece)).hexdigest()[:24]
        return self.folder / f"{piece.year}-{name}.npz"

    def get(self, piece: Piece) -> Part | None:
        """A part finished earlier; None without one, or with one that was spoilt since."""
        path = self._path(piece)
        return None if path is None or not path.is_file() else read_part(path.read_bytes())

    def put(self, piece: Piece, part: Part) -> None:
        """Keep a part, whole or not at all."""
        path = self._path(piece)
        if path is not None:
            write_bytes(path, part_bytes(part))


def _bare(ashore: Ashore) -> Any:
    """What of a job bears on the odds: all but where its sheet lies."""
    return replace(ashore.job, source=Path(), weather=None)


def part_bytes(part: Part) -> bytes:
    """A part as a NumPy archive."""
    told = {"format": FORMAT, "place": part.place, "year": part.year, "notes": part.notes}
    out = io.BytesIO()
    np.savez_compressed(
        out,
        told=np.frombuffer(json.dumps(told).encode(), dtype=np.uint8),
        start_day=part.start_day,
        start_minute=part.start_minute,
        **{field.name: getattr(part.outcomes, field.name) for field in fields(part.outcomes)},
    )
    return out.getvalue()


def read_part(content: bytes) -> Part | None:
    """The part of an archive; None when it is damaged, so that it is done again."""
    from boottop.plan.odds_ways import Outcomes

    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as file:
            told = json.loads(file["told"].tobytes())
            outcomes = Outcomes(**{field.name: file[field.name] for field in fields(Outcomes)})
            return Part(
                place=told["place"],
                year=told["year"],
                start_day=file["start_day"],
                start_minute=file["start_minute"],
                outcomes=outcomes,
                notes=tuple(told["notes"]),
            )
    except (OSError, ValueError, KeyError, zipfile.BadZipFile, zlib.error, EOFError):
        return None


def _no_folder(folder: Path, error: OSError) -> InputError:
    return InputError(
        Problem(
            where=f"--keep {folder}",
            found=f"it cannot be made or used ({error.strerror or error})",
            allowed="a folder that may be written to",
            advice="Give another place for the finished pieces.",
        )
    )


def digest(value: Any) -> bytes:
    """A hash of a value made of frozen dataclasses, arrays, plain values and their tuples and mappings; the same in
    every process."""
    hashed = hashlib.sha256()
    _feed(hashed, value)
    return hashed.digest()


def _feed(hashed: Any, value: Any) -> None:
    hashed.update(type(value).__name__.encode() + b"(")
    if is_dataclass(value):
        for field in fields(value):
            hashed.update(field.name.encode() + b"=")
            _feed(hashed, getattr(value, field.name))
    elif isinstance(value, np.ndarray):
        hashed.update(f"{value.dtype}{value.shape}".encode() + np.ascontiguousarray(value).tobytes())
    elif isinstance(value, Mapping):
        for key in sorted(value, key=repr):
            _feed(hashed, key)
            _feed(hashed, value[key])
    elif isinstance(value, (tuple, list)):
        for one in value:
            _feed(hashed, one)
    else:
        hashed.update(repr(value).encode())
    hashed.update(b")")
