"""The hull laid flat as a drawing: girth against length, as if one lay under her with the bow to the left."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

import numpy as np

from boottop.base.quantities import System
from boottop.measure.hull import Side
from boottop.measure.mesh import Array, HullMesh
from boottop.measure.shell import Panel
from boottop.measure.shell_outline import zone_outlines
from boottop.measure.shell_spots import Footprint
from boottop.report.hull_looks import Look, definitions, escaped, hull_css

WIDTH_PX, LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 1000.0, 74.0, 16.0, 34.0, 58.0
LETTERS = {
    "pads": "P",
    "blocks": "B",
    "slings": "S",
    "anode": "A",
    "transducer": "T",
    "tunnel": "M",
    "other": "O",
    "bare": "X",
}
LETTER_WORDS = {
    "pads": "pad of a stand, with its set",
    "blocks": "keel block",
    "slings": "sling",
    "anode": "anode",
    "transducer": "transducer",
    "tunnel": "mouth of a tunnel",
    "other": "other fitting",
    "bare": "bare spot",
}
SIGN_WORDS = {"read": "film read here", "thin": "read thin, under 80 % of nominal"}
FOOT_M, LETTER_PX = 0.3048, 16.0
MARK_PX = 7.0


@dataclass(frozen=True, kw_only=True)
class Mark:
    """Something written at a place of the skin: `girth_m` from the centreline, `text` beside it.

    `kind`: a spot that was read, one that was read thin, or a word alone beside what is drawn there anyhow, which is
    `beside_m` long to either side.
    """

    kind: Literal["read", "thin", "word"]
    side: Side
    station_m: float
    girth_m: float
    text: str
    beside_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Shape:
    """What is drawn: the hull in facets, what covers it, what lies beside it, and what must be said of it.

    `drawn`: from the tape and not from a scan. `reckoned_m2`: the areas that count, by zone.
    """

    mesh: HullMesh
    spots: tuple[Footprint, ...]
    panels: tuple[Panel, ...]
    reckoned_m2: Mapping[str, float]
    notes: tuple[str, ...]
    drawn: bool


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """Metres of the flat hull to pixels of the drawing."""

    low_m: Array
    high_m: Array

    @property
    def scale(self) -> float:
        return (WIDTH_PX - LEFT_PX - RIGHT_PX) / float(self.high_m[0] - self.low_m[0])

    @property
    def height_px(self) -> float:
        return TOP_PX + BOTTOM_PX + self.scale * float(self.high_m[1] - self.low_m[1])

    def x(self, length_m: float) -> float:
        return LEFT_PX + self.scale * (length_m - float(self.low_m[0]))

    def y(self, girth_m: float) -> float:
        return TOP_PX + self.scale * (girth_m - float(self.low_m[1]))

    def path(self, lines: Sequence[Array]) -> str:
        """Closed lines as the data of one path."""
        return "".join(
            "M" + "L".join(f"{self.x(float(a)):.1f} {self.y(float(b)):.1f}" for a, b in line) + "Z" for line in lines
        )


def sheet_of(mesh: HullMesh) -> Sheet:
    """The drawing that just holds a flat hull."""
    flat = mesh.unrolled_m.reshape(-1, 2)[:, ::-1]
    return Sheet(low_m=flat.min(axis=0), high_m=flat.max(axis=0))


def flat_map(
    shape: Shape,
    fills: Mapping[str, Look],
    *,
    units: System = "metric",
    standalone: bool = False,
    title: str = "",
    marks: Sequence[Mark] = (),
    legend: Sequence[Entry] = (),
) -> str:
    """The flat hull as one SVG element, every zone filled with its look; a zone without one stays paper.

    `standalone` True: with its own colours and hatches, as a file of its own; False: the page has both already.
    `legend`: what stands below the drawing, sample by sample.
    """
    sheet = sheet_of(shape.mesh)
    parts = [_open(sheet, title or "Hull laid flat, girth against length", standalone, len(legend))]
    if standalone:
        looks = {look.key: look for look in fills.values()}
        parts += [f"<style>{escaped_css()}</style>", definitions(looks.values())]
        parts.append(f'<rect width="{WIDTH_PX:.0f}" height="{sheet.height_px:.0f}" class="paper"/>')
    for name, lines in zone_outlines(shape.mesh).items():
        look = fills.get(name)
        fill = "none" if look is None else f"url(#h-{look.key})"
        said = name if look is None else f"{name}: {look.words}"
        parts.append(
            f'<path class="zone" data-zone="{escaped(name)}" fill="{fill}" '
            f'd="{sheet.path(lines)}"><title>{escaped(said)}</title></path>'
        )
    parts += frame(shape, sheet, units)
    parts += [spot for one in shape.spots for spot in spot_marks(one, shape, sheet)]
    parts += panel_names(shape, sheet)
    parts += [text for one in marks for text in _mark(one, sheet)]
    parts += [text for number, one in enumerate(legend) for text in _entry(one, number, sheet)]
    return "".join([*parts, "</svg>"])


def escaped_css() -> str:
    """The style sheet as the text of a style element (it holds neither & nor <)."""
    return " ".join(hull_css().split())


def _open(sheet: Sheet, title: str, standalone: bool, entries: int = 0) -> str:  # noqa: PLR0917 - one head, said once
    space = ' xmlns="http://www.w3.org/2000/svg"' if standalone else ""
    high = sheet.height_px + ROW_PX * ceil(entries / COLUMNS)
    return (
        f'<svg{space} class="flat" role="img" aria-label="{escaped(title)}" '
        f'viewBox="0 0 {WIDTH_PX:.0f} {high:.0f}"><title>{escaped(title)}</title>'
    )


def _mark(mark: Mark, sheet: Sheet) -> Iterator[str]:
    """A dot for what was read, a larger triangle for what was read thin, and the text on the side that has room."""
    way = -1.0 if mark.side == "port" else 1.0
    x, y = sheet.x(mark.station_m), sheet.y(way * mark.girth_m)
    yield from _sign(mark.kind, x, y)
    gap, style = MARK_PX + 3, "by"
    if x + gap + LETTER_PX * 0.5 * len(mark.text) > WIDTH_PX:
        gap, style = -gap - 2.0 * mark.beside_m * sheet.scale, "by end"
    x += mark.beside_m * sheet.scale + gap
    yield f'<text class="{style} halo" x="{x:.1f}" y="{y + 4.5:.1f}">{escaped(mark.text)}</text>'


def _sign(kind: str, x: float, y: float) -> Iterator[str]:
    if kind == "read":
        yield f'<circle class="sign" cx="{x:.1f}" cy="{y:.1f}" r="4"/>'
    elif kind == "thin":
        yield f'<path class="sign" d="M{x - MARK_PX:.1f} {y - MARK_PX:.1f}h{2 * MARK_PX:.0f}l-{MARK_PX:.0f} 14z"/>'


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One line of the legend: `sample` is the key of a look, a letter, "read", "thin" or "guess"; `words` say it."""

    sample: str
    words: str


