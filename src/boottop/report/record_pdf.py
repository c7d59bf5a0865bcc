"""The record as a tagged PDF that is meant to last (PDF/A-2a, PDF/UA-1), set by typst; its data never become markup."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import lru_cache
from html import unescape
from importlib import resources
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from boottop.base.quantities import System
from boottop.job.board import BoardTable
from boottop.record.record import Record
from boottop.report.flat_map import Shape
from boottop.report.glyphs import showable
from boottop.report.hull_looks import hull_css
from boottop.report.packaged import packaged
from boottop.report.record_blocks import FIRST
from boottop.report.record_chart import weeks
from boottop.report.record_map import batch_map, bottom_map, hatches
from boottop.report.record_more import LAST, bare, film, spots_read, thin_places
from boottop.report.record_words import Block, Words, heading, text

CHART = "week-{}.svg"
_ROOT = re.compile(r":root \{(.*?)\}", re.S)
_HALO = re.compile(
    r'<text class="([\w ]+) halo" (x="([-\d.]+)" y="([-\d.]+)"|transform="[^"]*")>(<title>[^<]*</title>)?([^<]*)</text>'
)
WHITE = " --p-paper: #ffffff;"
LETTER_WIDTH = 0.54
"""Mean width of the record's letters over their size; digits are a little narrower."""
_VALUE = re.compile(r"(--[\w-]+):\s*([^;]+);")


@dataclass(frozen=True, kw_only=True)
class Paper:
    """What a record is printed from: the blocks in order, and drawings by file name; `hatches` is what some of the
    drawings are filled with, once for all of them."""

    title: str
    blocks: tuple[Block, ...]
    drawings: Mapping[str, str]
    hatches: str = ""


def paper_of(record: Record, shape: Shape, *, tables: Sequence[BoardTable], system: System = "metric") -> Paper:
    """Every block of a record in order, with its drawings: what PDF and page both show. `shape`: the hull as it is
    drawn everywhere."""
    words = Words(zone=ZoneInfo(record.boat.zone_name), system=system)
    drawings: dict[str, str] = {}
    blocks = [block for section in FIRST for block in section(record, words)]
    blocks += _charts(record, tables, words=words, drawings=drawings)
    blocks += [*film(record, words), *spots_read(record, words), *thin_places(record, words)]
    blocks += bottom_map(record, shape, words, drawings=drawings)
    blocks += bare(record, words)
    blocks += batch_map(record, shape, words, drawings=drawings)
    blocks += [block for section in LAST for block in section(record, words)]
    return Paper(
        title=f"Coating record: {record.boat.name}", blocks=tuple(blocks), drawings=drawings, hatches=hatches()
    )


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
        "main.typ": packaged("record.typ").encode(),
        "record.json": json.dumps(_showable(data), ensure_ascii=False).encode(),
        **{name: printable(showable(svg), paper.hatches).encode() for name, svg in paper.drawings.items()},
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
def _chart_css() -> str:
    """The charts' style sheet for paper."""
    css = _light(packaged("record.css"), _ROOT.findall(packaged("page.css"))[0])
    rules = [rule.replace("svg.rec", "svg").replace(".rec ", "") for rule in css.splitlines()]
    return "".join(rules)


@lru_cache(maxsize=1)
def _hull_css() -> str:
    """The flat hull's style sheet for paper, which is white, in the record's own font."""
    css = hull_css()
    white = _ROOT.findall(css)[0] + WHITE
    rules = [rule for rule in css.splitlines() if not rule.startswith((":root", "@media", "/*"))]
    return _light("".join(rules), white).replace("system-ui", '"Source Sans Pro"')


def _light(css: str, light: str) -> str:
    """A style sheet with the light palette put in, for what knows no variables."""
    for name, value in dict(_VALUE.findall(light)).items():
        css = css.replace(f"var({name})", value.strip())
    return css


def printable(svg: str, hatches: str = "") -> str:
    """A drawing with its style inside it, for paper; a flat hull with its hatches too."""
    head, rest = svg.split(">", 1)
    if 'class="flat"' not in head:
        return f"{head}><style>{_chart_css()}</style>{rest}"
    plates = _HALO.sub(_on_plate, rest)
    return f'{head} xmlns="http://www.w3.org/2000/svg"><style>{_hull_css()}</style>{hatches}{plates}'


def _on_plate(found: re.Match[str]) -> str:
    """A word on a plate of paper in place of its halo, which typst paints letter by letter over the letters before."""
    style, place, x, y, told, words = found.groups(default="")
    size_px = 15.0 if "name" in style else 13.0
    wide = LETTER_WIDTH * size_px * len(unescape(words)) + 4.0
    anchor = 0.5 if "by" not in style else 1.0 if "end" in style.split() else 0.0
    left = float(x or 0.0) - anchor * wide - (2.0 if anchor == 0.0 else 0.0)
    where = "" if x else f" {place}"
    plate = f'x="{left:.1f}" y="{float(y or 0.0) - 0.8 * size_px:.1f}" width="{wide:.1f}" height="{size_px:.1f}" rx="3"'
    return f'<rect class="paper"{where} {plate}/><text class="{style}" {place}>{told}{words}</text>'
