"""The record as a tagged PDF that is meant to last (PDF/A-2a, PDF/UA-1), set by typst; its data never become markup."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from boottop.base.quantities import System
from boottop.job.board import BoardTable
from boottop.measure.inputs import HullMeasure
from boottop.record.record import Record
from boottop.report.glyphs import showable
from boottop.report.record_blocks import FIRST
from boottop.report.record_chart import weeks
from boottop.report.record_hull import unrolled_of
from boottop.report.record_more import LAST, bare, film, spots_read, thin_places
from boottop.report.record_words import Block, Words, heading, text
from boottop.report.unrolled import FILM_WORDS, MARK_WORDS, unrolled_svg

DRAWING, CHART = "unrolled.svg", "week-{}.svg"
_ROOT = re.compile(r":root \{(.*?)\}", re.S)
_VALUE = re.compile(r"(--[\w-]+):\s*([^;]+);")


@dataclass(frozen=True, kw_only=True)
class Paper:
    """What a record is printed from: the blocks in order, and drawings by file name."""

    title: str
    blocks: tuple[Block, ...]
    drawings: Mapping[str, str]


def paper_of(record: Record, measure: HullMeasure, *, tables: Sequence[BoardTable], system: System = "metric") -> Paper:
    """Every block of a record in order, with its drawings: what PDF and page both show."""
    words = Words(zone=ZoneInfo(record.boat.zone_name), system=system)
    drawings: dict[str, str] = {}
    blocks = [block for section in FIRST for block in section(record, words)]
    blocks += _charts(record, tables, words=words, drawings=drawings)
    blocks += [*film(record, words), *spots_read(record, words), *thin_places(record, words)]
    blocks += _map(record, measure, words, drawings=drawings)
    blocks += bare(record, words)
    blocks += [block for section in LAST for block in section(record, words)]
    return Paper(title=f"Coating record: {record.boat.name}", blocks=tuple(blocks), drawings=drawings)


def _charts(record: Record, tables: Sequence[BoardTable], *, words: Words, drawings: dict[str, str]) -> list[Block]:
    found = weeks(record, tables, words=words)
    if not found:
        return []
    blocks = [heading("Conditions over the job")]
    for number, week in enumerate(found):
        name = CHART.format(number)
        drawings[name] = week.svg
        blocks.append(Block(kind="drawing", text=name, rows=((week.title,),)))
    blocks.append(
        text(
            "Dots were read at the work. Lines were worked out: port side drawn through, starboard side dashed. The "
            "dashed level is the sheet's limit. Upright strokes: rain, by the log. Bars: coats, p a primer, b a "
            "barrier coat."
        )
    )
    return blocks


def _map(record: Record, measure: HullMeasure, words: Words, *, drawings: dict[str, str]) -> list[Block]:
    drawn = unrolled_of(record, measure, words)
    drawings[DRAWING] = unrolled_svg(drawn)
    kinds = {mark.kind for mark in drawn.marks}
    signs = {
        "pad": "square, violet",
        "block": "square, brown",
        "bare": "crossed square",
        "thin": f"triangle with its film, {words.film_unit}",
        "read": f"dot with its film, {words.film_unit}",
    }
    told = "; ".join(f"{signs[kind]}: {MARK_WORDS[kind]}" for kind in signs if kind in kinds)
    if any(not mark.surveyed for mark in drawn.marks):
        told += ". Dashed: not surveyed; at its station where that was measured, else evenly spread"
    films = "; ".join(
        f"{hatch}: {FILM_WORDS[film]}" for film, hatch in (("thin", "close strokes"), ("less", "wide strokes"))
        if film in {drawn.port, drawn.starboard, *(face.film for face in drawn.faces)}
    )  # fmt: skip
    return [
        heading("The bottom unrolled"),
        Block(kind="drawing", text=DRAWING, rows=(("The bottom unrolled flat, girth against length",),)),
        text(" ".join(f"{one[0].upper()}{one[1:]}." for one in (told, films, drawn.note.rstrip(".")) if one)),
    ]


def record_pdf(paper: Paper, *, made: datetime, photos: Mapping[str, bytes]) -> bytes:
    """The PDF. `photos`: JPEG by SHA-256 of the original, those that can be shown. The same record gives the same
    bytes: the file's date is the record's own."""
    import typst

    blocks = [asdict(block) for block in paper.blocks]
    data = {
        "title": paper.title,
        "blocks": blocks,
        "shown": sorted(photos),
        "made": {"year": made.year, "month": made.month, "day": made.day},
    }
    files: dict[str, bytes] = {
        "main.typ": _template(),
        "record.json": json.dumps(_showable(data), ensure_ascii=False).encode(),
        **{name: printable(showable(svg)).encode() for name, svg in paper.drawings.items()},
        **{f"{digest}.jpg": content for digest, content in photos.items()},
    }
    with (
        resources.as_file(resources.files("boottop.report").joinpath("fonts")) as fonts,
        tempfile.TemporaryDirectory(prefix="boottop-") as folder,
    ):
        for name, content in files.items():
            Path(folder, name).write_bytes(content)
        return typst.compile(
            str(Path(folder, "main.typ")),
            root=folder,
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            pdf_standards=["a-2a", "ua-1"],
            timestamp=int(made.timestamp()),
        )


def _showable(value: Any) -> Any:
    """Every text with the signs that the font has; what it lacks stands as its number."""
    if isinstance(value, str):
        return showable(value)
    if isinstance(value, dict):
        return {name: _showable(one) for name, one in value.items()}
    return [_showable(one) for one in value] if isinstance(value, list | tuple) else value


@lru_cache(maxsize=1)
def _template() -> bytes:
    return resources.files("boottop.report").joinpath("templates", "record.typ").read_bytes()


@lru_cache(maxsize=1)
def _print_css() -> str:
    """The drawings' style sheet with the light palette put in, for what knows no variables."""
    folder = resources.files("boottop.report").joinpath("templates")
    light = _ROOT.findall(folder.joinpath("page.css").read_text(encoding="utf-8"))[0]
    css = folder.joinpath("record.css").read_text(encoding="utf-8")
    for name, value in _VALUE.findall(light):
        css = css.replace(f"var({name})", value.strip())
    rules = [rule.replace("svg.rec", "svg").replace(".rec ", "") for rule in css.splitlines()]
    return "".join(rules)


def printable(svg: str) -> str:
    """A drawing with its style inside it, for paper."""
    head, rest = svg.split(">", 1)
    return f"{head}><style>{_print_css()}</style>{rest}"
