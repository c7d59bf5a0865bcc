"""Sun and sky light on the flat, slot by slot: from the file, from cloud, or from the day's temperature range."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.climate.slots import Span
from boottop.climate.sun import Sun

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_COASTAL_PER_ROOT_K = 0.19
_RAIN_SHARE = 0.4
_HAURWITZ_W_M2 = 1098.0
_LOWEST_HEIGHT = 0.02
_WHOLE_DAY_SLOTS = 80


@dataclass(frozen=True, kw_only=True)
class Light:
    """Irradiance in W/m2, each shape (member, slot): `global_w_m2` and `diffuse_w_m2` on the flat, `direct_w_m2` normal
    to the beam. `guessed` (slot,) marks daylight that was estimated from cloud or temperature; `notes` say how."""

    global_w_m2: Floats
    diffuse_w_m2: Floats
    direct_w_m2: Floats
    guessed: Bools
    notes: tuple[str, ...]


def light_on(span: Span, sun: Sun, *, day: NDArray[np.int64], elevation_m: float) -> Light:
    """Global, diffuse and direct irradiance for every slot, from the best that the weather has, hour by hour.

    An hour's global irradiance from the file is spread over its slots with one clearness index (global over
    extraterrestrial) and the sun of each slot's middle, so that the hour keeps its mean; what would make the beam
    stronger than the clearest air lets through counts as diffuse. Where the file has none:
    cloud (`cloudy_global_w_m2`), else the day's temperature range (`range_global_w_m2`). Diffuse from the file,
    else what global and direct leave, else the Erbs split.
    """
    outside = sun.outside_w_m2 * sun.height
    hourly, notes = _file_global(span, sun)
    missing = np.isnan(hourly)
    spread = _spread_by_sun(span, np.nan_to_num(hourly), outside)
    guessed_w_m2, guess_notes = _guess(span, sun, day=day, elevation_m=elevation_m) if missing.any() else (spread, ())
    slot_missing = span.spread(missing)
    whole = np.where(slot_missing, guessed_w_m2, spread)
    share = span.spread(_diffuse_share(span, span.hourly(whole), sun))
    beam = np.where(sun.height > _LOWEST_HEIGHT, whole * (1.0 - share), 0.0)
    direct = np.minimum(beam / np.maximum(sun.height, _LOWEST_HEIGHT), strongest_beam_w_m2(sun))
    return Light(
        global_w_m2=whole,
        diffuse_w_m2=whole - direct * sun.height,
        direct_w_m2=direct,
        guessed=slot_missing.any(axis=0) & (sun.elevation_deg > 0.0),
        notes=notes + guess_notes,
    )


def strongest_beam_w_m2(sun: Sun) -> Floats:
    """Direct normal irradiance that even very clear air does not exceed, W/m2, shape (slot,).

    Source: Meinel & Meinel 1976 (from memory), 0.7^(air mass^0.678) of the sun outside the air, raised by a quarter
    for clean coastal air; air mass by Kasten & Young 1989 (from memory).
    """
    above_deg = np.maximum(sun.elevation_deg, 0.0)
    air_mass = 1.0 / (sun.height + 0.50572 * (above_deg + 6.07995) ** -1.6364)
    return np.asarray(1.25 * sun.outside_w_m2 * 0.7 ** (air_mass**0.678))


def _file_global(span: Span, sun: Sun) -> tuple[Floats, tuple[str, ...]]:
    weather = span.weather
    hours = span.hour[::4]
    given, direct, diffuse = (values[:, hours] for values in (weather.ghi_w_m2, weather.dni_w_m2, weather.dhi_w_m2))
    closed = direct * span.hourly(sun.height) + diffuse
    notes: tuple[str, ...] = ()
    if np.isnan(given).any() and not np.isnan(closed[np.isnan(given)]).all():
        notes = ("global irradiance: from the file's direct and diffuse",)
    return np.maximum(np.where(np.isnan(given), closed, given), 0.0), notes


def _spread_by_sun(span: Span, hourly: Floats, outside: Floats) -> Floats:
    """Hourly means to slots in proportion to the sun outside the air; evenly where it is below 5 W/m2 on average."""
    mean = span.hourly(outside)
    shape = np.where(span.spread(mean) > 5.0, outside / np.maximum(span.spread(mean), 5.0), 1.0)
    return span.spread(hourly) * shape


def _guess(span: Span, sun: Sun, *, day: NDArray[np.int64], elevation_m: float) -> tuple[Floats, tuple[str, ...]]:
    cloud = span.at_stamps(span.weather.cloud)
    if not np.isnan(cloud).any():
        return cloudy_global_w_m2(cloud, sun), (
            "sun: estimated from cloud cover (Kasten & Czeplak 1980), doubtful by about a quarter",
        )
    ranged = range_global_w_m2(span, sun, day=day, elevation_m=elevation_m)
    note = "sun: estimated from each day's temperature range (Hargreaves & Samani 1985), doubtful by about a quarter"
    return np.where(np.isnan(cloud), ranged, cloudy_global_w_m2(np.nan_to_num(cloud), sun)), (note,)


def clear_global_w_m2(height: Floats) -> Floats:
    """Global irradiance under a clear sky from the sine of the sun's elevation.

    W/m2, shape of `height`. Temperate coast at low altitude.
    Source: Kasten & Czeplak, Solar Energy 24 (1980) 177-189: 910 sin(h) - 30 (from memory).

    >>> float(clear_global_w_m2(np.array(0.5)))
    425.0
    """
    return np.maximum(910.0 * height - 30.0, 0.0)


def cloudy_global_w_m2(cloud: Floats, sun: Sun) -> Floats:
    """Global irradiance from cloud cover (0..1): a full cover leaves a quarter.

    W/m2, shape (member, slot). Source: Kasten & Czeplak 1980: G/G0 = 1 - 0.75 N^3.4 (from memory).
    """
    return np.asarray(clear_global_w_m2(sun.height) * (1.0 - 0.75 * np.clip(cloud, 0.0, 1.0) ** 3.4))


def range_global_w_m2(span: Span, sun: Sun, *, day: NDArray[np.int64], elevation_m: float) -> Floats:
    """Global irradiance from the range of air temperature within each solar day.

    W/m2, shape (member, slot). The day's sum is 0.19 sqrt(Tmax - Tmin) of the extraterrestrial sum, at most
    0.75 + 2e-5 elevation of it; through the day it follows the clear-sky shape exp(-0.059/sin h) sin h, slots with
    rain weighing 0.4 (our own). A day that is cut off takes the share of the nearest whole day. Single days are
    off by a quarter or more; where sea breeze flattens the day's range, too little sun is found.
    Source: Hargreaves & Samani 1985 with the coastal 0.19, and the cap, as in FAO Irrigation and Drainage Paper 56
    (1998) Eq. 50 and 37; shape, and 1098 times it as the most a slot can have: Haurwitz 1945 (all from memory).
    """
    shares = _day_shares(span, day, 0.75 + 2e-5 * elevation_m)
    height = np.maximum(sun.height, 1e-3)
    shape = sun.height * np.exp(-0.059 / height)
    weight = np.where(span.over_hours(span.weather.rain_mm) > 0.05, _RAIN_SHARE, 1.0) * shape
    result = np.zeros_like(weight)
    for number, share in shares.items():
        here = day == number
        total = (sun.outside_w_m2 * sun.height)[here].sum()
        sums = np.maximum(weight[:, here].sum(axis=1), 1e-9)
        result[:, here] = weight[:, here] * (share * total / sums)[:, None]
    return np.minimum(result, _HAURWITZ_W_M2 * shape)


def _day_shares(span: Span, day: NDArray[np.int64], cap_fraction: float) -> dict[int, Floats]:
    air = span.weather.air_c[:, span.hour]
    numbers, counts = np.unique(day, return_counts=True)
    whole = numbers[counts >= _WHOLE_DAY_SLOTS]
    chosen = whole if whole.size else numbers[[int(np.argmax(counts))]]
    found = {}
    for number in chosen:
        here = air[:, day == number]
        warmed = np.sqrt(here.max(axis=1) - here.min(axis=1))
        found[int(number)] = np.minimum(_COASTAL_PER_ROOT_K * warmed, cap_fraction)
    return {int(number): found[int(chosen[np.argmin(np.abs(chosen - number))])] for number in numbers}


def _diffuse_share(span: Span, hourly: Floats, sun: Sun) -> Floats:
    """Diffuse over global for every hour, shape (member, hour): file, else closure with the direct, else Erbs 1982."""
    from pvlib.irradiance import erbs  # imported here: pvlib takes half a second to load

    hours = span.hour[::4]
    height = span.hourly(sun.height)
    zenith = np.degrees(np.arccos(np.clip(height, 0.0, 1.0)))
    day_of_year = (span.grid.epoch_s()[::4] / 86400.0) % 365.2425 + 1.0
    safe = np.maximum(hourly, 1e-6)
    share = np.asarray(erbs(hourly, zenith, day_of_year)["dhi"]) / safe
    direct, diffuse = span.weather.dni_w_m2[:, hours], span.weather.dhi_w_m2[:, hours]
    share = np.where(np.isnan(direct), share, 1.0 - direct * height / safe)
    share = np.where(np.isnan(diffuse), share, diffuse / safe)
    return np.clip(np.where(hourly > 1e-3, share, 1.0), 0.0, 1.0)
