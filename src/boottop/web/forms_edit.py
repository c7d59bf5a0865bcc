"""Changing a sheet key by key while its remarks and its order stay as the person wrote them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from boottop.base.errors import InputError, Problem
from boottop.web.forms_fields import Field, Section
from boottop.web.forms_values import shown_value, typed_value

Path = tuple[str | int, ...]
_PART = re.compile(r"([A-Za-z_]+)((?:\[\d{1,3}\])?)")
ELEMENTS_MAX = 100


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A field with its name and its text."""

    name: str
    field: Field
    text: str


@dataclass(frozen=True, kw_only=True)
class Block:
    """A section of the form; `name` with its number where there are several. `there`: it is in the sheet."""

    name: str
    section: Section
    fields: tuple[Shown, ...]
    there: bool


def form_of(text: str, sections: Sequence[Section]) -> list[tuple[Section, list[Block]]]:
    """Every section with its fields filled in; of a repeated section one block an element."""
    data = tomllib.loads(text, parse_float=Decimal)
    return [(section, _blocks(data, section)) for section in sections]


def _blocks(data: Mapping[str, Any], section: Section) -> list[Block]:
    found = _at(data, _path(section.path))
    if section.many:
        elements = found if isinstance(found, list) else []
        return [_block(f"{section.path}[{n}]", section, one) for n, one in enumerate(elements, start=1)]
    return [_block(section.path, section, found)]


def _block(name: str, section: Section, found: Any) -> Block:
    values = found if isinstance(found, Mapping) else {}
    fields = tuple(
        Shown(
            name=f"{name}.{field.key}" if name else field.key,
            field=field,
            text=shown_value(values.get(field.key), field),
        )
        for field in section.fields
    )
    return Block(name=name, section=section, fields=fields, there=isinstance(found, Mapping))


def _path(name: str) -> Path:
    """Parts of a key's name, elements counted from 1 as people read them; InputError for what is none.

    >>> _path("yard.lift_pattern[2].days")
    ('yard', 'lift_pattern', 1, 'days')
    """
    parts: list[str | int] = []
    for part in name.split(".") if name else ():
        match = _PART.fullmatch(part)
        if match is None or match[2] == "[0]":
            raise InputError(_strange(name))
        parts.append(match[1])
        if match[2]:
            parts.append(int(match[2][1:-1]) - 1)
    return tuple(parts)


def _at(data: Any, path: Path) -> Any:
    """What stands at a path, None where nothing does."""
    found: Any = data
    for part in path:
        by_name = isinstance(part, str) and isinstance(found, Mapping) and part in found
        by_number = isinstance(part, int) and isinstance(found, list) and part < len(found)
        if not (by_name or by_number):
            return None
        found = found[part]
    return found


def edited(text: str, sections: Sequence[Section], typed: Mapping[str, str]) -> str:
    """The sheet with every changed field; an empty one takes its key away. InputError for a strange name."""
    known = {one.name: one for _, blocks in form_of(text, sections) for block in blocks for one in block.fields}
    document = _document(text)
    for name, raw in typed.items():
        shown = known.get(name)
        if shown is None:
            raise InputError(_strange(name))
        new = "\n".join(line.rstrip() for line in raw.replace("\r\n", "\n").strip().split("\n"))
        if new != shown.text:
            _change(document, _path(name), typed_value(new, shown.field) if new else None)
    return _sound(document)


def added(text: str, sections: Sequence[Section], path: str) -> str:
    """The sheet with one more element of a repeated section."""
    section = next((one for one in sections if one.many and one.path == path), None)
    if section is None or section.new is None:
        raise InputError(_strange(path))
    document = _document(text)
    *above, last = _path(path)
    parent = _reached(document, tuple(above))
    element = tomlkit.table()
    for key, value in section.new.items():
        element.add(key, value)
    elements = parent.get(last)
    if elements is None:
        elements = tomlkit.aot()
        elements.append(element)
        parent[last] = elements
    elif len(elements) >= ELEMENTS_MAX:
        raise InputError(_strange(f"{path}[{ELEMENTS_MAX + 1}]"))
    elif isinstance(elements, tomlkit.items.AoT):
        elements.append(element)
    else:
        inline = tomlkit.inline_table()
        inline.update(dict(section.new))
        elements.append(inline)
    return _sound(document)


def removed(text: str, sections: Sequence[Section], name: str) -> str:
    """The sheet without one element of a repeated section."""
    path = _path(name)
    if not path or not isinstance(path[-1], int) or name.rpartition("[")[0] not in {s.path for s in sections if s.many}:
        raise InputError(_strange(name))
    document = _document(text)
    *above, last = path
    elements = _at(document, tuple(above))
    if not isinstance(elements, list) or not isinstance(last, int) or last >= len(elements):
        raise InputError(_strange(name))
    if len(elements) == 1:
        _change(document, tuple(above), None)
    else:
        del elements[last]
    return _sound(document)


def _change(document: Any, path: Path, value: Any) -> None:
    *above, last = path
    if value is not None:
        parent = _reached(document, tuple(above))
        parent[last] = _inline(value)
        return
    parent = _at(document, tuple(above))
    if parent is not None and last in parent:
        del parent[last]
        if not parent and above and isinstance(above[-1], str):
            _change(document, tuple(above), None)


def _inline(value: Any) -> Any:
    """Rows as one inline table a line, so that a table of stations stays a table to the eye."""
    if isinstance(value, list) and any(isinstance(one, dict | list) for one in value):
        rows = tomlkit.array()
        rows.multiline(True)
        for one in value:
            if isinstance(one, dict):
                inline = tomlkit.inline_table()
                inline.update(one)
                rows.append(inline)
            else:
                rows.append(one)
        return rows
    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        inline.update(value)
        return inline
    return value


def _reached(document: Any, path: Path) -> Any:
    """The section at a path, made where it is missing."""
    for place, part in enumerate(path):
        if isinstance(part, str) and part not in document:
            super_table = place + 1 < len(path)
            document[part] = tomlkit.table(is_super_table=super_table)
        document = document[part]
    return document


def _document(text: str) -> Any:
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, ValueError) as error:
        raise InputError(_unreadable(str(error))) from None


def _sound(document: Any) -> str:
    """The text of a document, once the standard reader has read the same values from it."""
    text = tomlkit.dumps(document)
    try:
        same = tomllib.loads(text) == document.unwrap()
    except ValueError as error:
        raise InputError(_unreadable(str(error))) from None
    if not same:
        raise InputError(_unreadable("values that came out otherwise"))
    return text


def _strange(name: str) -> Problem:
    return Problem(
        where="form",
        found=f"the field {name[:80]!r}",
        allowed="a field of the page as it stands",
        advice="Open the page again: the sheet was changed meanwhile. Or change it as text.",
    )


def _unreadable(found: str) -> Problem:
    return Problem(
        where="job sheet",
        found=f"a change that does not fit in ({found[:120]})",
        allowed="a sheet that stays readable",
        advice="Nothing was changed. Make this change in the sheet as text.",
    )
