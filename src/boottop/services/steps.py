"""From the steps of a forecast, which widen with time, to the rows of whole hours that quality control takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from boottop.files.weather.table import HOUR_S, Table, utc_text
from boottop.services.failure import failed
from boottop.services.payload import MAX_HOURS

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LONGEST_STEP_H = 12


@dataclass(frozen=True, kw_only=True)
class About:
    """Of whom the rows are: `title` for people, the place of the grid point, when it was issued, under what licence."""

    title: str
    station: str
    licence: str
    place: tuple[float, float] | None
    issued: datetime | None = None

    @property
    def source(self) -> str:
        return self.title + (f", issued {utc_text(self.issued.timestamp())}" if self.issued else "")


@dataclass(frozen=True, kw_only=True)
class Issue:
    """What a service said: one table a member (all of the same hours), and when it was issued, if it says so."""

    tables: tuple[Table, ...]
    issued: datetime | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Series:
    """One quantity in SI at its stamps, shape (stamp,), stamps rising; `made` marks stamps of our own making."""

    epoch_s: Ints
    values: Floats
    made: Bools | None = None


@dataclass(frozen=True, kw_only=True)
class Rain:
    """What falls after `from_s` until `to_s` in all."""

    from_s: int
    to_s: int
    total_mm: float


def hourly(series: Series, hours_s: Ints) -> tuple[Floats, Bools]:
    """Values on whole hours, on a line between stamps up to 12 h apart, and which of them were made; shape (hour,).

    An hour on a stamp keeps the stamp's value, also where that is missing. Longer steps, or steps with a missing
    end, stay missing.

    >>> three = Series(epoch_s=np.array([0, 3600, 4 * 3600]), values=np.array([1.0, 2.0, 5.0]))
    >>> hourly(three, np.arange(5) * 3600)[0].tolist()
    [1.0, 2.0, 3.0, 4.0, 5.0]
    """
    stamps, values = series.epoch_s, series.values
    before = np.clip(np.searchsorted(stamps, hours_s, side="right") - 1, 0, stamps.size - 1)
    after = np.minimum(before + 1, stamps.size - 1)
    on_stamp = stamps[before] == hours_s
    step_s = np.maximum(stamps[after] - stamps[before], 1)
    share = (hours_s - stamps[before]) / step_s
    between = values[before] * (1.0 - share) + values[after] * share
    inside = (hours_s > stamps[0]) & (hours_s < stamps[-1]) & (step_s <= LONGEST_STEP_H * HOUR_S)
    result = np.where(on_stamp, values[before], np.where(inside, between, np.nan))
    own = series.made[before] if series.made is not None else np.zeros(hours_s.shape, dtype=np.bool_)
    return result, (~on_stamp | own) & ~np.isnan(result)


def rain_by_hour(spans: Sequence[Rain], hours_s: Ints) -> tuple[Floats, Bools]:
    """Rain of the hour before each stamp in mm, and where it is a share of a longer sum; shape (hour,).

    A sum over several hours is spread evenly over them: it can have fallen in any, so all of them count as wet, and
    the sum is kept; a sum of nothing is dry in every hour. Where spans overlap the shorter one holds.

    >>> rain_by_hour([Rain(from_s=0, to_s=6 * 3600, total_mm=3.0)], np.arange(1, 7) * 3600)[0].tolist()
    [0.5, 0.5, 0.5, 0.5, 0.5, 0.5]
    """
    rain = np.full(hours_s.shape, np.nan)
    spread = np.zeros(hours_s.shape, dtype=np.bool_)
    for span in sorted(spans, key=lambda span: span.from_s - span.to_s):
        hours = max((span.to_s - span.from_s) // HOUR_S, 1)
        here = slice(*np.searchsorted(hours_s, [span.from_s, span.to_s], side="right"))
        rain[here] = span.total_mm / hours
        spread[here] = hours > 1 and span.total_mm > 0
    return rain, spread & ~np.isnan(rain)


def to_table(series: Mapping[str, Series], rain: Sequence[Rain], *, about: About, notes: Sequence[str] = ()) -> Table:
    """Rows of whole hours from the first to the last at which all needed quantities are known."""
    air = series["air_c"].epoch_s
    if (air[-1] - air[0]) // HOUR_S > MAX_HOURS:
        raise failed(about.title, f"steps from {utc_text(air[0])} to {utc_text(air[-1])}", allowed=f"{MAX_HOURS} h")
    hours_s = np.arange(air[0], air[-1] + HOUR_S, HOUR_S, dtype=np.int64)
    values: dict[str, Floats] = {}
    filled: dict[str, Bools] = {}
    for field, one in series.items():
        values[field], filled[field] = hourly(one, hours_s)
    values["rain_mm"], filled["rain_mm"] = rain_by_hour(rain, hours_s)
    if "dew_c" in values:
        made = filled["dew_c"] | filled["air_c"]
        values["dew_c"] = np.where(made, np.fmin(values["dew_c"], values["air_c"]), values["dew_c"])
    return cut_table(hours_s, values, filled=filled, about=about, notes=(*notes, *_told(filled, hours_s)))


def cut_table(
    hours_s: Ints, values: Mapping[str, Floats], *, filled: Mapping[str, Bools], about: About, notes: Sequence[str]
) -> Table:
    """A table without the hours before the first and after the last that are whole; refused when none is."""
    whole = whole_hours(values)
    if whole is None:
        raise failed(
            about.title,
            "no hour with air, dew point or humidity, wind and rain together",
            allowed="a forecast of all four",
        )
    return Table(
        where=about.title,
        epoch_s=hours_s[whole],
        lines=np.arange(whole.start + 1, whole.stop + 1, dtype=np.int64),
        values={field: one[whole] for field, one in values.items() if not np.isnan(one[whole]).all()},
        covers_s=(int(hours_s[whole][0]), int(hours_s[whole][-1])),
        station=about.station,
        source=about.source,
        licence=about.licence,
        place=about.place,
        notes=tuple(notes),
        filled={field: marks[whole] for field, marks in filled.items() if field != "rh"},
    )


def whole_hours(values: Mapping[str, Floats]) -> slice | None:
    """From the first to the last hour with all that is needed; None when there is none."""
    absent = np.full(values["air_c"].shape, np.nan)
    damp = ~np.isnan(values.get("dew_c", absent)) | ~np.isnan(values.get("rh", absent))
    good = damp
    for field in ("air_c", "wind_m_s", "rain_mm"):
        good = good & ~np.isnan(values.get(field, absent))
    at = np.flatnonzero(good)
    return slice(int(at[0]), int(at[-1]) + 1) if at.size else None


def grid_point(place: tuple[float, float]) -> str:
    """Words for a place that is no station."""
    north, east = ("N" if place[0] >= 0 else "S"), ("E" if place[1] >= 0 else "W")
    return f"grid point {abs(place[0]):.2f} {north} {abs(place[1]):.2f} {east}"


def _told(filled: Mapping[str, Bools], hours_s: Ints) -> list[str]:
    notes = []
    air, rain = filled.get("air_c"), filled["rain_mm"]
    if air is not None and air.any():
        first = utc_text(int(hours_s[int(np.argmax(air))]))
        notes.append(f"steps: longer than an hour from {first}; {int(air.sum())} h lie on a line between them, marked")
    if rain.any():
        notes.append(
            f"rain: {int(rain.sum())} h are even shares of a sum over several hours, marked; "
            "a shower of one hour shows as drizzle over all of them"
        )
    return notes
