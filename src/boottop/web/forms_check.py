"""What is wrong with a sheet that was typed but not saved, key by key."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from boottop.base.errors import InputError, Problem
from boottop.files import jobsheet_measure
from boottop.files.jobsheet import read_sheet
from boottop.files.jobsheet_table import Sheet
from boottop.files.jobsheet_text import LARGEST_BYTES, parse_toml
from boottop.files.product import load_sheet
from boottop.web.papers import SHEET, check_inside
from boottop.workflow import Ashore

_WHERE = re.compile(r"(?P<file>[^,]*)(?:, line (?P<line>\d+))?(?:, column \d+)?(?:, (?P<key>[^ ,]+))?")


def sheet_problems(text: str, folder: Path) -> tuple[Problem, ...]:
    """All that is wrong with a job sheet whose files lie in `folder`."""
    try:
        _check_size(text)
        check_inside(text)
        file = parse_toml(text, path=folder / SHEET, label=SHEET)
        ashore = Ashore(read_sheet(file))
        try:
            ashore.hull  # noqa: B018 - measured for its errors
        except InputError as error:
            return _located(Sheet(file=file), error)
        ashore.order  # noqa: B018 - reckoned for its errors
    except InputError as error:
        return error.problems
    return ()


def _located(sheet: Sheet, error: InputError) -> tuple[Problem, ...]:
    """Problems of the measuring room with line and key of the sheet."""
    return tuple(jobsheet_measure.located(sheet, error.problems))


def product_problems(text: str, name: str, folder: Path) -> tuple[Problem, ...]:
    """All that is wrong with a product sheet; written to a file of its own in `folder` to be read."""
    try:
        _check_size(text)
        place = folder / "typed.toml"
        place.write_text(text, encoding="utf-8")
        load_sheet(place, label=name)
    except InputError as error:
        return error.problems
    return ()


def _check_size(text: str) -> None:
    if len(text.encode()) > LARGEST_BYTES:
        raise InputError(
            Problem(
                where=SHEET,
                found=f"{len(text.encode()) / 1e6:.1f} MB",
                allowed="2 MB at most",
                advice="Is this the sheet? A sheet has a few kB.",
            )
        )


def keyed(problems: Iterable[Problem], file: str = SHEET) -> list[dict[str, Any]]:
    """Problems with the key and line that each stands at, empty and None where it names none of this file."""
    found = []
    for one in problems:
        match = _WHERE.fullmatch(one.where)
        own = match is not None and match["file"] == file
        key = match["key"] or "" if match and own else ""
        line = int(match["line"]) if match and own and match["line"] else None
        found.append({"key": key, "line": line, **vars(one)})
    return found
