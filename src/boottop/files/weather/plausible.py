"""What no instrument would say: values off the Earth, mixed-up units, stuck sensors, and clocks that miss the sun."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from boottop.base.errors import Problem
from boottop.climate.moist import dew_point_c
from boottop.climate.weather import Site
from boottop.files.weather.columns import BY_FIELD, Column, from_si
from boottop.files.weather.table import HOUR_S, Floats, Ints, Table, at_lines, utc_text

ROUNDING_K = 0.6  # a dew point rounded to whole Fahrenheit may lie this far above a rounded air temperature
STUCK_H = {"air_c": 18, "wind_m_s": 24, "pressure_pa": 24}
SUN_TELL_H, SUN_REFUSE_H = 0.5, 2.0
WARMEST_H = (10.0, 19.0)
FAR_KM = 50.0


def checked(table: Table) -> tuple[dict[str, Floats], list[Problem], list[str]]:
    """Values within what is possible, with the noise clipped; the impossible becomes one problem a quantity."""
    values, problems, notes = {}, [], []
    for field, raw in table.values.items():
        column = BY_FIELD[field]
        outside = (raw < column.low) | (raw > column.high)
        if outside.any():
            problems.append(_impossible(table, column, outside))
        low, high = column.clip
        noisy = ~outside & ((raw < low) | (raw > high))
        if noisy.any():
            notes.append(
                f"{column.name}: {int(noisy.sum())} values just outside {_span(column, column.clip)} set to it"
            )
        values[field] = np.clip(raw, low, high)
    _share_as_percent(table, problems)
    _dew_from_humidity(table, values, problems)
    _dew_above_air(table, values, (problems, notes))
    return values, problems, notes


def _span(column: Column, ends: tuple[float, float]) -> str:
    low, high = from_si(column, np.array(ends)).tolist()
    return f"{low:g} to {high:g} {column.units[0][0]}"


def _impossible(table: Table, column: Column, outside: np.ndarray) -> Problem:
    raw = table.values[column.field]
    first = float(from_si(column, raw[outside][:1])[0])
    hint = "Correct the value, or empty the cell."
    if any(abs(abs(first) - code) < 0.5 for code in (99.9, 999, 999.9, 9999, 99999, 999999)):
        hint = "It looks like a code for a missing value: empty such cells."
    elif column.si == "degC" and outside.mean() > 0.02 and np.nanmax(raw) < 120:
        hint = "It looks like Fahrenheit under a header that says otherwise: correct the unit in the header."
    elif column.field == "pressure_pa":
        hint = "Check the unit in the header: hPa are about 1013, inches of mercury about 29.9."
    return Problem(
        where=at_lines(f"{table.where}, {column.name},", table.lines[outside]),
        found=f"{first:g} {column.units[0][0]}",
        allowed=_span(column, (column.low, column.high)),
        advice=hint,
    )


def _share_as_percent(table: Table, problems: list[Problem]) -> None:
    rh = table.values.get("rh")
    if rh is None or rh.size < 3 or np.isnan(rh).all() or np.nanmax(rh) > 0.0101:
        return
    problems[:] = [problem for problem in problems if ", humidity," not in problem.where]
    problems.append(
        Problem(
            where=f"{table.where}, humidity",
            found=f"nothing above {np.nanmax(rh) * 100:g} %",
            allowed="relative humidity in the unit of its header",
            advice="These look like fractions: write humidity[1].",
        )
    )


def _dew_from_humidity(table: Table, values: dict[str, Floats], problems: list[Problem]) -> None:
    """Dew point wherever the file gives humidity only; the humidity is dropped, what follows knows the dew point."""
    rh, air = values.pop("rh", None), values.get("air_c")
    if rh is None or air is None:
        return
    given = values.get("dew_c", np.full(air.shape, np.nan))
    derived = np.isnan(given) & ~np.isnan(rh) & ~np.isnan(air)
    dew = given.copy()
    dew[derived] = np.minimum(dew_point_c(air[derived], rh[derived]), air[derived])
    muggy = derived & (dew > BY_FIELD["dew_c"].high)
    if muggy.any():
        problems.append(
            Problem(
                where=at_lines(f"{table.where}, humidity,", table.lines[muggy]),
                found=f"{rh[muggy][0] * 100:.0f} % at {air[muggy][0]:.1f} degC, so a dew point of {dew[muggy][0]:.1f}",
                allowed=f"a dew point of at most {BY_FIELD['dew_c'].high:g} degC",
                advice="Check the humidity sensor and the units.",
            )
        )
    values["dew_c"] = dew


def _dew_above_air(table: Table, values: dict[str, Floats], out: tuple[list[Problem], list[str]]) -> None:
    if "dew_c" not in values or "air_c" not in values:
        return
    problems, notes = out
    above = values["dew_c"] - values["air_c"]
    wrong = above > ROUNDING_K + 1e-9
    if wrong.any():
        problems.append(
            Problem(
                where=at_lines(f"{table.where}, dew_point,", table.lines[wrong]),
                found=f"{values['dew_c'][wrong][0]:.1f} degC with air at {values['air_c'][wrong][0]:.1f} degC",
                allowed="a dew point not above the air temperature",
                advice="Look for swapped columns or a wrong unit.",
            )
        )
    rounded = (above > 0) & ~wrong
    if rounded.any():
        notes.append(
            f"dew_point: {int(rounded.sum())} values up to {ROUNDING_K} K above the air set to the air temperature"
        )
        values["dew_c"] = np.where(rounded, values["air_c"], values["dew_c"])


def remarks(values: Mapping[str, Floats], first_s: int, place: tuple[float, float] | None) -> list[str]:
    """Notes on filled hours: stuck sensors, leaps, and the hour of the day at which it is warmest."""
    notes = [note for field in STUCK_H if field in values for note in _stuck(field, values[field], first_s)]
    notes += _leaps(values["air_c"], first_s)
    if place is not None:
        notes += _warmest(values["air_c"], first_s, place[1])
    return notes


def _stuck(field: str, series: Floats, first_s: int) -> Iterator[str]:
    starts = np.concatenate([[0], np.flatnonzero(np.diff(series) != 0) + 1])
    lengths = np.diff(np.concatenate([starts, [series.size]]))
    longest = int(np.argmax(lengths))
    if lengths[longest] >= STUCK_H[field]:
        column = BY_FIELD[field]
        value = float(from_si(column, series[starts[longest]]))
        yield (
            f"{column.name}: the same {value:g} {column.units[0][0]} for {int(lengths[longest])} h from "
            f"{utc_text(first_s + int(starts[longest]) * HOUR_S)}; is the sensor stuck?"
        )


def _leaps(air_c: Floats, first_s: int) -> list[str]:
    leap = np.abs(np.diff(air_c))
    if leap.size == 0 or leap.max() <= 12:
        return []
    at = int(np.argmax(leap))
    return [f"air: leaps by {leap[at]:.1f} K within an hour at {utc_text(first_s + (at + 1) * HOUR_S)}"]


def solar_hour(epoch_s: Ints, longitude_deg: float) -> Floats:
    """True solar time, h (0..24), shape as given; within 0.03 h. Equation of time: Spencer 1971 (from memory).

    >>> solar_hour(np.array([1655208000]), 0.0).round(2).tolist()  # noon at Greenwich, 14 June 2022
    [12.0]
    """
    day = 2 * np.pi * ((epoch_s / 86400.0) % 365.2425) / 365.2425
    equation_min = 229.18 * (
        7.5e-5
        + 1.868e-3 * np.cos(day)
        - 0.032077 * np.sin(day)
        - 0.014615 * np.cos(2 * day)
        - 0.040849 * np.sin(2 * day)
    )
    hour: Floats = (epoch_s / 3600.0 + longitude_deg / 15.0 + equation_min / 60.0) % 24.0
    return hour


def sun_offset_h(ghi_w_m2: Floats, first_s: int, longitude_deg: float) -> float | None:
    """Hours by which the middle of the daylight in the file comes after true solar noon; None when there is too little.

    Hourly light belongs to the middle of the hour before its stamp. A clear or evenly cloudy run lies within 0.3 h
    (common practice, no source).
    """
    light = np.nan_to_num(ghi_w_m2)
    if light.size < 72 or light.sum() < 3 * 1000:
        return None
    middles = first_s - HOUR_S // 2 + HOUR_S * np.arange(light.size, dtype=np.int64)
    turn = np.exp(2j * np.pi * solar_hour(middles, longitude_deg) / 24.0)
    angle = float(np.angle((light * turn).sum() / -1.0))
    return angle * 24.0 / (2 * np.pi)


def sun_against_clock(
    values: Mapping[str, Floats], first_s: int, *, place: tuple[float, float] | None, where: str
) -> tuple[list[Problem], list[str]]:
    """The light in the file against the sun over the place: more than 2 h apart is refused, half an hour is told."""
    offset = None
    if place is not None and "ghi_w_m2" in values:
        offset = sun_offset_h(values["ghi_w_m2"], first_s, place[1])
    if offset is None or abs(offset) < SUN_TELL_H:
        return [], []
    said = (
        f"the daylight in the file is centred {abs(offset):.1f} h {'after' if offset > 0 else 'before'} true solar noon"
    )
    if abs(offset) < SUN_REFUSE_H:
        return [], [f"times: {said}; its light may be stamped otherwise than as the mean of the hour before"]
    problem = Problem(
        where=f"{where}, time and ghi",
        found=said,
        allowed=f"less than {SUN_REFUSE_H:g} h",
        advice="The times are in another zone than stated, or the place is another one: correct the zone or the place.",
    )
    return [problem], []


def _warmest(air_c: Floats, first_s: int, longitude_deg: float) -> list[str]:
    if air_c.size < 120:
        return []
    stamps = first_s + HOUR_S * np.arange(air_c.size, dtype=np.int64)
    wave = ((air_c - air_c.mean()) * np.exp(-2j * np.pi * solar_hour(stamps, longitude_deg) / 24.0)).mean() * 2
    hour = float((-np.angle(wave) * 24.0 / (2 * np.pi)) % 24.0)
    if abs(wave) < 1.0 or WARMEST_H[0] <= hour <= WARMEST_H[1]:
        return []
    return [f"times: on average it is warmest at {hour:.0f} h solar time; are the times in the zone stated?"]


def distance_km(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Great-circle distance of two places (latitude and longitude in degrees), km.

    >>> round(distance_km((51.8, -8.3), (52.8, -8.3)), 1)
    111.2
    """
    north, south = np.radians([one[0], other[0]])
    east = np.radians(one[1] - other[1])
    half = np.sin((north - south) / 2) ** 2 + np.cos(north) * np.cos(south) * np.sin(east / 2) ** 2
    return 2 * 6371.0 * float(np.arcsin(np.sqrt(np.clip(half, 0, 1))))


def far_away(site: Site | None, place: tuple[float, float] | None) -> list[str]:
    """A note when the file's place and the yard lie more than 50 km apart."""
    if site is None or place is None:
        return []
    away_km = distance_km((site.latitude_deg, site.longitude_deg), place)
    if away_km <= FAR_KM:
        return []
    return [f"place: the weather was taken {away_km:.0f} km from the yard"]
