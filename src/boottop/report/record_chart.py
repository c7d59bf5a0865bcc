"""The chart of conditions over the job, one drawing a week: coats over surface, dew margin, humidity and rain."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from html import escape
from zoneinfo import ZoneInfo

from boottop.job.board import BoardTable
from boottop.record.conditions import margins
from boottop.record.record import Record
from boottop.report.record_blocks import coat_label
from boottop.report.record_words import Words

WIDTH, LEFT, DAYS = 1040.0, 150.0, 7
LANE, STRIP, HEAD, GAP = 26.0, 66.0, 24.0, 6.0
DAY_S = 86_400


@dataclass(frozen=True, kw_only=True)
class Dots:
    """What was read: time and value."""

    points: Sequence[tuple[int, float]]


@dataclass(frozen=True, kw_only=True)
class Line:
    """What was worked out: a value each slot from a time on, and the class of its style."""

    start_s: int
    slot_s: int
    values: Sequence[float]
    style: str


@dataclass(frozen=True, kw_only=True)
class Strip:
    """One quantity: its name with unit, the lines and dots in it, and the limit that the sheet sets."""

    name: str
    lines: Sequence[Line]
    dots: Dots
    limit: float | None = None
    least: float | None = None


@dataclass(frozen=True, kw_only=True)
class Week:
    """One drawing: its title for those who cannot see it, and the SVG."""

    title: str
    svg: str


def weeks(record: Record, tables: Sequence[BoardTable], *, words: Words) -> list[Week]:
    """The job in drawings of seven days each; days at the ends in which nothing was logged are left out."""
    times = _times(record)
    if not times:
        return []
    zone = ZoneInfo(record.boat.zone_name)
    first = datetime.fromtimestamp(min(times), tz=zone).date()
    last = datetime.fromtimestamp(max(times), tz=zone).date()
    strips, found = _strips(record, tables, words=words), []
    while first <= last:
        midnights = [
            int(datetime.combine(first + timedelta(days=n), datetime.min.time(), tzinfo=zone).timestamp())
            for n in range(min(DAYS, (last - first).days + 1) + 1)
        ]
        if any(midnights[0] <= at_s < midnights[-1] for at_s in times):
            found.append(_week(record, strips, midnights))
        first += timedelta(days=DAYS)
    return found


def _times(record: Record) -> list[int]:
    ends = [one for one in (record.hauled_s, record.washed_s, record.launched_s) if one is not None]
    coats = [one.coat.finished_s for one in record.coats if one.coat.finished_s is not None]
    spells = [one.began_s for one in record.rain]
    return [*ends, *coats, *spells, *record.stands.values(), *(one.at_s for one in record.weather)]


def _strips(record: Record, tables: Sequence[BoardTable], *, words: Words) -> list[Strip]:
    table = tables[0] if tables else None
    sides = [zone for zone in table.zones if zone.kind == "side" and zone.systems] if table else []

    def lines(of: Callable[..., Sequence[float]], straight: tuple[float, float]) -> list[Line]:
        scale, shift = straight
        return [
            Line(
                start_s=table.start_s,
                slot_s=table.slot_s,
                values=[scale * value + shift for value in of(zone.systems[-1])],
                style=f"m-{zone.side}",
            )
            for zone in sides
            if table is not None
        ]

    warm, apart = words.straight("temperature"), words.straight("difference")

    margin_k = next((zone.systems[-1].dew_margin_k for zone in sides), None)
    read = margins(record.weather, None)
    surface = [(one.at_s, warm[0] * one.surface_c + warm[1]) for one in record.weather if one.surface_c is not None]
    humid = [(one.at_s, 100.0 * one.humidity) for one in record.weather if one.humidity is not None]
    return [
        Strip(
            name=f"above dew point, {words.unit('difference')}",
            lines=lines(lambda system: system.margin_k, apart),
            dots=Dots(points=[(one[0], apart[0] * one[3]) for one in read]),
            limit=None if margin_k is None else round(apart[0] * margin_k, 1),
            least=0.0,
        ),
        Strip(
            name=f"surface, {words.unit('temperature')}",
            lines=lines(lambda system: system.surface_c, warm),
            dots=Dots(points=surface),
        ),
        Strip(name="humidity, %", lines=(), dots=Dots(points=humid)),
    ]


@dataclass(frozen=True, kw_only=True)
class _Frame:
    midnights: Sequence[int]
    zone: ZoneInfo

    def x(self, at_s: int) -> float:
        share = (at_s - self.midnights[0]) / (DAYS * DAY_S)
        return LEFT + share * (WIDTH - LEFT)

    @property
    def right(self) -> float:
        return self.x(self.midnights[-1])

    def inside(self, at_s: int) -> bool:
        return self.midnights[0] <= at_s < self.midnights[-1]


def _week(record: Record, strips: Sequence[Strip], midnights: Sequence[int]) -> Week:
    frame = _Frame(midnights=midnights, zone=ZoneInfo(record.boat.zone_name))
    names = list(dict.fromkeys(one.zone for one in record.coats if frame.inside(one.coat.finished_s or 0)))
    body_top = HEAD
    height = body_top + len(names) * (LANE + 2) + GAP + len(strips) * (STRIP + GAP)
    first, last = (f"{datetime.fromtimestamp(at_s, tz=frame.zone):%d %b}" for at_s in (midnights[0], midnights[-1] - 1))
    title = f"Conditions and coats, {first} to {last}: what was read as dots, what was worked out as lines"
    parts = [*_rain(record, frame, height), *_head(frame, height)]
    y = body_top
    for name in names:
        parts += _lane(record, frame, y, name=name)
        y += LANE + 2
    y += GAP
    for strip in strips:
        parts += _strip(strip, frame, y)
        y += STRIP + GAP
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="rec" role="img" aria-label="{escape(title)}" '
        f'width="{WIDTH:.0f}" height="{height:.0f}" viewBox="0 0 {WIDTH:.0f} {height:.0f}">{"".join(parts)}</svg>'
    )
    return Week(title=title, svg=svg)


def _head(frame: _Frame, height: float) -> Iterator[str]:
    for at_s, end_s in zip(frame.midnights, frame.midnights[1:], strict=False):
        x, day = frame.x(at_s), datetime.fromtimestamp(at_s, tz=frame.zone)
        yield f'<line class="midnight" x1="{x:.1f}" x2="{x:.1f}" y1="0" y2="{height:.0f}"/>'
        yield f'<text class="date" x="{(x + frame.x(end_s)) / 2:.1f}" y="14">{day:%a} {day.day} {day:%b}</text>'
        noon = frame.x(at_s + DAY_S // 2)
        yield f'<line class="noon" x1="{noon:.1f}" x2="{noon:.1f}" y1="{HEAD:.0f}" y2="{height:.0f}"/>'


def _rain(record: Record, frame: _Frame, height: float) -> Iterator[str]:
    for spell in record.rain:
        end_s = spell.ended_s if spell.ended_s is not None else frame.midnights[-1]
        if end_s <= frame.midnights[0] or spell.began_s >= frame.midnights[-1]:
            continue
        left, right = max(LEFT, frame.x(spell.began_s)), min(frame.right, frame.x(end_s))
        size = f'width="{right - left:.1f}" height="{height - HEAD:.0f}"'
        yield f'<rect class="rain" x="{left:.1f}" y="{HEAD:.0f}" {size}/>'
        strokes = "".join(
            f"M{x:.1f} {HEAD:.0f}V{height:.0f}" for x in (left + 6 * n for n in range(int((right - left) // 6) + 1))
        )
        yield f'<path class="drops" d="{strokes}"/>'


def _lane(record: Record, frame: _Frame, y: float, *, name: str) -> Iterator[str]:
    yield f'<text class="name" x="0" y="{y + 18:.0f}">{escape(name)}</text>'
    yield f'<rect class="lane" x="{LEFT}" y="{y:.0f}" width="{frame.right - LEFT:.1f}" height="{LANE:.0f}"/>'
    ground = {"barrier": "c-whole", "primer": "c-gear"}
    for one in record.coats:
        finish_s = one.coat.finished_s or 0
        if one.zone != name or not frame.inside(finish_s):
            continue
        start_s = one.coat.started_s if one.coat.started_s is not None else finish_s - 900
        left, width = frame.x(start_s), max(frame.x(finish_s) - frame.x(start_s), 3.0)
        css, label = ground.get(one.role, "c-coat"), coat_label(one.role, one.coat.coat)
        yield f'<rect class="{css}" x="{left:.1f}" y="{y + 12:.0f}" width="{width:.1f}" height="{LANE - 13:.0f}"/>'
        yield f'<text class="above" x="{left + width / 2:.1f}" y="{y + 10:.0f}">{label}</text>'


def _strip(strip: Strip, frame: _Frame, y: float) -> Iterator[str]:
    low, high = _range(strip, frame)

    def height(value: float) -> float:
        return y + STRIP - 4 - (value - low) / (high - low) * (STRIP - 8)

    for number, words in enumerate(strip.name.split(", ")):
        css = "name" if number == 0 else "unit"
        yield f'<text class="{css}" x="0" y="{y + STRIP / 2 - 2 + 13 * number:.0f}">{escape(words)}</text>'
    yield f'<rect class="frame" x="{LEFT}" y="{y:.0f}" width="{frame.right - LEFT:.1f}" height="{STRIP:.0f}"/>'
    for value in (low, high):
        yield f'<text class="scale" x="{LEFT - 4}" y="{height(value) + 4:.1f}">{value:g}</text>'
    if strip.limit is not None:
        at = height(strip.limit)
        yield f'<line class="limit" x1="{LEFT}" x2="{frame.right:.1f}" y1="{at:.1f}" y2="{at:.1f}"/>'
        yield f'<text class="scale" x="{LEFT - 4}" y="{at + 4:.1f}">{strip.limit:g}</text>'
    for line in strip.lines:
        if points := _points(line, frame, height):
            yield f'<polyline class="{line.style}" points="{points}"/>'
    for at_s, value in strip.dots.points:
        if frame.inside(at_s):
            yield f'<circle class="read" cx="{frame.x(at_s):.1f}" cy="{height(value):.1f}" r="2.6"/>'


def _points(line: Line, frame: _Frame, height: Callable[[float], float]) -> str:
    """Every second slot, half an hour apart, that the week shows."""
    times = range(0, len(line.values), 2)
    pairs = [(line.start_s + slot * line.slot_s, line.values[slot]) for slot in times]
    return " ".join(f"{frame.x(at_s):.1f},{height(value):.1f}" for at_s, value in pairs if frame.inside(at_s))


def _range(strip: Strip, frame: _Frame) -> tuple[float, float]:
    values = [value for at_s, value in strip.dots.points if frame.inside(at_s)]
    for line in strip.lines:
        times = (line.start_s + slot * line.slot_s for slot in range(len(line.values)))
        values += [value for at_s, value in zip(times, line.values, strict=True) if frame.inside(at_s)]
    values += [one for one in (strip.limit, strip.least) if one is not None]
    if not values:
        return 0.0, 1.0
    low, high = 5.0 * (min(values) // 5.0), 5.0 * -(-max(values) // 5.0)
    return low, max(high, low + 5.0)