COLUMNS, ROW_PX = 3, 28.0


def legend_of(shape: Shape, looks: Sequence[Look], marks: Sequence[Mark]) -> list[Entry]:
    """What a drawing needs said: its looks, its signs, its letters, and that dashed is a guess."""
    kinds = {mark.kind for mark in marks}
    letters = {spot.kind for spot in shape.spots}
    return [
        *(Entry(sample=look.key, words=look.words) for look in dict.fromkeys(looks)),
        *(Entry(sample=kind, words=words) for kind, words in SIGN_WORDS.items() if kind in kinds),
        *(Entry(sample=LETTERS[kind], words=words) for kind, words in LETTER_WORDS.items() if kind in letters),
        *([Entry(sample="guess", words="place not written down")] if _guessed(shape) else []),
    ]


def _guessed(shape: Shape) -> bool:
    return any(not spot.written_down for spot in shape.spots)


def _entry(entry: Entry, number: int, sheet: Sheet) -> Iterator[str]:
    x = LEFT_PX + (number % COLUMNS) * (WIDTH_PX - LEFT_PX) / COLUMNS
    y = sheet.height_px + ROW_PX * (number // COLUMNS)
    if entry.sample in ("read", "thin"):
        yield from _sign(entry.sample, x + 17, y + 11)
    elif entry.sample == "guess":
        yield f'<rect class="spot guess" x="{x + 1:.1f}" y="{y + 2:.1f}" width="32" height="18"/>'
    elif entry.sample in LETTERS.values():
        yield f'<text class="name" x="{x + 17:.1f}" y="{y + 16:.1f}">{entry.sample}</text>'
    else:
        fill = f'fill="url(#h-{entry.sample})"'
        yield f'<rect class="zone" {fill} x="{x:.1f}" y="{y + 1:.1f}" width="34" height="20"/>'
    yield f'<text class="by" x="{x + 44:.1f}" y="{y + 16:.1f}">{escaped(entry.words)}</text>'


def frame(shape: Shape, sheet: Sheet, units: System) -> list[str]:
    """Centreline, bow and stern, sides, and the scales of length and girth."""
    keel, skin_m = sheet.y(0.0), _skin_ends(shape.mesh)
    foot = sheet.height_px - BOTTOM_PX
    unit, word = (1.0, "m") if units == "metric" else (FOOT_M, "ft")
    every = max(1, ceil((skin_m[1] - skin_m[0]) / unit / 12))
    parts = [f'<line class="mid" x1="{LEFT_PX}" x2="{WIDTH_PX - RIGHT_PX}" y1="{keel:.1f}" y2="{keel:.1f}"/>']
    for number in range(0, int((skin_m[1] - skin_m[0]) / unit) + 1, every):
        x = sheet.x(skin_m[0] + number * unit)
        parts.append(f'<line class="tick" x1="{x:.1f}" x2="{x:.1f}" y1="{foot + 6:.1f}" y2="{foot + 14:.1f}"/>')
        parts.append(f'<text class="small" x="{x:.1f}" y="{foot + 29:.1f}">{number}</text>')
    middle = sheet.x(0.5 * (skin_m[0] + skin_m[1]))
    parts.append(
        f'<text class="small" x="{middle:.1f}" y="{foot + 48:.1f}">{word} aft of the fore end of the waterline</text>'
    )
    parts.append(f'<text class="name" x="{LEFT_PX + 24:.0f}" y="20">bow</text>')
    parts.append(f'<text class="name" x="{WIDTH_PX - RIGHT_PX - 30:.0f}" y="20">stern</text>')
    widest = max(abs(float(sheet.low_m[1])), abs(float(sheet.high_m[1])))
    step = max(1, ceil(widest / unit / 4))
    for number in range(-int(widest / unit), int(widest / unit) + 1, 1):
        y = sheet.y(number * unit)
        if number % step == 0 and TOP_PX - 1 <= y <= foot + 1:
            parts.append(f'<line class="tick" x1="{LEFT_PX - 12}" x2="{LEFT_PX - 4}" y1="{y:.1f}" y2="{y:.1f}"/>')
            parts.append(f'<text class="small end" x="{LEFT_PX - 16}" y="{y + 5:.1f}">{abs(number)} {word}</text>')
    return parts


def _skin_ends(mesh: HullMesh) -> tuple[float, float]:
    """Fore and aft end of the plain hull, m."""
    x = mesh.unrolled_m[mesh.part_of == 0, :, 1]
    return (float(x.min()), float(x.max())) if x.size else (0.0, 1.0)


def spot_marks(spot: Footprint, shape: Shape, sheet: Sheet) -> list[str]:
    """Outline and letter of what covers the skin, dashed where its place is a guess."""
    letter = LETTERS[spot.kind] + (str(spot.stand_set) if spot.kind == "pads" else "")
    guess = "" if spot.written_down else " guess"
    fore, aft = spot.ends_m
    said = spot.name + ("" if spot.written_down else ", usual place")
    if spot.kind == "slings":
        far = float(np.abs(sheet.high_m[1]))
        box = (sheet.x(fore), sheet.y(-far), sheet.x(aft), sheet.y(far))
        return [_box(box, "sling" + guess, said), _letter(0.5 * (box[0] + box[2]), box[1] + 16, letter)]
    if spot.kind == "blocks" and shape.drawn and (shape.mesh.part_of == 3).any():
        return _block_on_keel(spot, shape, sheet, said=said)
    signs = {"port": (-1.0,), "starboard": (1.0,), "centre": (1.0,)}[spot.side]
    parts = []
    for sign in signs:
        low, high = sorted(sign * edge for edge in spot.edges_m)
        box = (sheet.x(fore), sheet.y(low), sheet.x(aft), sheet.y(high))
        parts.append(_box(box, "spot" + guess, said))
        parts.append(_letter(0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3]) + 5, letter))
    return parts


