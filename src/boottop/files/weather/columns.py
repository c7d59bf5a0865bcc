"""The quantities a weather file may carry: names, units, and what is possible on Earth. One registry, read by all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from boottop.base.quantities import registry

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Column:
    """One quantity: its name in our CSV, its field in SI, the units taken, and its bounds in SI.

    `units` maps the spelling in a header to the unit pint knows; the first one is what we write. Values outside
    `low`..`high` are impossible; values inside, but outside `clip`, are instrument noise and set to the bound.
    """

    name: str
    field: str
    si: str
    units: tuple[tuple[str, str], ...]
    low: float
    high: float
    clip: tuple[float, float]
    decimals: int
    need: str = "optional"

    @property
    def header(self) -> str:
        """The column's head as we write it, such as `air[degC]`."""
        return f"{self.name}[{self.units[0][0]}]"


_TEMPERATURE = (("degC", "degC"), ("°C", "degC"), ("C", "degC"), ("degF", "degF"), ("°F", "degF"), ("F", "degF"),
                ("K", "kelvin"))  # fmt: skip
_SPEED = (("m/s", "m/s"), ("knot", "knot"), ("kn", "knot"), ("kt", "knot"), ("km/h", "km/h"), ("mph", "mph"))
_DEPTH = (("mm", "mm"), ("inch", "inch"), ("in", "inch"))
_PRESSURE = (("hPa", "hPa"), ("mbar", "hPa"), ("kPa", "kPa"), ("Pa", "Pa"), ("inHg", "inHg"))
_LIGHT = (("W/m2", "W/m**2"),)
_SHARE = (("%", "percent"), ("1", "dimensionless"))
_SKY = (*_SHARE, ("okta", "okta"), ("tenth", "tenth"))

# Bounds: just beyond the records kept by the World Meteorological Organization (from memory: -89.2 to 56.7 degC,
# 305 mm of rain in 42 min, 870 to 1084.8 hPa at sea level) narrowed to where boats are painted; sun: the beam
# outside the air, 1 410 W/m2 in January, plus what cloud edges add for an hour (common practice, no source).
COLUMNS: tuple[Column, ...] = (
    Column(name="air", field="air_c", si="degC", units=_TEMPERATURE, low=-50, high=57, clip=(-50, 57),
           decimals=2, need="required"),
    Column(name="dew_point", field="dew_c", si="degC", units=_TEMPERATURE, low=-70, high=36, clip=(-70, 36),
           decimals=2, need="this or humidity"),
    Column(name="humidity", field="rh", si="dimensionless", units=_SHARE, low=0.01, high=1.02, clip=(0.01, 1.0),
           decimals=2, need="this or dew_point"),
    Column(name="wind", field="wind_m_s", si="m/s", units=_SPEED, low=0, high=75, clip=(0, 75),
           decimals=2, need="required"),
    Column(name="rain", field="rain_mm", si="mm", units=_DEPTH, low=0, high=300, clip=(0, 300),
           decimals=4, need="required"),
    Column(name="pressure", field="pressure_pa", si="Pa", units=_PRESSURE, low=50_000, high=109_000,
           clip=(50_000, 109_000), decimals=2),
    Column(name="ghi", field="ghi_w_m2", si="W/m**2", units=_LIGHT, low=-20, high=1500, clip=(0, 1500), decimals=1),
    Column(name="dni", field="dni_w_m2", si="W/m**2", units=_LIGHT, low=-20, high=1410, clip=(0, 1410), decimals=1),
    Column(name="dhi", field="dhi_w_m2", si="W/m**2", units=_LIGHT, low=-20, high=1000, clip=(0, 1000), decimals=1),
    Column(name="longwave", field="longwave_w_m2", si="W/m**2", units=_LIGHT, low=70, high=650, clip=(70, 650),
           decimals=1),
    Column(name="cloud", field="cloud", si="dimensionless", units=_SKY, low=0, high=1, clip=(0, 1), decimals=1),
)  # fmt: skip
BY_NAME = {column.name: column for column in COLUMNS}
BY_FIELD = {column.field: column for column in COLUMNS}
OPTIONAL = tuple(column.field for column in COLUMNS if column.need == "optional")
# Columns taken along without being read; and those that steer the reading.
UNREAD = ("wind_direction",)
STEERING = ("time", "station", "filled")


def to_si(column: Column, unit: str, values: Floats) -> Floats:
    """Values in SI from a unit spelled as in `column.units`; shape kept.

    >>> to_si(BY_NAME["wind"], "knot", np.array([10.0])).round(4).tolist()
    [5.1444]
    >>> to_si(BY_NAME["air"], "degF", np.array([68.0])).round(6).tolist()
    [20.0]
    """
    scale, shift = _affine(dict(column.units)[unit], column.si)
    return values * scale + shift


def from_si(column: Column, values: Floats) -> Floats:
    """Values in the unit we write, from SI; shape kept."""
    scale, shift = _affine(column.units[0][1], column.si)
    return (values - shift) / scale


@lru_cache
def _affine(unit: str, si: str) -> tuple[float, float]:
    known = {"percent": 0.01, "okta": 1 / 8, "tenth": 0.1, "hPa": 100.0}
    if unit == si:
        return 1.0, 0.0
    if unit in known:
        return known[unit], 0.0
    at = [float(registry().Quantity(number, unit).to(si).magnitude) for number in (0.0, 1.0)]
    return at[1] - at[0], at[0]
