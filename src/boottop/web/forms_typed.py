"""What is typed into the form or the text of a sheet: how it is taken in, and how it is shown again when refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from boottop.base.errors import InputError
from boottop.web.forms_edit import Block, Shown, added, edited, form_of, removed
from boottop.web.forms_fields import Section
from boottop.web.reading import Asked

FIELDS_MAX = 4000
CONTROLS = ("base", "change")
Form = list[tuple[Section, list[Block]]]


class Typed(Asked):
    """What was typed: fields by name, or the whole text."""

    fields: dict[str, str] | None = None
    toml: str | None = None


def fields_of(typed: Mapping[str, str]) -> dict[str, str]:
    """The fields of a form that was sent, without what steers it."""
    return {key: value for key, value in typed.items() if key not in CONTROLS}


def changed_text(text: str, sections: Sequence[Section], typed: Mapping[str, str]) -> str:
    """The sheet as it would be with what was typed; InputError for a field that the sheet does not have."""
    if "toml" in typed:
        return typed["toml"].replace("\r\n", "\n")
    what, _, name = typed.get("change", "").partition(" ")
    changed = edited(text, sections, fields_of(typed))
    if what == "add":
        return added(changed, sections, name)
    return removed(changed, sections, name) if what == "remove" else changed


def refused_form(text: str, sections: Sequence[Section], typed: Mapping[str, str], *, before: str) -> Form:
    """The form of a sheet with what was typed and not saved. `before`: the sheet as it was when it was opened.

    Only fields that the person changed show what they typed, so that saving once more does not put back what somebody
    else changed meanwhile.
    """
    opened = {name: one.text for name, one in _fields(form_of(before, sections)).items()}
    mine = {name: value for name, value in typed.items() if _lines(value) != _lines(opened.get(name, ""))}
    return [(section, [_typed_over(block, mine) for block in blocks]) for section, blocks in form_of(text, sections)]


def refused_sheet(
    text: str, sections: Sequence[Section], typed: Mapping[str, str], *, before: str
) -> dict[str, Any]:  # fmt: skip
    """What a page shows again of a sheet that was not saved: its text as typed, or its form."""
    if "toml" in typed:
        return {"text": typed["toml"]}
    return {"text": text, "form": refused_form(text, sections, fields_of(typed), before=before)}


def field_names(text: str, sections: Sequence[Section]) -> frozenset[str]:
    """Names of the fields of a sheet's form; none for a text that cannot be read."""
    try:
        return frozenset(_fields(form_of(text, sections)))
    except (InputError, ValueError, RecursionError):
        return frozenset()


def _fields(form: Form) -> Mapping[str, Shown]:
    return {one.name: one for _, blocks in form for block in blocks for one in block.fields}


def _typed_over(block: Block, mine: Mapping[str, str]) -> Block:
    fields = tuple(replace(one, text=mine.get(one.name, one.text)) for one in block.fields)
    return replace(block, fields=fields)


def _lines(text: str) -> list[str]:
    return [line.rstrip() for line in text.strip().splitlines()]