def _block_on_keel(spot: Footprint, shape: Shape, sheet: Sheet, *, said: str) -> list[str]:
    """The letter of a block on the two halves of the keel's sole, which lie beside the hull."""
    mesh = shape.mesh
    middles = mesh.surface.centres_m[:, 0]
    near = (mesh.part_of == 3) & (np.abs(middles - spot.station_m) <= 0.5 * spot.length_m)
    flat = mesh.unrolled_m.mean(axis=1)[:, ::-1]
    parts = []
    for side in (flat[:, 1] < 0.0, flat[:, 1] > 0.0):
        chosen = flat[near & side]
        if len(chosen):
            x, y = chosen.mean(axis=0)
            parts.append(_letter(sheet.x(float(x)), sheet.y(float(y)) + 5, "B", said=said))
    return parts


def _box(box: tuple[float, float, float, float], style: str, said: str) -> str:
    """A box with an edge of paper round its line, so that it is seen on light and on dark grounds."""
    x, y, right, low = box
    place = f'x="{x:.1f}" y="{y:.1f}" width="{right - x:.1f}" height="{low - y:.1f}"'
    return f'<rect class="casing" {place}/><rect class="{style}" {place}><title>{escaped(said)}</title></rect>'


def _letter(x: float, y: float, text: str, *, said: str = "") -> str:
    told = f"<title>{escaped(said)}</title>" if said else ""
    return f'<text class="small halo" x="{x:.1f}" y="{y:.1f}">{told}{escaped(text)}</text>'


def panel_names(shape: Shape, sheet: Sheet, *, turned: bool = True) -> list[str]:
    """Names of the sides, and of keel, rudder and ends where there is room for them, upright too where `turned`."""
    skin = _skin_ends(shape.mesh)
    parts = []
    for girth, text in ((-0.09, "port"), (0.09, "starboard")):
        x, y = sheet.x(skin[0] + 0.17 * (skin[1] - skin[0])), sheet.y(girth * float(sheet.high_m[1])) + 6
        parts.append(f'<text class="name halo" x="{x:.1f}" y="{y:.1f}">{text}</text>')
    for panel in shape.panels:
        name = panel.name.partition(",")[0]
        x, y = sheet.x(panel.station_m), sheet.y(panel.girth_m)
        long, wide, needed = panel.length_m * sheet.scale, panel.width_m * sheet.scale, 8.0 * len(name)
        if long > needed:
            parts.append(_letter(x, y + 5, name))
        elif turned and wide > needed and long > LETTER_PX:
            place = f'transform="translate({x + 5:.1f} {y:.1f}) rotate(-90)"'
            parts.append(f'<text class="small halo" {place}>{escaped(name)}</text>')
    return parts
