"""What a form knows of a sheet: its sections and keys, in the order of the page, with what is typed into each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, kw_only=True)
class Field:
    """One key. `kind`: a kind of base.quantities, or text, whole, number, money, flag, choice, date, instant, hours,
    heading, coordinate, file, lines (one a line), rows (one a line, parts between commas) or times (one a line,
    temperature: time). `choices` of a choice; `columns` of rows, empty for plain lists."""

    key: str
    kind: str
    hint: str
    required: bool = False
    choices: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Section:
    """One section. `many`: sections [[...]], `new` is what an added one begins with. `optional`: may be left out."""

    path: str
    title: str
    fields: tuple[Field, ...]
    many: bool = False
    optional: bool = False
    new: Mapping[str, Any] | None = None


def section(path: str, title: str, fields: str, **rest: Any) -> Section:
    """A section from one line a key: `key* | kind | hint`; the star makes it required, `choice: a b` its choices."""
    return Section(path=path, title=title, fields=tuple(_field(line) for line in fields.strip().splitlines()), **rest)


def _field(line: str) -> Field:
    name, kind, hint = (part.strip() for part in line.split("|", 2))
    kind, _, rest = kind.partition(":")
    words = tuple(rest.split())
    return Field(
        key=name.rstrip("*"),
        kind=kind.strip(),
        hint=hint,
        required=name.endswith("*"),
        choices=words if kind.strip() == "choice" else (),
        columns=words if kind.strip() == "rows" else (),
    )


def keys_of(sections: Sequence[Section]) -> dict[str, set[str]]:
    """Keys by section path, for comparison with the documentation."""
    return {one.path: {field.key for field in one.fields} for one in sections}
