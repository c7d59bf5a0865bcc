"""Readings at the yard against the forecast: its bias is corrected for the next hours, and the correction decays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import hour_count
from boottop.base.errors import InputError, Problem
from boottop.climate.moist import dew_point_c
from boottop.climate.weather import Weather

Floats = NDArray[np.float64]

DECAY_H = 12.0
BIAS_SD_K = 1.5
READING_SD_K = {"air": 0.5, "dew point": 0.8}
GROSS_K = 8.0
_AIR_C, _RH = (-50.0, 57.0), (0.01, 1.02)
_CLOCK_PLAY = timedelta(minutes=10)


@dataclass(frozen=True, kw_only=True)
class Observation:
    """One reading at the yard in the shade: air temperature, and dew point or relative humidity (a fraction) if read.

    Wind is not taken: a reading between the boats is not the wind at 10 m over open ground that a forecast means, and
    the yard's shelter already stands between the two.
    """

    time: datetime
    air_c: float
    dew_c: float | None = None
    rh: float | None = None

    def dew_point(self) -> float | None:
        """Dew point in degC as read, else from the humidity; None when neither was read."""
        if self.dew_c is not None or self.rh is None:
            return self.dew_c
        return float(dew_point_c(self.air_c, min(self.rh, 1.0)))


@dataclass(frozen=True, kw_only=True)
class Correction:
    """What one quantity was shifted by at its last reading, its standard deviation then, and from how many readings."""

    name: str
    bias_k: float
    sd_k: float
    readings: int
    last: datetime


@dataclass(frozen=True, kw_only=True)
class BlendReport:
    """What was corrected, how fast it fades (`decay_h`: to 1/e), and which readings were not used and why."""

    corrections: tuple[Correction, ...]
    decay_h: float
    unused: tuple[str, ...]

    def lines(self) -> tuple[str, ...]:
        """For people, one line a quantity, then what was left out."""
        half_h = self.decay_h * np.log(2.0)
        told = []
        for one in self.corrections:
            count = "1 reading" if one.readings == 1 else f"{one.readings} readings"
            told.append(
                f"{one.name}: the forecast is shifted by {one.bias_k:+.1f} K (give or take {one.sd_k:.1f}) after "
                f"{count} at the yard, the last {one.last:%Y-%m-%dT%H:%MZ}; half of it is left after "
                f"{half_h:.0f} h (assumed)"
            )
        return (*told, *self.unused)


@dataclass(frozen=True, kw_only=True)
class Blended:
    """The corrected weather, and what was done to it."""

    weather: Weather
    report: BlendReport


@dataclass(frozen=True, kw_only=True)
class _Reading:
    """Hour of the weather at which it was read, and by how much it lies above the forecast."""

    hour_h: float
    above_k: float


@dataclass(frozen=True, kw_only=True)
class _State:
    """The bias as known at an hour: its mean and standard deviation."""

    hour_h: float
    bias_k: float
    sd_k: float


def blend(weather: Weather, observations: Sequence[Observation], *, now: datetime, decay_h: float = DECAY_H) -> Blended:
    """The weather with air temperature and dew point corrected by readings at the yard, from the first reading on.

    The bias of a forecast at one place is taken as a quantity that forgets itself exponentially (a Gauss-Markov
    process: standard deviation 1.5 K, 12 h to 1/e), a reading as that bias with an error of 0.5 K for air and 0.8 K
    for the dew point; both are put together by the scalar Kalman filter, so that a reading weighs less the older it
    is, and one alone is not wholly believed (9 parts in 10). After the last reading the correction fades as
    exp(-hours / decay). All members are shifted alike, by the readings against their mean: the spread stays as it was.
    The dew point never exceeds the air temperature. Readings more than 8 K off the forecast (a thermometer in the
    sun), or outside its hours, are not used and named.
    Range: readings of the free air in the shade. Source: filter: Gelb, Applied Optimal Estimation, 1974, chapter 4
    (from memory); the three numbers: common practice, no source.
    """
    _refuse(observations, now, decay_h)
    usable, unused = _usable(weather, sorted(observations, key=lambda one: one.time))
    shifts: dict[str, Floats] = {}
    corrections = []
    for name, field in (("air", "air_c"), ("dew point", "dew_c")):
        readings, gross = _readings(weather, usable, name, field=field)
        unused += gross
        if readings:
            states = _filtered(readings, READING_SD_K[name], decay_h)
            shifts[field] = _shift(states, weather.hours, decay_h)
            corrections.append(_correction(name, states, weather.start))
    air = weather.air_c + shifts.get("air_c", 0.0)
    dew = np.minimum(weather.dew_c + shifts.get("dew_c", 0.0), air)
    report = BlendReport(corrections=tuple(corrections), decay_h=decay_h, unused=tuple(unused))
    findings = (*report.lines(), *weather.findings)
    return Blended(weather=replace(weather, air_c=air, dew_c=dew, findings=findings), report=report)


def _refuse(observations: Sequence[Observation], now: datetime, decay_h: float) -> None:
    problems = [problem for one in observations for problem in _problems(one, now)]
    if not 0.0 < decay_h <= 240.0:
        problems.append(
            Problem(
                where="decay of the correction",
                found=f"{decay_h:g} h",
                allowed="more than 0 and at most 240 h",
                advice=f"Leave it at {DECAY_H:g} h.",
            )
        )
    if problems:
        raise InputError(problems)


def _problems(one: Observation, now: datetime) -> list[Problem]:
    where = f"reading at {one.time.isoformat()}"
    if one.time.tzinfo is None:
        return [_wrong(where, "no zone", allowed="a time with its offset", advice="State the offset from UTC.")]
    found = []
    if one.time > now + _CLOCK_PLAY:
        found.append(("a time still to come", "a reading that was made", "Correct the time or the zone."))
    if not _AIR_C[0] <= one.air_c <= _AIR_C[1]:
        found.append((f"{one.air_c:g} degC", "-50 to 57 degC", "Check the unit and the value."))
    if one.rh is not None and not _RH[0] <= one.rh <= _RH[1]:
        found.append((f"a humidity of {one.rh * 100:g} %", "1 to 102 %", "Check the unit and the value."))
    if one.dew_c is not None and not -70.0 <= one.dew_c <= one.air_c + 0.6:
        found.append((f"a dew point of {one.dew_c:g} degC", "not above the air", "Look for swapped values."))
    return [_wrong(where, what, allowed=allowed, advice=advice) for what, allowed, advice in found]


def _wrong(where: str, found: str, *, allowed: str, advice: str) -> Problem:
    return Problem(where=where, found=found, allowed=allowed, advice=advice)


def _usable(weather: Weather, observations: Sequence[Observation]) -> tuple[list[Observation], list[str]]:
    inside = [one for one in observations if 0.0 <= hour_count(weather.start, one.time) <= weather.hours - 1]
    outside = [one for one in observations if one not in inside]
    told = [f"reading at {_stamp(one.time)}: not used, the weather has no such hour" for one in outside]
    return inside, told


def _readings(
    weather: Weather, observations: Sequence[Observation], name: str, *, field: str
) -> tuple[list[_Reading], list[str]]:
    mean = getattr(weather, field).mean(axis=0)
    hours = np.arange(weather.hours)
    readings, gross = [], []
    for one in observations:
        read = one.air_c if field == "air_c" else one.dew_point()
        if read is None:
            continue
        hour_h = hour_count(weather.start, one.time)
        above_k = read - float(np.interp(hour_h, hours, mean))
        if abs(above_k) > GROSS_K:
            gross.append(
                f"reading at {_stamp(one.time)}: {name} not used, {above_k:+.1f} K off the forecast "
                f"(at most {GROSS_K:g}); was the instrument in the sun, or wet?"
            )
        else:
            readings.append(_Reading(hour_h=hour_h, above_k=above_k))
    return readings, gross


def _filtered(readings: Sequence[_Reading], reading_sd_k: float, decay_h: float) -> list[_State]:
    """The bias after each reading; readings in order of time."""
    state = _State(hour_h=readings[0].hour_h, bias_k=0.0, sd_k=BIAS_SD_K)
    states = []
    for reading in readings:
        keep = float(np.exp(-(reading.hour_h - state.hour_h) / decay_h))
        bias = keep * state.bias_k
        variance = keep**2 * state.sd_k**2 + (1.0 - keep**2) * BIAS_SD_K**2
        gain = variance / (variance + reading_sd_k**2)
        state = _State(
            hour_h=reading.hour_h,
            bias_k=bias + gain * (reading.above_k - bias),
            sd_k=float(np.sqrt((1.0 - gain) * variance)),
        )
        states.append(state)
    return states


def _shift(states: Sequence[_State], hours: int, decay_h: float) -> Floats:
    """Correction in K at every hour: that of the last reading before it, faded; nothing before the first."""
    at_h = np.array([state.hour_h for state in states])
    bias = np.array([state.bias_k for state in states])
    hour = np.arange(hours, dtype=np.float64)
    last = np.searchsorted(at_h, hour, side="right") - 1
    faded = bias[last] * np.exp(-np.maximum(hour - at_h[last], 0.0) / decay_h)
    return np.where(last >= 0, faded, 0.0)


def _correction(name: str, states: Sequence[_State], start: datetime) -> Correction:
    last = states[-1]
    return Correction(
        name=name,
        bias_k=last.bias_k,
        sd_k=last.sd_k,
        readings=len(states),
        last=(start + timedelta(hours=last.hour_h)).astimezone(UTC),
    )


def _stamp(when: datetime) -> str:
    return f"{when.astimezone(UTC):%Y-%m-%dT%H:%MZ}"
