"""The picture of the tape guide: where along the waterline to tape, and how the tape runs round one section."""

from __future__ import annotations

from html import escape

import numpy as np

from boottop.base.quantities import System, format_quantity
from boottop.measure.guide import Guide, Step

WIDTH, TOP, DEEP = 720.0, 60.0, 96.0
_LEFT = 40.0
_LINE = 'fill="none" stroke="currentColor" stroke-width="1.6"'
_THIN = 'fill="none" stroke="currentColor" stroke-width="1"'
_WATER = f'{_LINE} stroke-dasharray="2 4"'
_TAPE = 'fill="none" stroke="currentColor" stroke-width="3.5"'


def tape_picture(guide: Guide, *, system: System = "metric") -> str:
    """An SVG drawing: the hull from the side with every station numbered in the order of taping (a solid line where it
    was taped, a broken one where it is to come), its distance from the fore end of the waterline under it, and beside
    it the way of the tape round one section."""
    parts = [*_side(guide, system), *_section()]
    length = format_quantity(guide.waterline_length_m, "length", system)
    title = f"{len(guide.steps)} stations along a waterline of {length}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} 340" width="{WIDTH:.0f}" height="340" '
        f'role="img" aria-label="{escape(title)}" fill="currentColor" font-size="13" '
        f'font-family="system-ui, sans-serif">'
        f"<title>{escape(title)}</title>{''.join(parts)}</svg>"
    )


def _side(guide: Guide, system: System) -> list[str]:
    span = WIDTH - 2 * _LEFT
    deepest = max(step.half_girth_m for step in guide.steps) or 1.0
    parts = [
        f'<path {_WATER} d="M{_LEFT - 25:.0f} {TOP:.0f}H{WIDTH - 15:.0f}"/>',
        f'<path {_LINE} d="{_outline(guide, deepest)}"/>',
        f'<text x="{_LEFT - 30:.0f}" y="20">bow</text>',
        f'<text x="{WIDTH - 12:.0f}" y="20" text-anchor="end">stern</text>',
    ]
    for number, step in enumerate(guide.steps, start=1):
        x = _LEFT + span * step.station_m / guide.waterline_length_m
        low = TOP + DEEP * step.half_girth_m / deepest
        state = "" if step.taped else ' stroke-dasharray="6 4"'
        row = 0 if _rank(guide, step) % 2 == 0 else 16
        place = format_quantity(step.station_m, "length", system)
        parts += [
            f'<path {_TAPE}{state} d="M{x:.1f} {TOP:.0f}V{max(low, TOP + 8):.1f}"/>',
            f'<text x="{x:.1f}" y="{TOP - 10:.0f}" text-anchor="middle" font-weight="700">{number}</text>',
            f'<text x="{x:.1f}" y="{TOP + DEEP + 26 + row:.0f}" text-anchor="middle">{escape(place)}</text>',
        ]
    return parts


def _rank(guide: Guide, step: Step) -> int:
    return sorted(other.station_m for other in guide.steps).index(step.station_m)


def _outline(guide: Guide, deepest: float) -> str:
    """The hull's lower edge through the expected girths, as if each hung straight down."""
    steps = sorted(guide.steps, key=lambda step: step.station_m)
    x = [0.0, *(step.station_m for step in steps), guide.waterline_length_m]
    g = [steps[0].half_girth_m if steps[0].station_m == 0.0 else 0.0, *(step.half_girth_m for step in steps)]
    g.append(steps[-1].half_girth_m if steps[-1].station_m == guide.waterline_length_m else 0.0)
    fine = np.linspace(0.0, guide.waterline_length_m, 80)
    depth = np.interp(fine, x, g)
    span = WIDTH - 2 * _LEFT
    points = [
        f"{_LEFT + span * at / guide.waterline_length_m:.1f} {TOP + DEEP * deep / deepest:.1f}"
        for at, deep in zip(fine.tolist(), depth.tolist(), strict=True)
    ]
    return f"M{_LEFT:.1f} {TOP:.0f}L" + "L".join(points) + f"L{WIDTH - _LEFT:.1f} {TOP:.0f}"


def _section() -> list[str]:
    """One section with the tape along one side, and the half-beam."""
    left, top = 150.0, 225.0
    hull = "M40 225C45 285 100 305 150 315"
    tape = "M150 315C200 305 255 285 260 225"
    lines = (
        "Seen from behind. Hold the tape at the waterline, follow the",
        "skin down to the centreline (thick line), and write down its",
        "length: the half-girth. The half-beam goes from the centreline",
        "straight out to the waterline. Keep the tape on the skin and",
        "square to the centreline; do not pull it across hollows.",
    )
    words = [
        f'<text x="{left + 150:.0f}" y="{top + 12 + 22 * row:.0f}">{escape(line)}</text>'
        for row, line in enumerate(lines)
    ]
    return [
        f'<path {_WATER} d="M{left - 130:.0f} {top:.0f}H{left + 130:.0f}"/>',
        f'<path {_LINE} d="{hull}"/><path {_TAPE} d="{tape}"/>',
        f'<path {_THIN} d="M{left:.0f} {top - 14:.0f}V{top + 96:.0f}"/>',
        f'<text x="{left + 8:.0f}" y="{top - 6:.0f}">half-beam</text>',
        f'<text x="{left + 2:.0f}" y="{top + 50:.0f}">half-girth</text>',
        *words,
    ]
