"""docs/job-sheet.md and the commented sheet name every key that the reader asks for, and no other."""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.files.jobsheet import parse_job
from boottop.files.jobsheet_table import Table
from boottop.files.product import BUILT_IN, load_sheet
from boottop.files.template import template_text

DOCS = Path(__file__).parents[2] / "docs" / "job-sheet.md"
PLAIN = "\n".join(line.removeprefix("#: ") for line in template_text().splitlines())


def documented() -> dict[str, set[str]]:
    """Keys by section, as the tables of the page have them."""
    keys: dict[str, set[str]] = defaultdict(set)
    section = ""
    for line in DOCS.read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            product = "product" if line.startswith("## Product") else ""
            inside = re.search(r"\[+([\w.]+)\]+", line)
            section = ".".join(part for part in (product, inside[1] if inside else "") if part)
        elif line.startswith("| `"):
            keys[section] |= set(re.findall(r"`(\w+)`", line.split("|")[1]))
    return keys


def asked(monkeypatch: pytest.MonkeyPatch, folder: Path) -> dict[str, set[str]]:
    """Keys by section that the reader asks for, over sheets that have every section."""
    keys: dict[str, set[str]] = defaultdict(set)
    prefix = ["product"]
    product = load_sheet(BUILT_IN[0])
    plain_has = Table.has

    def has(table: Table, key: str) -> bool:
        names = [part for part in table.path if isinstance(part, str)]
        keys[".".join([*prefix, *names])].add(key)
        return plain_has(table, key)

    monkeypatch.setattr(Table, "has", has)
    for name in BUILT_IN:
        load_sheet(name)
    keys["product.times"] |= keys.pop("product.times.pot_life")
    prefix.clear()
    with pytest.MonkeyPatch.context() as inner:
        inner.setattr("boottop.files.jobsheet_work._product", lambda text, where, folder: product)
        text = PLAIN.replace('role = "primer"', "")
        with pytest.raises(InputError, match=r"measurements of exactly one kind"):
            parse_job(text, folder=folder)
    return keys


def test_the_page_names_every_key_and_no_other(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    page, reader = documented(), asked(monkeypatch, tmp_path)
    assert sorted(page) == sorted(reader)
    for section, keys in reader.items():
        assert page[section] == keys, f"[{section}]"


def test_the_commented_sheet_names_every_key(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    named = set(re.findall(r"\w+", template_text()))
    for section, keys in asked(monkeypatch, tmp_path).items():
        assert section.startswith("product") or keys <= named, f"[{section}]"
