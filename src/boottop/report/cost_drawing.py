"""Drawings of the cost: what carries it, the years, the spread, the tornado, fuel by condition.

On a page they take the width there is (widths in per cent, letters of one size); in a document of fixed width they are
drawn in pixels, with the light palette written out. Ways are told apart by a letter and a dash, never by colour alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from boottop.money.case import GROUPS
from boottop.money.decide import Decision, Outcome
from boottop.money.fuel import Burn
from boottop.report.cost_words import money_span, round_money, span_words

LETTERS = "ABCDEFGHJK"
DASHES = ("", "9 4", "3 3", "12 3 3 3", "1 4", "6 2 1 2")
ROW_PX, BAR_PX, TEXT_PX = 18, 12, 13
TORNADO_ROWS = 12


@dataclass(frozen=True, kw_only=True)
class Palette:
    """Colours as attributes have them."""

    ink: str
    quiet: str
    rule: str
    paper: str
    fills: tuple[str, ...]


PAGE = Palette(
    ink="var(--ink)", quiet="var(--quiet)", rule="var(--rule)", paper="var(--paper)",
    fills=("var(--whole)", "var(--starboard)", "var(--gear)", "var(--pads)", "var(--port)", "var(--extra)"),
)  # fmt: skip
PRINT = Palette(
    ink="#14232b", quiet="#3f4a50", rule="#c9c4b4", paper="#fbfaf5",
    fills=("#1d3b57", "#0f4a2f", "#4a3312", "#3d2a5c", "#7d1420", "#45484a"),
)  # fmt: skip


class Sheet:
    """A drawing under way. `width_px` None: as wide as its place."""

    def __init__(self, height: int, label: str, *, palette: Palette, width_px: int | None) -> None:
        self.palette, self.width_px = palette, width_px
        wide = "100%" if width_px is None else str(width_px)
        self.parts = [
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(label)}" width="{wide}" '
            f'height="{height}" font-family="DejaVu Sans, Verdana, sans-serif" font-size="{TEXT_PX}">'
        ]

    def x(self, share: float) -> str:
        """A place between the left edge, 0, and the right one, 1."""
        held = min(max(share, 0.0), 1.0)
        return f"{100.0 * held:.2f}%" if self.width_px is None else f"{held * self.width_px:.1f}"

    def text(self, share: float, y: float, words: str, *, anchor: str = "start", bold: bool = False) -> None:
        weight = ' font-weight="bold"' if bold else ""
        self.parts.append(
            f'<text x="{self.x(share)}" y="{y:.0f}" text-anchor="{anchor}" fill="{self.palette.ink}"{weight}>'
            f"{escape(words)}</text>"
        )

    def bar(self, begin: float, end: float, *, y: float, fill: str, height: float = BAR_PX) -> None:
        low, high = sorted((begin, end))
        self.parts.append(
            f'<rect x="{self.x(low)}" y="{y:.1f}" width="{self.x(high - low)}" height="{height:.0f}" fill="{fill}"/>'
        )

    def line(self, begin: tuple[float, float], end: tuple[float, float], *, look: str) -> None:
        self.parts.append(
            f'<line x1="{self.x(begin[0])}" y1="{begin[1]:.1f}" x2="{self.x(end[0])}" y2="{end[1]:.1f}" {look}/>'
        )

    def finish(self) -> str:
        return "".join([*self.parts, "</svg>"])


def letter_of(decision: Decision, name: str) -> str:
    """The letter a way goes by in the drawings."""
    return LETTERS[[one.name for one in decision.outcomes].index(name) % len(LETTERS)]


def lettered(decision: Decision, words: str) -> str:
    """Words of an input with the way it belongs to by its letter."""
    for one in decision.outcomes:
        if words.startswith(f"{one.name}: "):
            return f"{letter_of(decision, one.name)}: {words.removeprefix(one.name + ': ')}"
    return words


def draw_groups(decision: Decision, *, palette: Palette = PAGE, width_px: int | None = None) -> str:
    """What carries the cost: under each kind of cost one bar a way, discounted."""
    sums = {group: [_group_sum(one, group) for one in decision.outcomes] for group in GROUPS}
    shown = {group: values for group, values in sums.items() if any(values)}
    most = max((max(values) for values in shown.values()), default=1) or 1
    count, currency = len(decision.outcomes), decision.case.currency
    height = len(shown) * (ROW_PX * (count + 1) + 8) + 4
    sheet = Sheet(height, "What carries the cost, by kind and way", palette=palette, width_px=width_px)
    y = 0.0
    for group, values in shown.items():
        sheet.text(0.0, y + 14, group, bold=True)
        for number, minor in enumerate(values):
            top = y + ROW_PX * (number + 1)
            share = 0.06 + 0.6 * max(minor, 0) / most
            sheet.text(0.0, top + 11, LETTERS[number % len(LETTERS)])
            sheet.bar(0.06, share, y=top + 1, fill=palette.fills[number % len(palette.fills)])
            sheet.text(share + 0.015, top + 11, round_money(minor, currency))
        y += ROW_PX * (count + 1) + 8
    return sheet.finish()


def _group_sum(one: Outcome, group: str) -> int:
    return sum(line.worth_minor for line in one.lines if line.group == group)


def draw_years(decision: Decision, *, palette: Palette = PAGE, width_px: int | None = None) -> str:
    """Spent so far, year by year, likely case, discounted; what is given back at the end is not in it."""
    outcomes, years = decision.outcomes, decision.case.horizon_years
    most = max(max(one.by_year_minor) for one in outcomes) or 1
    height, base, top = 264, 226.0, 16.0
    sheet = Sheet(height, "Spent so far, year by year", palette=palette, width_px=width_px)
    left, right = 0.02, 0.93
    grid = f'stroke="{palette.rule}" stroke-width="1"'
    for part in (0.0, 0.5, 1.0):
        y = base - part * (base - top)
        sheet.line((left, y), (right, y), look=grid)
        sheet.text(left, y - 3, round_money(round(part * most), decision.case.currency))
    for year in _ticks(years):
        sheet.text(left + (right - left) * year / years, base + 18, str(year), anchor="middle")
    sheet.text(left, height - 6, "years from now")
    for number, one in enumerate(outcomes):
        dash = DASHES[number % len(DASHES)]
        look = f'stroke="{palette.fills[number % len(palette.fills)]}" stroke-width="2.5" stroke-dasharray="{dash}"'
        before = base - (base - top) * one.by_year_minor[0] / most
        for year, minor in enumerate(one.by_year_minor, start=1):
            y = base - (base - top) * minor / most
            begin, end = (left + (right - left) * edge / years for edge in (year - 1, year))
            sheet.line((begin, before), (end, y), look=look)
            before = y
    for number, y in _apart([base - (base - top) * one.by_year_minor[-1] / most for one in outcomes]):
        sheet.text(right + 0.015, y + 4, LETTERS[number % len(LETTERS)], bold=True)
    return sheet.finish()


def _ticks(years: int) -> Sequence[int]:
    step = max(1, years // 5)
    return range(step, years + 1, step)


def _apart(places: Sequence[float]) -> list[tuple[int, float]]:
    """Letters at the ends of lines, pushed apart so that none covers another."""
    held: list[tuple[int, float]] = []
    for number, y in sorted(enumerate(places), key=lambda one: one[1]):
        held.append((number, max(y, held[-1][1] + TEXT_PX + 1) if held else y))
    return held


def draw_spread(decision: Decision, *, palette: Palette = PAGE, width_px: int | None = None) -> str:
    """5 to 95 % of the draws of each way, the middle and the likely case marked."""
    ends = [minor for one in decision.outcomes for minor in (*one.spread_minor, one.likely_minor)]
    low, high = min(ends), max(ends)
    low = min(low, 0) if low < 0.3 * high else low
    sheet = Sheet(
        len(decision.outcomes) * 44 + 22, "Spread of the cost of each way", palette=palette, width_px=width_px
    )

    def at(minor: int) -> float:
        return 0.06 + 0.9 * (minor - low) / max(high - low, 1)

    for number, one in enumerate(decision.outcomes):
        y = 44.0 * number + 14
        words = " to ".join(round_money(one.spread_minor[end], decision.case.currency) for end in (0, 2))
        sheet.text(0.0, y, f"{LETTERS[number % len(LETTERS)]}  {words}")
        sheet.bar(
            at(one.spread_minor[0]), at(one.spread_minor[2]), y=y + 6, fill=palette.fills[number % len(palette.fills)]
        )
        middle = f'stroke="{palette.paper}" stroke-width="3"'
        sheet.line((at(one.spread_minor[1]), y + 6), (at(one.spread_minor[1]), y + 18), look=middle)
        likely = f'stroke="{palette.ink}" stroke-width="3"'
        sheet.line((at(one.likely_minor), y + 3), (at(one.likely_minor), y + 23), look=likely)
    sheet.text(0.0, len(decision.outcomes) * 44 + 16, "gap: middle draw; upright line: as most likely")
    return sheet.finish()


def draw_tornado(decision: Decision, *, palette: Palette = PAGE, width_px: int | None = None) -> str:
    """What the best way saves against the next as each input runs through its range, the widest first."""
    shown, currency = decision.swings[:TORNADO_ROWS], decision.case.currency
    ends = [minor for one in shown for minor in one.saving_minor] + [0]
    low, high = min(ends), max(max(ends), min(ends) + 1)
    label = f"What {decision.best} saves against {decision.rival}, input by input"
    sheet = Sheet(len(shown) * 52 + 24, label, palette=palette, width_px=width_px)

    def at(minor: float) -> float:
        return 0.02 + 0.94 * (minor - low) / (high - low)

    bottom = len(shown) * 52.0
    for number, one in enumerate(shown):
        y = 52.0 * number + 14
        sheet.text(0.0, y, lettered(decision, one.words), bold=True)
        span = span_words(one.ends, one.unit, currency)
        sheet.text(0.0, y + 15, f"{span}: saves {money_span(one.saving_minor, currency)}")
        sheet.bar(at(one.saving_minor[0]), at(one.saving_minor[1]), y=y + 19, fill=palette.fills[0])
        for width, stroke in ((5, palette.paper), (2, palette.ink)):
            look = f'stroke="{stroke}" stroke-width="{width}"'
            sheet.line((at(0), y + 17), (at(0), y + 33), look=look)
    anchor = "end" if at(0) > 0.6 else "start"
    sheet.text(at(0), bottom + 18, "upright line: saves nothing", anchor=anchor)
    return sheet.finish()


def draw_burn(burns: Sequence[Burn], speeds: str, *, palette: Palette = PAGE, width_px: int | None = None) -> str:
    """Fuel that each condition of the bottom adds at one speed, in shares of what a smooth one burns."""
    shown = [one for one in burns if one.added_l_h > 0.0]
    most = max((one.added_share for one in shown), default=1.0)
    sheet = Sheet(len(shown) * 38 + 4, f"Fuel added by the bottom at {speeds}", palette=palette, width_px=width_px)
    for number, one in enumerate(shown):
        y = 38.0 * number + 14
        sheet.text(0.0, y, one.condition + ("" if one.trusted else " (out of range)"))
        share = 0.7 * one.added_share / most
        sheet.bar(0.0, share, y=y + 5, fill=palette.fills[0])
        sheet.text(share + 0.015, y + 15, f"+{100.0 * one.added_share:.0f} %")
    return sheet.finish()
