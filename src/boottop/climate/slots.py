"""From hourly weather to 15-minute slots, and the checks without which nothing is computed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR, Grid, hour_count
from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather

Floats = NDArray[np.float64]
Hours = NDArray[np.int64]
_LEAD_H = 48
_TAIL_H = 24
_NEEDED = ("air_c", "dew_c", "wind_m_s", "rain_mm")


def grid_for(weather: Weather, *, start: datetime | None = None, end: datetime | None = None) -> Grid:
    """The grid that a weather table covers: from its first stamp to its last, or the part of it from `start` to `end`.

    Both are cut inwards to whole hours. The first stamp carries rain and irradiance of the hour before it, which
    the grid leaves out.
    """
    first, last = weather.start, weather.start + timedelta(hours=weather.hours - 1)
    from_hour = max(0, -int((first - start) // timedelta(hours=1))) if start else 0
    to_hour = min(weather.hours - 1, int((end - first) // timedelta(hours=1))) if end else weather.hours - 1
    if to_hour <= from_hour:
        raise InputError(
            Problem(
                where="weather",
                found=f"hours from {first.isoformat()} to {last.isoformat()}",
                allowed="weather that covers the time asked for"
                + (f", from {start.isoformat()}" if start else "")
                + (f" to {end.isoformat()}" if end else ""),
                advice="Give weather for the days ashore, or move the job into the days that the weather has.",
            )
        )
    return Grid(start=first + timedelta(hours=from_hour), count=(to_hour - from_hour) * SLOTS_PER_HOUR)


@dataclass(frozen=True, kw_only=True)
class Span:
    """A stretch of weather around the grid: `grid` of all its slots, of which the asked ones are `first`..`first +
    count`. `hour` (slot,) is the index into the weather of the stamp that *ends* the slot's hour."""

    weather: Weather
    grid: Grid
    first: int
    count: int
    hour: Hours

    def at_stamps(self, values: Floats) -> Floats:
        """Values that hold at the stamps, made linear in between, at slot middles: (member, hour) to (member, slot)."""
        step = np.arange(self.grid.count) % SLOTS_PER_HOUR
        share = (step + 0.5) / SLOTS_PER_HOUR
        return np.asarray(values[:, self.hour - 1] * (1.0 - share) + values[:, self.hour] * share)

    def over_hours(self, values: Floats) -> Floats:
        """Means of the hour before each stamp, held over its slots: (member, hour) to (member, slot)."""
        return np.asarray(values[:, self.hour])

    def hourly(self, values: Floats) -> Floats:
        """Mean of four slots: (..., slot) to (..., hour of the span)."""
        return np.asarray(values.reshape(*values.shape[:-1], -1, SLOTS_PER_HOUR).mean(axis=-1))

    def spread(self, values: Floats) -> Floats:
        """An hour's value on each of its four slots: (..., hour of the span) to (..., slot)."""
        return np.repeat(values, SLOTS_PER_HOUR, axis=-1)

    def order(self) -> NDArray[np.int32]:
        """Slots in the order of the march: real weather before the grid as run-in where there are two days of it,
        else the first day twice over."""
        day = 24 * SLOTS_PER_HOUR
        once = np.arange(self.first + self.count, dtype=np.int32)
        if self.first >= 2 * day:
            return once
        return np.concatenate([np.resize(once[:day], 2 * day), once])


def span_of(weather: Weather, grid: Grid) -> Span:
    """Cut the weather to the grid with up to 48 h before it (run-in) and 24 h after it (whole days for estimates).

    Raises InputError when the weather is not on whole hours, does not cover the grid, or lacks a value.
    """
    _refuse(_problems(weather, grid))
    offset = int(hour_count(weather.start, grid.start))
    hours = grid.count // SLOTS_PER_HOUR
    lead = min(offset, _LEAD_H)
    tail = min(weather.hours - 1 - offset - hours, _TAIL_H)
    wide = Grid(start=grid.start - timedelta(hours=lead), count=(lead + hours + tail) * SLOTS_PER_HOUR)
    hour = offset - lead + 1 + np.arange(wide.count) // SLOTS_PER_HOUR
    _refuse(_gaps(weather, int(hour[0]) - 1, int(hour[-1]) + 1))
    return Span(weather=weather, grid=wide, first=lead * SLOTS_PER_HOUR, count=grid.count, hour=hour)


def _problems(weather: Weather, grid: Grid) -> list[Problem]:
    problems = []
    for where, when in (("weather start", weather.start), ("grid start", grid.start)):
        if when.tzinfo is None or when.astimezone(UTC).strftime("%M%S%f") != "0000000000":
            problems.append(
                Problem(
                    where=where,
                    found=repr(when),
                    allowed="an aware time on a whole hour of UTC",
                    advice="Resample the weather to whole UTC hours first.",
                )
            )
    if problems:
        return problems
    offset = hour_count(weather.start, grid.start)
    if offset < 0 or offset + grid.count / SLOTS_PER_HOUR > weather.hours - 1 or grid.count % SLOTS_PER_HOUR:
        last = weather.start + timedelta(hours=weather.hours - 1)
        problems.append(
            Problem(
                where="grid",
                found=f"{grid.start.isoformat()} to {grid.end.isoformat()}",
                allowed=f"whole hours of the weather, from {weather.start.isoformat()} to {last.isoformat()}",
                advice="Make the grid with grid_for(weather, start=..., end=...).",
            )
        )
    return problems


def _gaps(weather: Weather, first: int, last: int) -> list[Problem]:
    problems = []
    for name in _NEEDED:
        bad = ~np.isfinite(getattr(weather, name)[:, first:last])
        if bad.any():
            hour = first + int(np.argmax(bad.any(axis=0)))
            problems.append(
                Problem(
                    where=f"weather {name}",
                    found=f"no value at {(weather.start + timedelta(hours=hour)).isoformat()}"
                    f" ({int(bad.sum())} missing in all)",
                    allowed="a value for every hour",
                    advice="Fill short gaps when the file is read (and mark them), or choose days without a gap.",
                )
            )
    return problems


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise InputError(problems)
