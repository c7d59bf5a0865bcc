"""Words of a job sheet that are neither numbers nor names: opening hours, weekdays, headings, coordinates, sizes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import time
from itertools import pairwise
from typing import Any

from boottop.base.errors import InputError
from boottop.base.quantities import parse
from boottop.files.jobsheet_table import Span, in_span, local_time, refuse
from boottop.plan.inputs import Hours

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
COMPASS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
HULL_COLOURS = {"white": 0.25, "copper": 0.75, "dark": 0.9, "black": 0.975}
_HOURS_EXAMPLE = '"Mon-Fri 08:00-18:00" or ["Mon-Fri 08:00-12:00, 13:00-17:00", "Sat 08:00-13:00"]'
_LATITUDE = r"(\d{1,3}(?:\.\d+)?)\s*(?:°|deg)?\s*(?:(\d{1,2}(?:\.\d+)?)\s*['′]?)?\s*([NSEWnsew])"  # noqa: RUF001 the prime people type


def weekdays(value: Any, where: str) -> tuple[int, ...]:
    """Weekdays 0 Monday to 6 Sunday of "Mon-Fri", "Mon, Wed, Sat" or "daily".

    >>> weekdays("Sat-Mon, Wed", "doc")
    (0, 2, 5, 6)
    """
    if isinstance(value, str) and value.strip().lower() in {"daily", "every day", "mon-sun"}:
        return tuple(range(7))
    found: set[int] = set()
    for part in value.split(",") if isinstance(value, str) else [""]:
        ends = [_weekday(name) for name in part.split("-")]
        numbers = [end for end in ends if end is not None]
        if len(numbers) != len(ends) or len(ends) > 2:
            raise refuse(where, value, allowed='weekdays such as "Mon-Fri" or "Mon, Wed"', advice="Write Mon ... Sun.")
        found |= {(numbers[0] + step) % 7 for step in range((numbers[-1] - numbers[0]) % 7 + 1)}
    return tuple(sorted(found))


def _weekday(name: str) -> int | None:
    short = name.strip().lower()
    full = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    hits = [number for number, day in enumerate(full) if len(short) >= 2 and day.startswith(short)]
    return hits[0] if len(hits) == 1 else None


def hours_of(value: Any, where: str) -> tuple[Hours, ...]:
    """Hours of one line such as "Mon-Fri 08:00-12:00, 13:00-17:00"."""
    match = re.fullmatch(r"\s*([A-Za-z ,-]+?)\s+(\d.*?)\s*", value) if isinstance(value, str) else None
    if match is None:
        raise refuse(where, value, allowed=_HOURS_EXAMPLE, advice="Write the days, a blank, and from-to.")
    spans = [_span_of_day(part, value, where) for part in match[2].split(",")]
    return tuple(
        Hours(weekday=day, opens=opens, closes=closes) for day in weekdays(match[1], where) for opens, closes in spans
    )


def _span_of_day(part: str, value: str, where: str) -> tuple[time, time]:
    match = re.fullmatch(r"\s*(\d\d?(?::\d\d)?)\s*[-\N{EN DASH}]\s*(\d\d?(?::\d\d)?)\s*", part)
    if match is None:
        raise refuse(where, value, allowed=_HOURS_EXAMPLE, advice="Write the hours as 08:00-18:00.")
    texts = [text if ":" in text else f"{text}:00" for text in match.groups()]
    midnight = texts[1] == "24:00"
    opens, closes = local_time(texts[0], where), time(0) if midnight else local_time(texts[1], where)
    if closes <= opens and not midnight:
        raise refuse(where, value, allowed="hours that close after they open, on one day", advice=_HOURS_ADVICE)
    return opens, closes


_HOURS_ADVICE = "Split a night shift in two: until 24:00, and from 00:00 the next day."


def week(lines: Iterable[tuple[Hours, ...]], where: str) -> tuple[Hours, ...]:
    """All hours of a week in order; InputError when two overlap."""
    every = sorted((hours for line in lines for hours in line), key=lambda h: (h.weekday, h.opens))
    for one, two in pairwise(every):
        if one.weekday == two.weekday and (one.closes == time(0) or two.opens < one.closes):
            day = WEEKDAYS[one.weekday]
            found = f"{day} {one.opens:%H:%M}-{one.closes:%H:%M} and {day} {two.opens:%H:%M}-{two.closes:%H:%M}"
            raise refuse(where, found, allowed="hours that do not overlap", advice="Give each weekday once.")
    return tuple(every)


def heading(value: Any, where: str) -> float:
    """Compass heading in degrees true, of "NE", "45 deg" or 45.

    >>> heading("SSW", "doc"), heading("45 deg", "doc")
    (202.5, 45.0)
    """
    if isinstance(value, str) and value.strip().upper() in COMPASS:
        return COMPASS.index(value.strip().upper()) * 22.5
    try:
        number = parse(value, "angle", where=where) if isinstance(value, str) else _plain_degrees(value, 360.0)
    except InputError:
        number = -1.0
    if not 0.0 <= number <= 360.0:
        allowed = 'a heading such as "NE", "SSW" or "45 deg", 0 to 360'
        raise refuse(where, value, allowed=allowed, advice="Take the true heading the bow points to.")
    return number % 360.0


def coordinate(value: Any, where: str, *, letters: str) -> float:
    """Degrees, north and east positive, of 40.64, "40.64 N" or "40 deg 38.4' N"; `letters` is "NS" or "EW"."""
    limit = 90.0 if letters == "NS" else 180.0
    match = re.fullmatch(_LATITUDE, value.strip()) if isinstance(value, str) else None
    if match and match[3].upper() in letters and float(match[2] or 0) < 60.0:
        number = float(match[1]) + float(match[2] or 0) / 60.0
        number = -number if match[3].upper() in "SW" else number
    else:
        number = _plain_degrees(value, limit)
    if abs(number) > limit:
        example = '40.64 or "40 deg 38.4\' N"' if letters == "NS" else '-73.78 or "73 deg 46.8\' W"'
        allowed = f"degrees such as {example}, at most {limit:g} either way"
        raise refuse(where, value, allowed=allowed, advice=f"{letters[0]} is positive, {letters[1]} negative.")
    return number


def _plain_degrees(value: Any, limit: float) -> float:
    """The number itself, or one out of every limit when it is none."""
    if isinstance(value, bool | str):
        return 2.0 * limit
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        return 2.0 * limit
    return number if abs(number) <= limit else 2.0 * limit


def rectangle(value: Any, where: str) -> float:
    """Area in m2 of a size "30 cm x 30 cm".

    >>> round(rectangle("12 in x 12 in", "doc"), 6)
    0.092903
    """
    length, width = rectangle_sides(value, where)
    return length * width


def rectangle_sides(value: Any, where: str) -> tuple[float, float]:
    """Both sides in m of a size "30 cm x 30 cm"."""
    parts = re.split(r"\s*[x\N{MULTIPLICATION SIGN}]\s*", value) if isinstance(value, str) else []
    if len(parts) != 2:
        raise refuse(where, value, allowed='a size such as "30 cm x 30 cm"', advice="Write both sides with units.")
    side = Span(low=0.0, high=20.0, above=True)
    return in_span(parts[0], "length", side, where=where), in_span(parts[1], "length", side, where=where)


def absorptance(value: Any, where: str) -> float:
    """Share of sunlight that a colour takes up: a word of HULL_COLOURS or a number.

    White epoxy 0.25 and black 0.975 from published tables (read second-hand), copper and dark ones assumed.
    """
    if isinstance(value, str) and value in HULL_COLOURS:
        return HULL_COLOURS[value]
    words = ", ".join(f'"{name}"' for name in HULL_COLOURS)
    try:
        return in_span(value, "fraction", Span(low=0.05, high=1.0), where=where)
    except InputError:
        allowed = f"{words} or a number from 0.05 to 1"
        raise refuse(where, value, allowed=allowed, advice="Choose the nearest colour.") from None
