"""Long-wave radiation from the sky, and the cloud that it needs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boottop.climate.light import Light, clear_global_w_m2
from boottop.climate.slots import Span
from boottop.climate.sun import Sun

Floats = NDArray[np.float64]

SIGMA_W_M2K4 = 5.670374e-8
KELVIN = 273.15
_DAYLIGHT_HEIGHT = 0.17


def clear_emissivity(dew_c: ArrayLike) -> Floats:
    """Emissivity of a clear sky from the dew point.

    Shape of `dew_c`; dew points of about -20..30 degC. Source: Clark & Allen 1978, as used by Walton 1983
    (TARP, NBSIR 83-2655): 0.787 + 0.764 ln(Tdew/273 K), read second-hand.

    >>> float(clear_emissivity(10.0).round(4))
    0.8149
    """
    return np.asarray(0.787 + 0.764 * np.log((np.asarray(dew_c, dtype=np.float64) + KELVIN) / 273.0))


def cloud_factor(cloud: ArrayLike) -> Floats:
    """By how much cloud (0..1) raises the sky's emissivity.

    Source: Walton 1983: 1 + 0.0224 n - 0.0035 n^2 + 0.00028 n^3 with n in tenths (last coefficient from memory).

    >>> float(cloud_factor(1.0).round(3))
    1.154
    """
    tenths = 10.0 * np.asarray(cloud, dtype=np.float64)
    return np.asarray(1.0 + tenths * (0.0224 + tenths * (-0.0035 + tenths * 0.00028)))


def sky_w_m2(air_c: ArrayLike, dew_c: ArrayLike, cloud: ArrayLike) -> Floats:
    """Long-wave irradiance of the sky on the flat, W/m2, from air temperature, dew point and cloud (0..1).

    Source: `clear_emissivity` and `cloud_factor` (emissivity at most 1) times sigma T^4.
    """
    emissivity = np.minimum(clear_emissivity(dew_c) * cloud_factor(cloud), 1.0)
    return np.asarray(emissivity * SIGMA_W_M2K4 * (np.asarray(air_c, dtype=np.float64) + KELVIN) ** 4)


def berdahl_martin_emissivity(dew_c: ArrayLike) -> Floats:
    """Emissivity of a clear sky, mean of day and night, from the dew point: the other formula, to check ours against.

    Source: Berdahl & Martin, Solar Energy 32(5) (1984) 663-664: 0.711 + 0.56 (Td/100) + 0.73 (Td/100)^2, read.

    >>> float(berdahl_martin_emissivity(10.0).round(4))
    0.7743
    """
    hundredth = np.asarray(dew_c, dtype=np.float64) / 100.0
    return np.asarray(0.711 + hundredth * (0.56 + 0.73 * hundredth))


def swinbank_sky_k(air_k: ArrayLike) -> Floats:
    """Clear-sky temperature in K from air temperature alone, without regard to humidity: a third check.

    Source: Swinbank, Q. J. R. Meteorol. Soc. 89 (1963) 339-348: 0.0552 Ta^1.5, read.

    >>> float(swinbank_sky_k(300.0).round(2))
    286.83
    """
    return np.asarray(0.0552 * np.asarray(air_k, dtype=np.float64) ** 1.5)


def cloud_on(span: Span, light: Light, sun: Sun) -> tuple[Floats, str]:
    """Cloud cover 0..1 for every slot, shape (member, slot), and where it is from.

    From the file; else from how far the daylight falls short of a clear sky while the sun stands over 10 deg
    (Kasten & Czeplak 1980 turned round), made linear through the night. Where that daylight is itself a guess, and
    where there is none, the night is clear: a range of temperature flattened by a sea breeze would read as cloud (the
    power 1/3.4 makes much of a little), and cloud as a warm night without dew (our choice, cautious; decision 0017).
    """
    given = span.at_stamps(span.weather.cloud)
    if not np.isnan(given).any():
        return np.clip(given, 0.0, 1.0), ""
    clear = span.hourly(clear_global_w_m2(sun.height))
    day = np.flatnonzero(span.hourly(sun.height) > _DAYLIGHT_HEIGHT)
    if day.size == 0:
        return np.where(np.isnan(given), 0.0, given), "night sky: clear (assumed: no daylight to judge by)"
    missing = 1.0 - span.hourly(light.global_w_m2)[:, day] / clear[day]
    cover = np.clip(missing / 0.75, 0.0, 1.0) ** (1.0 / 3.4)
    guessed = span.hourly(light.guessed.astype(np.float64))[day] > 0.0
    at, middles = np.arange(span.grid.count), 4.0 * day + 1.5
    by_day = np.stack([np.interp(at, middles, member) for member in cover])
    by_night = np.stack([np.interp(at, middles, np.where(guessed, 0.0, member)) for member in cover])
    inferred = np.where(sun.height > _DAYLIGHT_HEIGHT, by_day, by_night)
    note = "night sky: cloud inferred from the daylight before and after"
    if guessed.any():
        note = "night sky: taken as clear where the daylight is a guess (the cautious side for dew)"
    return np.where(np.isnan(given), inferred, given), note


def longwave_given(span: Span) -> Floats:
    """Long-wave irradiance of the file, hour means made linear between the hours' middles; NaN where it has none."""
    hours = span.hour[::4]
    middles = 4.0 * np.arange(hours.size) + 1.5
    at = np.arange(span.grid.count)
    return np.stack([np.interp(at, middles, member) for member in span.weather.longwave_w_m2[:, hours]])
