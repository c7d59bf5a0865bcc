"""Writing files whole or not at all, and never over what was read."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from boottop.base.errors import InputError, Problem


def check_places(places: Mapping[str, Path | None], *, read: Sequence[Path] = ()) -> None:
    """InputError naming every place, by its option, that a file cannot be written to; asked before long work begins.

    A place is refused too when it is one of the files that are `read`, or the place of another option.
    """
    taken: dict[Path, str] = {path.resolve(): "the file that is read" for path in read}
    problems = []
    for option, path in places.items():
        if path is None:
            continue
        found = next(_refusals(path, taken), None)
        if found is not None:
            problems.append(_problem(f"{option} {path}", found))
        taken.setdefault(path.resolve(), f"the place of {option} too")
    if problems:
        raise InputError(problems)


def _refusals(path: Path, taken: Mapping[Path, str]) -> Iterator[str]:
    if not path.name or path.is_dir():
        yield "a folder"
    elif not path.parent.is_dir():
        yield "a place in a folder that is not there"
    elif (known := taken.get(path.resolve())) is not None:
        yield known
    elif not os.access(path.parent, os.W_OK):
        yield "a place in a folder that may not be written to"


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file whole, by way of a new one beside it; InputError naming the place when that cannot be done.

    A link is followed; what is no file (a pipe, a terminal) is written to as it is.
    """
    try:
        if path.exists() and not path.is_file():
            path.write_bytes(content)
        else:
            _replace(path.resolve(), content)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(_problem(str(path), f"it cannot be written ({reason})")) from None


def _replace(path: Path, content: bytes) -> None:
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    except OSError:
        with suppress(OSError):
            beside.unlink()
        raise


def _problem(where: str, found: str) -> Problem:
    return Problem(
        where=where,
        found=found,
        allowed="a file of its own in a folder that exists and may be written to",
        advice="Make the folder, or give another place.",
    )
