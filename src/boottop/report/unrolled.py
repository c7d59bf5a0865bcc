"""The bottom unrolled flat, girth against length: zones by their film, bare and thin spots in their places."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Literal

MarkKind = Literal["pad", "block", "bare", "thin", "read"]
MARK_WORDS: dict[MarkKind, str] = {
    "pad": "under a stand's pad",
    "block": "on the blocks",
    "bare": "bare",
    "thin": "read thin, under 80 % of nominal",
    "read": "read",
}
Film = Literal["full", "less", "thin", "unknown", "bare"]
FILM_WORDS: dict[Film, str] = {
    "full": "film at nominal or more",
    "less": "80 to 100 % of nominal",
    "thin": "under 80 % of nominal",
    "unknown": "film not known",
    "bare": "stays bare",
}
WIDTH, LEFT, TOP = 1040.0, 92.0, 26.0


@dataclass(frozen=True, kw_only=True)
class Face:
    """An appendage's two faces as flat boxes beside the hull: its name, size and film."""

    name: str
    length_m: float
    height_m: float
    film: Film


@dataclass(frozen=True, kw_only=True)
class Mark:
    """Something at a place: `station_m` aft of the fore end, `girth_m` down from the waterline, on one side.

    `surveyed` False: nobody measured where; it is drawn dashed. `text` stands beside it.
    """

    kind: MarkKind
    station_m: float
    girth_m: float
    side: str
    text: str = ""
    surveyed: bool = True
    size_m: float = 0.3


@dataclass(frozen=True, kw_only=True)
class Unrolled:
    """What is drawn. `outline`: (station, half girth) from the waterline to the centreline, fore end first; `feet`: the
    scale along her is in feet."""

    outline: Sequence[tuple[float, float]]
    port: Film
    starboard: Film
    marks: Sequence[Mark] = ()
    faces: Sequence[Face] = ()
    note: str = ""
    feet: bool = False


def film_of(share: float | None) -> Film:
    """How a film with this share of nominal is drawn.

    >>> film_of(1.02), film_of(0.9), film_of(0.7), film_of(None)
    ('full', 'less', 'thin', 'unknown')
    """
    if share is None:
        return "unknown"
    return "full" if share >= 1.0 else "less" if share >= 0.8 else "thin"


def unrolled_svg(drawn: Unrolled) -> str:
    """The drawing as one SVG: port above, starboard below, the centreline between, the waterline at both edges."""
    length_m = max(station for station, _ in drawn.outline)
    most_m = max(girth for _, girth in drawn.outline)
    scale = (WIDTH - LEFT - 12.0) / length_m
    middle = TOP + most_m * scale
    faces_top = middle + most_m * scale + 36.0
    tallest = max((one.height_m for one in drawn.faces), default=0.0) * scale
    height = faces_top + (tallest + 30.0 if drawn.faces else 0.0)
    frame = _Frame(outline=drawn.outline, scale=scale, middle=middle)
    parts = [
        *_sides(drawn, frame),
        *_axis(frame, faces_top - 8.0, feet=drawn.feet),
        *(text for mark in drawn.marks for text in _mark(mark, frame)),
        *_faces(drawn.faces, scale, faces_top),
    ]
    label = "The bottom unrolled: port above, starboard below, bow to the left"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="rec" role="img" aria-label="{label}" width="{WIDTH:.0f}" '
        f'height="{height:.0f}" viewBox="0 0 {WIDTH:.0f} {height:.0f}">{"".join(parts)}</svg>'
    )


@dataclass(frozen=True, kw_only=True)
class _Frame:
    outline: Sequence[tuple[float, float]]
    scale: float
    middle: float

    def half_girth_m(self, station_m: float) -> float:
        """Half girth at a station, straight between the taped ones."""
        for (fore, low), (aft, high) in pairwise(self.outline):
            if station_m <= aft:
                share = (station_m - fore) / (aft - fore) if aft > fore else 0.0
                return low + min(max(share, 0.0), 1.0) * (high - low)
        return self.outline[-1][1]

    def at(self, station_m: float, girth_m: float, side: str) -> tuple[float, float]:
        """Pixel of a place: down from the waterline is towards the middle of the drawing."""
        half_m = self.half_girth_m(station_m)
        out_m = half_m - min(max(girth_m, 0.0), half_m)
        way = {"port": -1.0, "starboard": 1.0}.get(side, 0.0)
        return LEFT + station_m * self.scale, self.middle + way * out_m * self.scale


