"""Pictures of a study: chances by week of the start as a heat map with the days lost below, and options side by side.

Every cell carries its number and every kind of lost day its own pattern: nothing is told by colour alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from boottop.base.money import format_money
from boottop.plan.calendar import MONTHS
from boottop.plan.odds_result import Line, PlaceOdds
from boottop.plan.odds_table import Interval, WeekRow, week_label

CELL_W, CELL_H, NAMES_W, HEAD_H, BARS_H = 34, 26, 132, 42, 96
STEPS = (0.05, 0.25, 0.5, 0.75)
"""Shares at which the ground of a cell changes."""
KINDS: Mapping[str, tuple[str, ...]] = {
    "rain": ("rain",),
    "dew, damp air": ("dew", "damp air"),
    "cold, heat": ("cold", "heat"),
    "daylight, coats do not fit": ("daylight", "coats do not fit"),
    "yard or crew off": ("yard or crew off", "no weather known"),
}
LOOKS = ("solid", "hatch", "dots", "cross", "empty")


@dataclass(frozen=True, kw_only=True)
class Palette:
    """Colours as attributes have them: grounds and inks of the five steps of a cell, and the rest."""

    grounds: tuple[str, ...]
    inks: tuple[str, ...]
    ink: str
    rule: str
    paper: str
    bar: str


PRINT = Palette(
    grounds=("#fbfaf5", "#dcebef", "#a8cedb", "#17506a", "#0b3444"),
    inks=("#14232b", "#14232b", "#14232b", "#ffffff", "#ffffff"),
    ink="#14232b", rule="#c9c4b4", paper="#fbfaf5", bar="#1d3b57",
)  # fmt: skip
PAGE = Palette(
    grounds=tuple(f"var(--h{step})" for step in range(5)),
    inks=tuple(f"var(--i{step})" for step in range(5)),
    ink="var(--ink)", rule="var(--rule)", paper="var(--paper)", bar="var(--whole)",
)  # fmt: skip
PAGE_CSS = (
    ":root { --h0: #fbfaf5; --h1: #dcebef; --h2: #a8cedb; --h3: #17506a; --h4: #0b3444;"
    " --i0: #14232b; --i1: #14232b; --i2: #14232b; --i3: #ffffff; --i4: #ffffff; }\n"
    "@media (prefers-color-scheme: dark) { :root { --h0: #10181c; --h1: #182f3a; --h2: #1c4552; --h3: #a3d3e0;"
    " --h4: #dcf1f6; --i0: #f2efe6; --i1: #f2efe6; --i2: #f2efe6; --i3: #0c1215; --i4: #0c1215; } }\n"
)


def step_of(share: float) -> int:
    """Which of the five grounds a share has."""
    return sum(share >= edge for edge in STEPS)


def weeks_svg(line: Line, *, title: str, palette: Palette) -> str:
    """Heat map of one line: a column a week, a row a number of days, never afloat below, then days lost by kind."""
    rows = list(line.weeks)
    days = sorted(rows[0].within) if rows else []
    most = max([sum(row.lost.values()) for row in rows if row.lost["rain"] == row.lost["rain"]] or [0.0])
    width = NAMES_W + CELL_W * len(rows) + 8
    grid_h = CELL_H * (len(days) + 1)
    height = HEAD_H + grid_h + 26 + BARS_H + 22
    parts = [_open(width, height, title), _patterns(palette), *_heads(rows, palette)]
    for index, limit in enumerate(days):
        y = HEAD_H + CELL_H * index
        parts.append(_text(4, y + 18, f"within {limit} days", ink=palette.ink))
        parts += [_cell(column, y, row.within[limit], palette=palette) for column, row in enumerate(rows)]
    y = HEAD_H + CELL_H * len(days)
    parts.append(_text(4, y + 18, "never afloat", ink=palette.ink, bold=True))
    parts += [_cell(column, y, row.never, palette=palette, outlined=True) for column, row in enumerate(rows)]
    parts += _lost(rows, y=HEAD_H + grid_h + 26, most=most, palette=palette)
    return "".join([*parts, "</svg>"])


def options_svg(odds: PlaceOdds, *, currency: str, palette: Palette) -> str:
    """Options as bars of the chance within the days asked about, with their intervals, days ashore and cost."""
    target = odds.question.target_days
    row_h, bar_x, bar_w, width = 46, 250, 260, 800
    height = 40 + row_h * len(odds.options) + 14
    title = f"Options for a start in the week of {week_label(odds.question.week)}: afloat within {target} days"
    parts = [_open(width, height, title), _patterns(palette), _text(4, 18, title, ink=palette.ink, bold=True)]
    for index, option in enumerate(odds.options):
        y = 40 + row_h * index
        parts.append(_text(4, y + 17, option.option.label, ink=palette.ink, bold=True))
        for place, (who, line) in enumerate((("best policy", option.best), ("by forecast", option.forecast))):
            top = y + 20 * place
            parts.append(_text(bar_x - 8, top + 15, who, ink=palette.ink, anchor="end"))
            if line.here is None:
                parts.append(_text(bar_x, top + 15, "no start of that week", ink=palette.ink))
                continue
            row = line.here
            look = palette.bar if place == 0 else "url(#hatch)"
            parts += _bar(bar_x, top + 3, share=row.within[target], width=bar_w, look=(look, palette))
            least = "at least " if row.never.value > 0 else ""
            cost = format_money(row.cost_minor.value, currency, whole=True)
            words = f"{percent(row.within[target])}, {least}{row.ashore.value:.0f} d, {cost}"
            parts.append(_text(bar_x + bar_w + 10, top + 15, words, ink=palette.ink))
    return "".join([*parts, "</svg>"])


def percent(interval: Interval) -> str:
    """A share with its interval: "62 % (48 to 77)"."""
    value = f"{100 * interval.value:.0f} %"
    if interval.low is None or interval.high is None:
        return value
    return f"{value} ({100 * interval.low:.0f} to {100 * interval.high:.0f})"


def picture_svg(places: Sequence[PlaceOdds], *, title: str, currency: str) -> str:
    """All in one file of fixed colours: place by place the options, and below them the weeks of each option's best
    policy."""
    blocks: list[tuple[str, str]] = []
    for odds in places:
        several = len(places) > 1
        blocks.append((odds.place if several else "", options_svg(odds, currency=currency, palette=PRINT)))
        for option in odds.options:
            name = f"{odds.place + ', ' if several else ''}{option.option.label}: {option.best.label}"
            blocks.append((name, weeks_svg(option.best, title=name, palette=PRINT)))
    width = max(_size(block)[0] for _, block in blocks) + 32
    y, inner = 56, []
    for heading, block in blocks:
        if heading:
            inner.append(_text(16, y + 16, heading, ink=PRINT.ink, bold=True))
            y += 24
        inner.append(block.replace("<svg ", f'<svg x="16" y="{y}" ', 1))
        y += _size(block)[1] + 20
    head = f'<rect width="{width}" height="{y}" fill="{PRINT.paper}"/>' + _text(
        16, 32, title, ink=PRINT.ink, bold=True, px=18
    )
    return "".join([_open(width, y, title), head, *inner, "</svg>"])


def png_of(svg: str, *, pixels_per_inch: float = 144.0) -> bytes:
    """The picture as PNG, set by typst with the fonts that travel with boottop."""
    import tempfile
    from importlib import resources
    from pathlib import Path

    import typst

    fonts = resources.files("boottop.report").joinpath("fonts")
    with tempfile.TemporaryDirectory() as folder, resources.as_file(fonts) as place:
        Path(folder, "picture.svg").write_text(svg, encoding="utf-8")
        source = Path(folder, "picture.typ")
        source.write_text(
            '#set page(width: auto, height: auto, margin: 0pt)\n#image("picture.svg")\n', encoding="utf-8"
        )
        made = typst.compile(source, format="png", ppi=pixels_per_inch, font_paths=[place])
    return made if isinstance(made, bytes) else made[0]


def _open(width: int, height: int, title: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(title)}" width="{width}" '
        f'height="{height}" viewBox="0 0 {width} {height}" '
        'font-family="Source Sans Pro, DejaVu Sans, Verdana, sans-serif" font-size="13">'
    )


def _size(svg: str) -> tuple[int, int]:
    words = dict(part.split("=", 1) for part in svg[: svg.index(">")].split() if "=" in part)
    return int(words["width"].strip('"')), int(words["height"].strip('"'))


def _text(x: float, y: float, words: str, *, ink: str, anchor: str = "start", bold: bool = False, px: int = 13) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="{anchor}" fill="{ink}" font-size="{px}"{weight}>'
        f"{escape(words)}</text>"
    )


def _heads(rows: Sequence[WeekRow], palette: Palette) -> list[str]:
    """Months above, the day each week begins below."""
    parts, shown = [], ""
    for column, row in enumerate(rows):
        day = date.fromordinal(date(2023, 1, 1).toordinal() + 7 * row.week)
        x = NAMES_W + CELL_W * column
        if (month := MONTHS[day.month - 1]) != shown:
            parts.append(_text(x + 2, 16, month, ink=palette.ink, bold=True))
            shown = month
        parts.append(_text(x + CELL_W / 2, 34, str(day.day), ink=palette.ink, anchor="middle"))
    return [*parts, _text(4, 34, "week of", ink=palette.ink)]


def _cell(column: int, y: int, share: Interval, *, palette: Palette, outlined: bool = False) -> str:
    step = 0 if outlined else step_of(share.value)
    x = NAMES_W + CELL_W * column
    label = f"{100 * share.value:.0f}"
    return (
        f'<rect x="{x}" y="{y}" width="{CELL_W - 1}" height="{CELL_H - 1}" fill="{palette.grounds[step]}" '
        f'stroke="{palette.rule}" stroke-width="1"><title>{escape(percent(share))}</title></rect>'
        + _text(x + (CELL_W - 1) / 2, y + 18, label, ink=palette.inks[step], anchor="middle")
    )


def _lost(rows: Sequence[WeekRow], *, y: int, most: float, palette: Palette) -> list[str]:
    """Days lost by kind, stacked, a column a week; the sum stands on top."""
    parts = [_text(4, y + 14, "days lost, mean", ink=palette.ink)]
    for number, kind in enumerate(KINDS):
        top = y + 22 + 15 * number
        parts.append(
            f'<rect x="4" y="{top}" width="14" height="11" fill="{_look(number, palette)}" stroke="{palette.ink}"/>'
        )
        parts.append(_text(22, top + 10, _short(kind), ink=palette.ink, px=11))
    for column, row in enumerate(rows):
        x, at = NAMES_W + CELL_W * column + 5, float(y + BARS_H)
        total = sum(row.lost.values())
        if total != total or most <= 0.0:
            parts.append(_text(x + 12, at - 2, "-", ink=palette.ink, anchor="middle"))
            continue
        for number, names in enumerate(KINDS.values()):
            tall = (BARS_H - 20) * sum(row.lost[name] for name in names) / most
            at -= tall
            if tall > 0.2:
                parts.append(
                    f'<rect x="{x}" y="{at:.1f}" width="{CELL_W - 11}" height="{tall:.1f}" '
                    f'fill="{_look(number, palette)}" stroke="{palette.ink}" stroke-width="1"/>'
                )
        parts.append(_text(x + (CELL_W - 11) / 2, at - 3, f"{total:.1f}", ink=palette.ink, anchor="middle", px=11))
    return parts


def _short(kind: str) -> str:
    return {"daylight, coats do not fit": "day too short", "yard or crew off": "yard, crew off"}.get(kind, kind)


def _look(number: int, palette: Palette) -> str:
    look = LOOKS[number]
    return palette.bar if look == "solid" else palette.paper if look == "empty" else f"url(#{look})"


def _patterns(palette: Palette) -> str:
    ground = f'<rect width="6" height="6" fill="{palette.paper}"/>'
    marks = {
        "hatch": f'<path d="M0 6 L6 0" stroke="{palette.ink}" stroke-width="1.3"/>',
        "dots": f'<circle cx="3" cy="3" r="1.3" fill="{palette.ink}"/>',
        "cross": f'<path d="M0 3 H6 M3 0 V6" stroke="{palette.ink}" stroke-width="1"/>',
    }
    made = [
        f'<pattern id="{name}" width="6" height="6" patternUnits="userSpaceOnUse">{ground}{mark}</pattern>'
        for name, mark in marks.items()
    ]
    return f"<defs>{''.join(made)}</defs>"


def _bar(x: int, y: int, *, share: Interval, width: int, look: tuple[str, Palette]) -> list[str]:
    """A bar of a share with its interval as a line across its end."""
    fill, palette = look
    parts = [
        f'<rect x="{x}" y="{y}" width="{width}" height="14" fill="none" stroke="{palette.rule}"/>',
        f'<rect x="{x}" y="{y}" width="{width * share.value:.1f}" height="14" fill="{fill}" stroke="{palette.ink}"/>',
    ]
    if share.low is not None and share.high is not None:
        low, high = x + width * share.low, x + width * share.high
        parts.append(
            f'<path d="M{low:.1f} {y + 7} H{high:.1f} M{low:.1f} {y + 1} V{y + 13} M{high:.1f} {y + 1} V{y + 13}" '
            f'stroke="{palette.ink}" stroke-width="2" fill="none"/>'
        )
    return parts
