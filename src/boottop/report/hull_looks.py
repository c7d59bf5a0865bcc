"""How a zone is filled in the picture: by what was done to it, by number on a scale, each with words and a hatch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Literal

from boottop.base.quantities import System, format_quantity
from boottop.report.packaged import packaged
from boottop.report.typeset import typeset

Mode = Literal["state", "surface", "margin", "film"]
MODES: tuple[tuple[Mode, str], ...] = (
    ("state", "What was done"),
    ("surface", "Hull temperature"),
    ("margin", "Above the dew point"),
    ("film", "Film on the hull"),
)
TILE = 16
PATTERNS: dict[str, str] = {
    "plain": "",
    "dots": "M3 4h2M11 12h2",
    "dense": "M2 2h2M10 2h2M6 6h2M14 6h1M2 10h2M10 10h2M6 14h2M14 14h1",
    "rise": "M-4 12L12 -4M4 20L20 4",
    "fall": "M4 -4L20 12M-4 4L12 20",
    "level": "M0 4H16M0 12H16",
    "upright": "M4 0V16M12 0V16",
    "grid": "M0 8H16M8 0V16",
    "cross": "M0 0L16 16M16 0L0 16",
    "dash": "M1 4h6M9 12h6",
    "boxes": "M5 5H11V11H5Z",
}
"""One tile of each hatch as the path of its strokes, drawn alike in the page, in print and on the turning hull."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """One way to fill a zone: `key` names its colours in hull.css, `pattern` its hatch; `words` stand in the legend."""

    key: str
    words: str
    pattern: str


STATES: tuple[Look, ...] = (
    Look(key="s-none", words="not begun", pattern="dots"),
    Look(key="s-strip", words="stripped", pattern="rise"),
    Look(key="s-sand", words="sanded", pattern="fall"),
    Look(key="s-clean", words="wiped, ready to coat", pattern="plain"),
    Look(key="s-wet", words="coat fresh: hands off", pattern="level"),
    Look(key="s-next", words="may take the next coat", pattern="dash"),
    Look(key="s-late", words="waited too long: sand first", pattern="cross"),
    Look(key="s-hard", words="all coats on, hardening", pattern="upright"),
    Look(key="s-done", words="hard enough for the water", pattern="grid"),
    Look(key="s-bare", words="sanded to bare copper", pattern="plain"),
    Look(key="s-pads", words="under a pad or block", pattern="dense"),
    Look(key="s-skip", words="not coated this time", pattern="boxes"),
)
STATE_LOOKS = {look.key: look for look in STATES}
SCALE_PATTERNS = ("dots", "rise", "plain", "level", "fall", "upright", "dash", "grid")
NO_NUMBER = Look(key="none", words="no number", pattern="dots")
SURFACE_EDGES_C = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0)
FILM_EDGES_FRACTION = (0.01, 0.26, 0.51, 0.76, 0.99, 1.16)
FILM_WORDS = ("none yet", "up to a quarter", "up to a half", "up to three quarters", "almost all", "all of it",
              "more than the sheet says")  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Scale:
    """A number sorted into looks by `edges`: the first look below the first edge, the last above the last."""

    edges: tuple[float, ...]
    looks: tuple[Look, ...]

    def look_of(self, value: float | None) -> Look:
        """The look of a number; `NO_NUMBER` where there is none."""
        if value is None or value != value:
            return NO_NUMBER
        return self.looks[sum(value >= edge for edge in self.edges)]


def surface_scale(units: System) -> Scale:
    """Surface temperature, degC."""
    return _scale("t", SURFACE_EDGES_C, [_number(edge, "temperature", units) for edge in SURFACE_EDGES_C])


def margin_scale(limit_k: float, units: System) -> Scale:
    """Surface above the dew point, K: wet, too close by the sheet's limit, and how much there is to spare."""
    edges = (0.0, limit_k, limit_k + 2.0, limit_k + 4.0, limit_k + 8.0)
    found = _scale("d", edges, [_number(edge, "difference", units) for edge in edges])
    words = ("below the dew point: wet", f"too close, under {_number(limit_k, 'difference', units)}")
    looks = [Look(key=one.key, words=said, pattern=one.pattern) for one, said in zip(found.looks, words, strict=False)]
    return Scale(edges=edges, looks=(*looks, *found.looks[2:]))


def film_scale() -> Scale:
    """Dry film on the zone over what the sheets ask for, dimensionless."""
    looks = [
        Look(key=f"f-{number}", words=words, pattern=SCALE_PATTERNS[number]) for number, words in enumerate(FILM_WORDS)
    ]
    return Scale(edges=FILM_EDGES_FRACTION, looks=tuple(looks))


def _number(value: float, kind: str, units: System) -> str:
    return typeset(format_quantity(value, kind, units, digits=3))


def _scale(letter: str, edges: Sequence[float], said: Sequence[str]) -> Scale:
    words = [f"under {said[0]}", *(f"{low} to {high}" for low, high in pairwise(said)), f"{said[-1]} and over"]
    looks = [
        Look(key=f"{letter}-{number}", words=text, pattern=SCALE_PATTERNS[number]) for number, text in enumerate(words)
    ]
    return Scale(edges=tuple(edges), looks=tuple(looks))


def definitions(looks: Iterable[Look]) -> str:
    """`<defs>` with the hatch of every look, to be filled with `url(#h-KEY)`."""
    tiles = "".join(
        f'<pattern id="h-{look.key}" width="{TILE}" height="{TILE}" patternUnits="userSpaceOnUse">'
        f'<rect width="{TILE}" height="{TILE}" class="g g-{look.key}"/>'
        f'<path d="{PATTERNS[look.pattern]}" class="i i-{look.key}"/></pattern>'
        for look in looks
    )
    return f"<defs>{tiles}</defs>"


def swatch(look: Look) -> str:
    """A small sample of a look for a legend in the page."""
    fill = f'<rect width="44" height="26" fill="url(#h-{look.key})"/>'
    return f'<svg width="44" height="26" aria-hidden="true">{fill}</svg>'


def hull_css() -> str:
    """The colours of the picture, light and dark."""
    return packaged("hull.css")


def escaped(text: str) -> str:
    """Text for an SVG."""
    return escape(text, quote=True)
