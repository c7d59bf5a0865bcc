"""The drawing of a plan: bars of work over bands of weather, one lane a zone, and the strips that explain them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from boottop.report.axis import Axis
from boottop.report.bands import LOOKS, spans

LANE_PX, STRIP_PX, HEAD_PX, GAP_PX = 60, 92, 40, 8
BAR_TOP_PX, BAR_PX = 16, 28
LABEL_CHAR_PX = 7.4


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One task on the drawing: marks, the few letters inside the bar, the full words, and its colour class."""

    first: int
    end: int
    short: str
    words: str
    colour: str


@dataclass(frozen=True, kw_only=True)
class Lane:
    """One row: its name, the rule that closes each slot (None: no weather behind it), and its bars."""

    name: str
    rules: NDArray[np.int8] | None
    bars: tuple[Bar, ...]


@dataclass(frozen=True, kw_only=True)
class Curve:
    """One line of a strip, shape (slot,), with the style class that tells it from the others."""

    name: str
    values: NDArray[np.float64]
    style: str


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A small chart under the lanes. `limit` is drawn across; `filled` draws columns from the bottom (rain)."""

    name: str
    unit: str
    curves: tuple[Curve, ...]
    limit: float | None = None
    filled: bool = False


def draw(axis: Axis, lanes: Sequence[Lane], strips: Sequence[Strip]) -> str:
    """The whole drawing as one SVG element; row names are drawn apart by `row_names` so that they can stay in view."""
    height = _height(lanes, strips)
    parts = [
        f'<svg class="days" role="img" aria-label="Tasks over weather, day by day" width="{axis.width:.0f}" '
        f'height="{height}" viewBox="0 0 {axis.width:.0f} {height}">',
        _patterns(),
        *_head(axis, height),
    ]
    y = float(HEAD_PX)
    for lane in lanes:
        parts += _lane(axis, lane, y)
        y += LANE_PX + GAP_PX
    for strip in strips:
        parts += _strip(axis, strip, y)
        y += STRIP_PX + GAP_PX
    parts.append("</svg>")
    return "".join(parts)


def row_names(lanes: Sequence[Lane], strips: Sequence[Strip]) -> list[tuple[str, int]]:
    """Name and height in pixels of each row, in order; the caller sets them beside the drawing."""
    rows = [(lane.name, LANE_PX + GAP_PX) for lane in lanes]
    return rows + [(f"{strip.name}, {strip.unit}", STRIP_PX + GAP_PX) for strip in strips]


def _height(lanes: Sequence[Lane], strips: Sequence[Strip]) -> int:
    return HEAD_PX + len(lanes) * (LANE_PX + GAP_PX) + len(strips) * (STRIP_PX + GAP_PX)


def _patterns() -> str:
    """A hatch for each look, so that colour never tells it alone."""
    marks = {
        "open": "",
        "wet": '<path d="M0 8 L8 0" class="ink"/>',
        "dew": '<circle cx="2" cy="2" r="1.2" class="dot"/><circle cx="6" cy="6" r="1.2" class="dot"/>',
        "cold": '<path d="M0 4 H8" class="ink"/>',
        "hot": '<path d="M4 0 V8" class="ink"/>',
        "dark": "",
        "unknown": '<path d="M0 0 L8 8 M0 8 L8 0" class="ink"/>',
    }
    patterns = "".join(
        f'<pattern id="look-{look.name}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<rect width="8" height="8" class="ground-{look.name}"/>{marks[look.name]}</pattern>'
        for look in LOOKS
    )
    return f"<defs>{patterns}</defs>"


def _head(axis: Axis, height: int) -> list[str]:
    parts = []
    for tick, end in axis.days():
        parts.append(f'<line x1="{tick.x:.1f}" x2="{tick.x:.1f}" y1="0" y2="{height}" class="midnight"/>')
        if end - tick.x > 60:
            parts.append(f'<text x="{(tick.x + end) / 2:.1f}" y="15" class="date">{escape(tick.text)}</text>')
    for tick in axis.hours():
        parts.append(f'<text x="{tick.x:.1f}" y="32" class="hour">{tick.text}</text>')
        parts.append(f'<line x1="{tick.x:.1f}" x2="{tick.x:.1f}" y1="35" y2="{height}" class="hourline"/>')
    return parts


def _lane(axis: Axis, lane: Lane, y: float) -> list[str]:
    parts = [f'<rect x="0" y="{y}" width="{axis.width:.1f}" height="{LANE_PX}" class="lane"/>']
    if lane.rules is not None:
        parts += [
            f'<rect x="{axis.x(span.first):.1f}" y="{y}" width="{axis.x(span.end) - axis.x(span.first):.1f}" '
            f'height="{LANE_PX}" fill="url(#look-{span.look.name})"><title>{escape(span.look.legend)}</title></rect>'
            for span in spans(lane.rules)
            if span.end > axis.first and span.first < axis.last
        ]
    return parts + _bars(axis, lane, y)


def _bars(axis: Axis, lane: Lane, y: float) -> list[str]:
    """Bars with their letters: inside where they fit, else above, else below, else only in the words that pop up."""
    parts, taken = [], {"above": -1.0, "below": -1.0}
    for bar in sorted(lane.bars, key=lambda bar: bar.first):
        left, right = axis.x(bar.first), axis.x(bar.end)
        width, letters = max(right - left, 3.0), len(bar.short) * LABEL_CHAR_PX
        label = ""
        if letters + 2 <= width:
            label = _letters(left + width / 2, y + BAR_TOP_PX + 18, place="in", text=bar.short)
        else:
            free = next((row for row, until in taken.items() if until < left), None)
            if free is not None:
                taken[free] = left + letters + 4
                label = _letters(
                    left, y + (BAR_TOP_PX - 4 if free == "above" else LANE_PX - 5), place="over", text=bar.short
                )
        parts.append(
            f'<g class="bar {bar.colour}"><title>{escape(bar.words)}</title><rect x="{left:.1f}" '
            f'y="{y + BAR_TOP_PX}" width="{width:.1f}" height="{BAR_PX}" rx="2"/>{label}</g>'
        )
    return parts


def _letters(x: float, y: float, *, place: str, text: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{place}">{escape(text)}</text>'


def _strip(axis: Axis, strip: Strip, y: float) -> list[str]:
    low, high = _range(axis, strip)
    scale = (STRIP_PX - 12) / (high - low)

    def height(value: float) -> float:
        return y + STRIP_PX - 6 - (value - low) * scale

    parts = [f'<rect x="0" y="{y}" width="{axis.width:.1f}" height="{STRIP_PX}" class="lane"/>']
    for value in (low, high):
        parts.append(
            f'<text x="3" y="{height(value) + (12 if value == high else -3):.1f}" class="scale">{value:g}</text>'
        )
    if strip.limit is not None:
        at = height(strip.limit)
        parts.append(f'<line x1="0" x2="{axis.width:.1f}" y1="{at:.1f}" y2="{at:.1f}" class="limit"/>')
        parts.append(f'<text x="3" y="{at - 3:.1f}" class="scale">limit {strip.limit:g}</text>')
    for curve in strip.curves:
        points = [
            f"{(axis.x(slot) + axis.x(slot + 1)) / 2:.1f},{height(float(curve.values[slot])):.1f}"
            for slot in range(axis.first, axis.last)
            if np.isfinite(curve.values[slot])
        ]
        if points and strip.filled:
            floor = f"{height(low):.1f}"
            points = [f"{points[0].split(',')[0]},{floor}", *points, f"{points[-1].split(',')[0]},{floor}"]
        tag = "polygon" if strip.filled else "polyline"
        parts.append(
            f'<{tag} points="{" ".join(points)}" class="{curve.style}"><title>{escape(curve.name)}</title></{tag}>'
        )
    return parts


def _range(axis: Axis, strip: Strip) -> tuple[float, float]:
    shown = np.concatenate([curve.values[axis.first : axis.last] for curve in strip.curves])
    finite = shown[np.isfinite(shown)]
    values = finite if strip.limit is None else np.append(finite, strip.limit)
    if values.size == 0:
        return 0.0, 1.0
    low = 0.0 if strip.filled else float(np.floor(values.min() / 5) * 5)
    return low, max(float(np.ceil(values.max() / 5) * 5), low + 1.0)
