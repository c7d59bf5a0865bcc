"""Where the sun stands at the middle of every slot, and how strong it is outside the air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boottop.base.clock import SLOT_S, Grid
from boottop.climate.weather import Site

Floats = NDArray[np.float64]
_DELTA_T_S = 69.2
_SOLAR_CONSTANT_W_M2 = 1361.0
_DAY_S = 86400


@dataclass(frozen=True, kw_only=True)
class Sun:
    """The sun at each slot's middle, all shape (slot,): elevation and azimuth (clockwise from true north) in degrees,
    `height` = sine of the elevation, 0 at night, `outside_w_m2` normal to the beam outside the atmosphere."""

    elevation_deg: Floats
    azimuth_deg: Floats
    height: Floats
    outside_w_m2: Floats


def sun_at(epoch_s: ArrayLike, site: Site, *, pressure_pa: float = 101325.0, air_c: float = 12.0) -> Sun:
    """Position of the sun at given times (seconds since 1970 UTC) by NREL's Solar Position Algorithm (in pvlib).

    Degrees, shape of `epoch_s`; years -2000..6000, 0.0003 deg. Terrestrial minus universal time is kept at 69.2 s
    (2020s; an error of 10 s turns the sun by less than 0.0002 deg).
    Source: Reda & Andreas, NREL/TP-560-34302 (2003, revised 2008); strength outside the air: Duffie & Beckman,
    Solar Engineering of Thermal Processes, Eq. 1.4.1a (from memory), solar constant 1361 W/m2.
    """
    from pvlib import spa  # imported here: pvlib takes half a second to load

    table = spa.solar_position_numpy(
        np.asarray(epoch_s, dtype=np.float64),
        site.latitude_deg,
        site.longitude_deg,
        site.elevation_m,
        pressure_pa / 100.0,
        air_c,
        _DELTA_T_S,
        0.5667,
        1,
    )
    elevation, azimuth = np.asarray(table[2], dtype=np.float64), np.asarray(table[4], dtype=np.float64)
    year_share = (np.asarray(epoch_s) / _DAY_S) % 365.2425 / 365.2425
    return Sun(
        elevation_deg=elevation,
        azimuth_deg=azimuth,
        height=np.maximum(np.sin(np.radians(elevation)), 0.0),
        outside_w_m2=_SOLAR_CONSTANT_W_M2 * (1.0 + 0.033 * np.cos(2.0 * np.pi * year_share)),
    )


def sun_on(grid: Grid, site: Site) -> Sun:
    """The sun at the *middle* of every slot of the grid (at an interval's end it would stand 2 deg too far on)."""
    return sun_at(grid.epoch_s() + SLOT_S / 2.0, site)


def solar_day(grid: Grid, site: Site) -> NDArray[np.int64]:
    """Number of the local mean solar day of every slot, shape (slot,): days begin at solar midnight."""
    local_s = grid.epoch_s() + SLOT_S / 2.0 + site.longitude_deg * 240.0
    return np.floor(local_s / _DAY_S).astype(np.int64)
