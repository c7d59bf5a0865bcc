"""Moist air: saturation over water, dew point, humidity, pressure with height. All over water, also below 0 degC."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

KELVIN = 273.15
_HYLAND_WEXLER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673)
_MOLAR_RATIO = 0.621945


def saturation_pa(air_c: ArrayLike) -> Floats:
    """Saturation pressure of water vapour over liquid water.

    Pa, shape of `air_c`; valid 0..200 degC, used here as supercooled water down to -60 degC: below 0 degC this is
    *not* the frost point's pressure over ice (up to 1.7 K apart in dew point), and boottop uses water throughout,
    because instruments and weather files give dew points over water and a film of water is what spoils a coat.
    Source: [1] ASHRAE Handbook Fundamentals 2017, chapter 1, Eq. 6 (Hyland & Wexler 1983), read in a copy.

    >>> float(saturation_pa(25.0).round(1))
    3169.2
    """
    kelvin = np.asarray(air_c, dtype=np.float64) + KELVIN
    a, b, c, d, e, f = _HYLAND_WEXLER
    exponent = a / kelvin + b + kelvin * (c + kelvin * (d + kelvin * e)) + f * np.log(kelvin)
    return np.asarray(np.exp(exponent), dtype=np.float64)


def _log_slope_per_k(air_c: Floats) -> Floats:
    kelvin = air_c + KELVIN
    a, _, c, d, e, f = _HYLAND_WEXLER
    return -a / kelvin**2 + c + kelvin * (2.0 * d + 3.0 * e * kelvin) + f / kelvin


def saturation_temperature_c(vapour_pa: ArrayLike) -> Floats:
    """Temperature at which water vapour of this pressure is saturated over water: the dew point.

    degC, shape of `vapour_pa`; the inverse of `saturation_pa` to 1e-9 K between -60 and 200 degC.
    Source: Newton's method on [1] above, started from the Magnus form (Alduchov & Eskridge 1996, from memory).

    >>> float(saturation_temperature_c(saturation_pa(9.27)).round(6))
    9.27
    """
    vapour = np.asarray(vapour_pa, dtype=np.float64)
    logged = np.log(vapour)
    ratio = np.log(vapour / 610.94)
    dew = 243.04 * ratio / (17.625 - ratio)
    for _ in range(3):
        dew = dew - (np.log(saturation_pa(dew)) - logged) / _log_slope_per_k(dew)
    return np.asarray(dew, dtype=np.float64)


def dew_point_c(air_c: ArrayLike, rh: ArrayLike) -> Floats:
    """Dew point over water from air temperature and relative humidity (a fraction, over 0).

    degC, broadcast shape of the two. Source: [1] above; relative humidity as the ratio of vapour pressures.

    >>> float(dew_point_c(20.0, 0.5).round(2))
    9.27
    """
    return saturation_temperature_c(saturation_pa(air_c) * np.asarray(rh, dtype=np.float64))


def relative_humidity(air_c: ArrayLike, dew_c: ArrayLike) -> Floats:
    """Relative humidity over water as a fraction, from air temperature and dew point; above 1 if the dew point is.

    Broadcast shape of the two. Source: [1] above.

    >>> float(relative_humidity(20.0, 9.27).round(3))
    0.5
    """
    return np.asarray(saturation_pa(dew_c) / saturation_pa(air_c), dtype=np.float64)


def humidity_ratio(vapour_pa: ArrayLike, pressure_pa: ArrayLike) -> Floats:
    """Mass of water vapour per mass of dry air.

    kg/kg, broadcast shape. Ideal gases, without the enhancement factor (0.5 % at sea level).
    Source: ASHRAE Handbook Fundamentals 2017, chapter 1, Eq. 20, read in a copy.

    >>> float(humidity_ratio(saturation_pa(25.0), 101325.0).round(6))
    0.020081
    """
    vapour = np.asarray(vapour_pa, dtype=np.float64)
    return np.asarray(_MOLAR_RATIO * vapour / (np.asarray(pressure_pa) - vapour), dtype=np.float64)


def wet_bulb_c(air_c: ArrayLike, rh: ArrayLike, pressure_pa: ArrayLike) -> Floats:
    """Thermodynamic wet-bulb temperature over water: the coldest a freely evaporating film in the shade can get.

    degC, broadcast shape; valid above 0 degC wet bulb. Source: ASHRAE Handbook Fundamentals 2017, chapter 1,
    Eq. 33, solved by bisection between dew point and air temperature (read in a copy).

    >>> float(wet_bulb_c(7.0, 0.61, 100000.0).round(2))
    3.93
    """
    air, humid, pressure = np.broadcast_arrays(
        np.asarray(air_c, dtype=np.float64), np.asarray(rh, dtype=np.float64), np.asarray(pressure_pa, dtype=np.float64)
    )
    ratio = humidity_ratio(saturation_pa(air) * humid, pressure)
    low, high = dew_point_c(air, humid), air.copy()
    for _ in range(50):
        middle = 0.5 * (low + high)
        saturated = humidity_ratio(saturation_pa(middle), pressure)
        ours = ((2501.0 - 2.326 * middle) * saturated - 1.006 * (air - middle)) / (2501.0 + 1.86 * air - 4.186 * middle)
        too_warm = ours > ratio
        low, high = np.where(too_warm, low, middle), np.where(too_warm, middle, high)
    return np.asarray(0.5 * (low + high), dtype=np.float64)


def standard_pressure_pa(elevation_m: ArrayLike) -> Floats:
    """Air pressure of the standard atmosphere at a height, for weather without a barometer.

    Pa; valid -500..11,000 m. Source: ASHRAE Handbook Fundamentals 2017, chapter 1, Eq. 3, read in a copy.

    >>> float(standard_pressure_pa(500.0).round())
    95461.0
    """
    height = np.asarray(elevation_m, dtype=np.float64)
    return np.asarray(101325.0 * (1.0 - 2.25577e-5 * height) ** 5.2559, dtype=np.float64)