def _sides(drawn: Unrolled, frame: _Frame) -> Iterator[str]:
    for side, film, way in (("port", drawn.port, -1.0), ("starboard", drawn.starboard, 1.0)):
        edge = [(LEFT + s * frame.scale, frame.middle + way * g * frame.scale) for s, g in drawn.outline]
        ends = [(edge[-1][0], frame.middle), (edge[0][0], frame.middle)]
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in (*edge, *ends))
        yield f'<polygon class="film-{film}" points="{points}"/>'
        yield from _hatch(edge, frame.middle, film)
        yield f'<polygon class="edge" points="{points}"/>'
        y = frame.middle + way * 0.5 * max(g for _, g in drawn.outline) * frame.scale
        yield f'<text class="name" x="0" y="{y:.0f}">{side}</text>'
    x0, x1 = LEFT, LEFT + drawn.outline[-1][0] * frame.scale
    yield f'<line class="centre" x1="{x0:.1f}" x2="{x1:.1f}" y1="{frame.middle:.1f}" y2="{frame.middle:.1f}"/>'
    yield f'<text class="unit" x="0" y="{frame.middle + 4:.0f}">centreline</text>'


def _hatch(edge: Sequence[tuple[float, float]], middle: float, film: Film) -> Iterator[str]:
    """Upright strokes over what is thin, so that colour never tells it alone; wider apart where it is only less."""
    step = {"thin": 6, "less": 18}.get(film)
    if step is None:
        return
    strokes = []
    for (x0, y0), (x1, y1) in pairwise(edge):
        x = x0 - x0 % step + step
        while x < x1:
            strokes.append(f"M{x:.1f} {y0 + (y1 - y0) * (x - x0) / (x1 - x0):.1f}V{middle:.1f}")
            x += step
    yield f'<path class="strokes" d="{"".join(strokes)}"/>'


def _axis(frame: _Frame, y: float, *, feet: bool) -> Iterator[str]:
    """A tick a metre, or every three feet."""
    step_m, step, unit = (3 * 0.3048, 3, "ft") if feet else (1.0, 1, "m")
    yield f'<text class="unit" x="0" y="{y:.0f}">{unit} aft</text>'
    for number in range(int(frame.outline[-1][0] / step_m) + 1):
        x = LEFT + number * step_m * frame.scale
        yield f'<text class="date" x="{x:.1f}" y="{y:.0f}">{number * step}</text>'
        yield f'<line class="noon" x1="{x:.1f}" x2="{x:.1f}" y1="{TOP:.0f}" y2="{y - 12:.0f}"/>'


def _mark(mark: Mark, frame: _Frame) -> Iterator[str]:
    x, y = frame.at(mark.station_m, mark.girth_m, mark.side)
    dashed = "" if mark.surveyed else " guess"
    half = max(mark.size_m * frame.scale / 2.0, 5.0)
    if mark.kind == "read":
        yield f'<circle class="read" cx="{x:.1f}" cy="{y:.1f}" r="3.2"/>'
    elif mark.kind == "thin":
        yield f'<path class="mark thin" d="M{x - 7:.1f} {y - 6:.1f}h14l-7 12z"/>'
    else:
        box = f'x="{x - half:.1f}" y="{y - half:.1f}" width="{2 * half:.1f}" height="{2 * half:.1f}"'
        yield f'<rect class="mark {mark.kind}{dashed}" {box}/>'
        if mark.kind == "bare":
            left, top, side = f"{x - half:.1f}", f"{y - half:.1f}", f"{2 * half:.1f}"
            yield f'<path class="cross" d="M{left} {top}l{side} {side}m0 -{side}l-{side} {side}"/>'
    if mark.text:
        gap = 10.0 if mark.kind in ("read", "thin") else half + 3.0
        yield f'<text class="by" x="{x + gap:.1f}" y="{y + 4:.1f}">{escape(mark.text)}</text>'


def _faces(faces: Sequence[Face], scale: float, y: float) -> Iterator[str]:
    x = LEFT
    for face in faces:
        width, height = face.length_m * scale, face.height_m * scale
        for side in ("port", "starboard"):
            yield f'<rect class="film-{face.film}" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"/>'
            corner = [(x, y), (x + width, y)]
            yield from _hatch(corner, y + height, face.film)
            yield f'<rect class="edge" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"/>'
            yield f'<text class="by" x="{x:.1f}" y="{y + height + 14:.1f}">{escape(face.name)}, {side}</text>'
            x += max(width, 7.0 * len(f"{face.name}, {side}")) + 22.0
