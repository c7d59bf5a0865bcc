"""Between the value of a key in TOML and the text in its field: what was not touched comes back as it was."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

import tomlkit

from boottop.base.quantities import plain_digits
from boottop.web.forms_fields import Field

_NUMBER = re.compile(r"[+-]?\d{1,15}(\.\d{1,15})?")
_WHOLE = re.compile(r"[+-]?\d{1,15}")
AS_TYPED = ("text", "lines", "rows", "hours", "times")
"""Kinds in which quotes may be meant; a quantity typed as it stands in TOML, in quotes, is taken without them."""
BARE_NUMBERS = ("number", "fraction", "coordinate", "heading")


def shown_value(value: Any, field: Field) -> str:
    """The text that stands in the field."""
    if value is None:
        return ""
    if field.kind == "rows" and isinstance(value, list):
        return "\n".join(_row_text(row, field.columns) for row in value)
    if field.kind == "times" and isinstance(value, Mapping):
        pairs = zip(value.get("at", ()), value.get("time", ()), strict=False)
        return "\n".join(f"{_plain(at)}: {_plain(hours)}" for at, hours in pairs)
    if isinstance(value, list):
        return "\n".join(_plain(one) for one in value)
    return _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat(timespec="minutes")
    if isinstance(value, Decimal):
        return f"{value:f}"
    return str(value)


def _row_text(row: Any, columns: Sequence[str]) -> str:
    if isinstance(row, Mapping):
        parts = [_plain(row[name]) if name in row else "" for name in columns]
        return ", ".join(parts).rstrip(", ")
    return ", ".join(_plain(one) for one in row) if isinstance(row, list) else _plain(row)


def typed_value(text: str, field: Field) -> Any:
    """The value for TOML of what was typed; what cannot be one stays text, for the reader of the sheet to judge."""
    if len(text) > 1 and field.kind not in AS_TYPED and text[0] == text[-1] == '"':
        text = text[1:-1].strip()
    text = _in_digits(text, field)
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if field.kind == "flag":
        return {"true": True, "false": False}.get(text, text)
    if field.kind == "whole":
        return int(text) if _WHOLE.fullmatch(text) else text
    if field.kind in BARE_NUMBERS and _NUMBER.fullmatch(text):
        return tomlkit.value(text.lstrip("+"))
    if field.kind in ("date", "instant"):
        return _date(text)
    if field.kind == "hours":
        return lines[0] if len(lines) == 1 else lines
    if field.kind == "lines":
        whole = bool(lines) and all(_WHOLE.fullmatch(line) for line in lines)
        return [int(line) if whole else _date(line) for line in lines]
    if field.kind == "times":
        return _times(lines)
    if field.kind == "rows":
        return [_row(line, field.columns) for line in lines]
    return text


def _in_digits(text: str, field: Field) -> str:
    """What becomes a bare number or date of TOML, in the digits that TOML knows."""
    return plain_digits(text) if field.kind in ("whole", "date", "instant", *BARE_NUMBERS) else text


def _date(text: str) -> date | str:
    try:
        return date.fromisoformat(text) if len(text) == 10 else text
    except ValueError:
        return text


def _times(lines: Sequence[str]) -> Any:
    if lines and all(":" in line for line in lines):
        pairs = [line.split(":", 1) for line in lines]
        return {"at": [at.strip() for at, _ in pairs], "time": [hours.strip() for _, hours in pairs]}
    return list(lines)


def _row(line: str, columns: Sequence[str]) -> Any:
    parts = [part.strip() for part in line.split(",")]
    if not columns:
        return parts
    return {name: part for name, part in zip(columns, parts, strict=False) if part}
