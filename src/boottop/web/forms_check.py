"""What is wrong with a sheet that was typed but not saved, key by key."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
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
_LAST = re.compile(r"(\[\d+\]|\.?[^.\[\]]+)$")

IN_FORM: Mapping[str, str] = {
    "true or false": "yes or no",
    "Remove the quotes.": "Type the number alone.",
    "Write a finite number and its unit in quotes.": "Type a finite number and its unit.",
    "Write a number without quotes or unit.": "Type a number without a unit.",
    "Write digits only, no quotes and no unit.": "Type digits only, without a unit.",
    "Write digits, no quotes, no unit.": "Type digits only, without a unit.",
    "Write it in quotes.": "Type it anew.",
    "Write its path from this sheet, in quotes.": "Type its name as it is listed under Files of this job.",
    "Write the number and its unit in quotes.": "Type the number and its unit.",
    "Write true or false, small letters, no quotes.": "Choose yes or no.",
    "Write year-month-day, without quotes.": "Type year-month-day.",
}
"""What the reader of the sheet says for who writes TOML, as it is said to who fills in a form."""


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
    return tuple(_weather_missing(ashore))


def _weather_missing(ashore: Ashore) -> Iterator[Problem]:
    """The weather is read only when the plan is made; that its file is not there is said at once."""
    place = ashore.job.weather
    if place is not None and not place.is_file():
        yield Problem(
            where=f"{SHEET}, job.weather",
            found=repr(place.name)[:80],
            allowed="a file of this job, or nothing: then the open services are asked",
            advice="Bring the file in below, under Files of this job, or leave the field empty.",
        )


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


def _size(text: str) -> int:
    return len(text.encode("utf-8", "replace"))


def _check_size(text: str) -> None:
    if _size(text) > LARGEST_BYTES:
        raise InputError(
            Problem(
                where=SHEET,
                found=f"{_size(text) / 1e6:.1f} MB",
                allowed="2 MB at most",
                advice="Is this the sheet? A sheet has a few kB.",
            )
        )


def keyed(problems: Iterable[Problem], file: str = SHEET, *, fields: Collection[str] = ()) -> list[dict[str, Any]]:
    """Problems with the key and line that each stands at, empty and None where it names none of this file.

    With the names of a form's `fields` the key is that of the field, `at` says where in it, and the advice is for who
    types into a field: there nothing stands in quotes.
    """
    found = []
    for one in problems:
        match = _WHERE.fullmatch(one.where)
        own = match is not None and match["file"] == file
        key = match["key"] or "" if match and own else ""
        line = int(match["line"]) if match and own and match["line"] else None
        field = _field_of(key, fields)
        words = vars(one) | ({"allowed": _in_form(one.allowed), "advice": _in_form(one.advice)} if fields else {})
        found.append({"key": field, "at": _within(key[len(field) :]), "line": line, **words})
    return found


def _field_of(key: str, fields: Collection[str]) -> str:
    """The field in which a key is typed, the key itself where there is none.

    >>> _field_of("measure.girths[4].station", {"measure.girths"})
    'measure.girths'
    """
    part = key
    while part and part not in fields:
        part = _LAST.sub("", part)
    return part or key


def _within(rest: str) -> str:
    """Where in a field of several lines something stands.

    >>> _within("[4].half_girth")
    'line 4, half girth: '
    """
    words = [part if part.isidentifier() else f"line {part}" for part in re.findall(r"\w+", rest)]
    return ", ".join(words).replace("_", " ") + ": " if words else ""


def _in_form(text: str) -> str:
    return IN_FORM.get(text, text)
