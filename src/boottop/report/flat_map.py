"""The hull laid flat as a drawing: girth against length, as if one lay under her with the bow to the left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from boottop.base.quantities import System
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
FOOT_M, LETTER_PX = 0.3048, 16.0


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
    shape: Shape, fills: Mapping[str, Look], *, units: System = "metric", standalone: bool = False, title: str = ""
) -> str:
    """The flat hull as one SVG element, every zone filled with its look; a zone without one stays paper.

    `standalone` True: with its own colours and hatches, as a file of its own; False: the page has both already.
    """
    sheet = sheet_of(shape.mesh)
    parts = [_open(sheet, title or "Hull laid flat, girth against length", standalone)]
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
    return "".join([*parts, "</svg>"])


def escaped_css() -> str:
    """The style sheet as the text of a style element (it holds neither & nor <)."""
    return " ".join(hull_css().split())


def _open(sheet: Sheet, title: str, standalone: bool) -> str:
    space = ' xmlns="http://www.w3.org/2000/svg"' if standalone else ""
    return (
        f'<svg{space} class="flat" role="img" aria-label="{escaped(title)}" '
        f'viewBox="0 0 {WIDTH_PX:.0f} {sheet.height_px:.0f}"><title>{escaped(title)}</title>'
    )


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
    x, y, right, low = box
    return (
        f'<rect class="{style}" x="{x:.1f}" y="{y:.1f}" width="{right - x:.1f}" height="{low - y:.1f}">'
        f"<title>{escaped(said)}</title></rect>"
    )


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
