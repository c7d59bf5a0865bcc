"""A hand-written TOML file from the disk: what can be wrong before the first key is looked at."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from boottop.base.errors import InputError, Problem

LARGEST_BYTES = 2_000_000
DEEPEST = 30
BESIDE = (
    "Put it beside the job sheet, or put its name right. "
    "In the browser: bring it in on the Job page, under Files of this job."
)
_WHAT = "a text file in TOML, UTF-8, of at most 2 MB"
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_BARE_QUANTITY = re.compile(r"=\s*[+-]?[\d.]+\s*(?:[A-Za-z%'\"]|\d+\s*[A-Za-z])")
_SHORT_TIME = re.compile(r"\d\d?:\d\d(?![:\d])")
_BARE_WORD = re.compile(r"=\s*[A-Za-z_]")
_DATE = re.compile(r"[=\[,]\s*\d{4}-\d\d?-\d\d?\s*(?:$|[,\]}])")
_DECIMAL_COMMA = re.compile(r"=\s*\d+,\d")


@dataclass(frozen=True, kw_only=True)
class TomlFile:
    """One file as read: `label` is the name errors call it by, `text` its lines, `data` what TOML makes of it."""

    path: Path
    label: str
    text: str
    data: dict[str, Any]


def read_toml(path: Path, *, label: str | None = None) -> TomlFile:
    """Read a TOML file; numbers with a point come as Decimal, so that money never passes through a float.

    Raises InputError when it is missing, no regular file, over 2 MB, not text, not UTF-8 or not TOML.
    """
    name = label or path.name or str(path)
    return parse_toml(_text_of(path, name), path=path, label=name)


def parse_toml(text: str, *, path: Path, label: str) -> TomlFile:
    """The same from a text at hand; InputError with line and column where it is not TOML."""
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        raise _too_deep(label) from None
    except (ValueError, ArithmeticError) as error:
        raise InputError(_syntax_problem(str(error), text, label)) from None
    if _depth(data) > DEEPEST:
        raise _too_deep(label)
    return TomlFile(path=path, label=label, text=text.replace("\r\n", "\n"), data=data)


def _depth(data: object) -> int:
    """How deep lists and sections lie in each other."""
    depth = 0
    level: list[Any] = [data]
    while level:
        depth += 1
        inner = [child for part in level for child in (part.values() if isinstance(part, dict) else part)]
        level = [child for child in inner if isinstance(child, dict | list)]
    return depth


def _too_deep(label: str) -> InputError:
    allowed = f"sections and lists in at most {DEEPEST} levels"
    return _bad_file(label, "brackets or dotted keys nested too deep", allowed=allowed, advice="Close the brackets.")


def _text_of(path: Path, name: str) -> str:
    try:
        if not path.exists():
            raise _bad_file(name, "no such file", advice="Check the path, or make a new sheet with: boottop new DIR")
        if not path.is_file():
            kind = "a directory" if path.is_dir() else "no regular file"
            raise _bad_file(name, kind, advice="Give the path of the sheet itself, for instance job.toml.")
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise _bad_file(name, f"{size / 1e6:.1f} MB", advice="Is this the sheet? A job sheet has a few kB.")
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _bad_file(name, f"a file that cannot be read ({reason})", advice="Check its name and rights.") from None
    if b"\0" in raw:
        raise _bad_file(name, "a binary file", advice="Give the text file, not a picture or a spreadsheet.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        found = f"a byte that is not UTF-8 ({raw[error.start]:#04x})"
        raise _bad_file(f"{name}, line {line}", found, advice="Save the file with encoding UTF-8.") from None


def _bad_file(where: str, found: str, *, advice: str, allowed: str = _WHAT) -> InputError:
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))


def _syntax_problem(message: str, text: str, label: str) -> Problem:
    place = _PLACE.search(message)
    reason = _PLACE.sub("", message)
    lines = text.splitlines() or [""]
    number = int(place[1]) if place and place[1] else len(lines)
    line = lines[min(number, len(lines)) - 1].strip()
    column = f", column {place[2]}" if place and place[2] else ""
    return Problem(
        where=f"{label}, line {number}{column}",
        found=f"{line[:80]!r} ({reason})",
        allowed="TOML: key = value, one on a line, under [section] headers",
        advice=_syntax_advice(line, reason),
    )


def _syntax_advice(line: str, reason: str) -> str:
    unquoted = re.sub(r'"[^"]*"|\'[^\']*\'', "", line.split("#")[0])
    if "overwrite" in reason or "twice" in reason:
        return "The key or section stands twice: keep one."
    if _DATE.search(unquoted):
        return "A date reads year-month-day, two digits each, and must exist: 2026-04-25."
    if _DECIMAL_COMMA.search(unquoted):
        return 'Write the decimal point as a point, and a quantity in quotes: "11.6 m".'
    if _SHORT_TIME.search(unquoted):
        return 'TOML wants seconds in a time (08:00:00); or put it in quotes: "08:00", "2026-04-25 08:00".'
    if _BARE_QUANTITY.search(unquoted):
        return 'Put a number with its unit in quotes: length = "38 ft".'
    if _BARE_WORD.search(unquoted):
        return "Put words in quotes; yes and no are written true and false."
    return "Check quotes and brackets on this line and the one before."
