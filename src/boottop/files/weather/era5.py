"""Variables of the ERA5 reanalysis at one point to the quantities of a weather file; what accumulates, by the hour.

Names, units and periods: ECMWF, "ERA5: data documentation" and "Conversion table for accumulated variables" (read: in
ERA5 an accumulation is over the hour to the stamp, in m and J/m2; in ERA5-Land it runs from midnight UTC, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.table import HOUR_S, Floats, Ints, Request, refuse


@dataclass(frozen=True, kw_only=True)
class Variable:
    """One variable: its short name, its other names, what the catalogue calls it, the units it may state."""

    name: str
    others: tuple[str, ...]
    words: str
    units: tuple[str, ...]
    need: bool = False
    adds_up: bool = False


_SPEED = ("m/s", "ms-1")
_ENERGY = ("j/m2", "jm-2")
VARIABLES: tuple[Variable, ...] = (
    Variable(name="t2m", others=("2m_temperature",), words="2m temperature", units=("k", "kelvin"), need=True),
    Variable(
        name="d2m",
        others=("2m_dewpoint_temperature",),
        words="2m dewpoint temperature",
        units=("k", "kelvin"),
        need=True,
    ),
    Variable(name="u10", others=("10m_u_component_of_wind",), words="10m u-component of wind", units=_SPEED, need=True),
    Variable(name="v10", others=("10m_v_component_of_wind",), words="10m v-component of wind", units=_SPEED, need=True),
    Variable(
        name="tp", others=("total_precipitation",), words="total precipitation", units=("m",), need=True, adds_up=True
    ),
    Variable(name="sp", others=("surface_pressure",), words="surface pressure", units=("pa",)),
    Variable(
        name="ssrd",
        others=("surface_solar_radiation_downwards",),
        words="surface solar radiation downwards",
        units=_ENERGY,
        adds_up=True,
    ),
    Variable(
        name="fdir",
        others=("total_sky_direct_solar_radiation_at_surface",),
        words="total sky direct solar radiation at surface",
        units=_ENERGY,
        adds_up=True,
    ),
    Variable(
        name="strd",
        others=("surface_thermal_radiation_downwards",),
        words="surface thermal radiation downwards",
        units=_ENERGY,
        adds_up=True,
    ),
    Variable(name="tcc", others=("total_cloud_cover",), words="total cloud cover", units=("(0-1)", "0-1", "1", "")),
)
# What the packing of numbers leaves where there is no rain; less than 1 mm in a thousand hours.
PACKING_MM = 0.001
DRIZZLE_NOTE = (
    "rain: a model's mean over a cell of 10 to 30 km: more hours of drizzle and fewer downpours than a gauge would show"
)


def plain_unit(text: str) -> str:
    """A unit as it is compared.

    >>> plain_unit("J m**-2"), plain_unit("m s-1"), plain_unit("(0 - 1)")
    ('jm-2', 'ms-1', '(0-1)')
    """
    return text.lower().replace("**", "").replace("^", "").replace(" ", "")


def complete(found: Mapping[str, object], request: Request) -> None:
    """InputError with every variable that is needed and not there."""
    dry = request.assume_dry
    missing = [one for one in VARIABLES if one.need and one.name not in found and not (dry and one.name == "tp")]
    if missing:
        raise InputError(
            [
                Problem(
                    where=f"{request.where}, variables",
                    found=f"no {one.name} ({one.words})",
                    allowed="t2m, d2m, u10, v10, tp by the hour; also read: sp, ssrd, fdir, strd, tcc",
                    advice=f"Ask the archive for '{one.words}' too; a folder or zip of several NetCDF files will do.",
                )
                for one in missing
            ]
        )


def quantities(series: Mapping[str, Floats], epoch_s: Ints, request: Request) -> tuple[dict[str, Floats], list[str]]:
    """Fields in SI from the variables at one point, shape (hour,), and what is told."""
    series, notes = _by_the_hour(dict(series), epoch_s, request)
    values = {
        "air_c": series["t2m"] - 273.15,
        "dew_c": series["d2m"] - 273.15,
        "wind_m_s": np.hypot(series["u10"], series["v10"]),
    }
    if "tp" in series:
        rain = series["tp"] * 1000.0
        with np.errstate(invalid="ignore"):
            tiny = (rain != 0) & (np.abs(rain) < PACKING_MM)
        values["rain_mm"] = np.where(tiny, 0.0, rain)
        notes.append(DRIZZLE_NOTE)
        if tiny.any():
            notes.append(f"rain: {int(tiny.sum())} h with less than {PACKING_MM:g} mm, taken as 0 (packing of numbers)")
    if "sp" in series:
        values["pressure_pa"] = series["sp"]
    if "tcc" in series:
        values["cloud"] = _close(series["tcc"], 0.0, 1.0)
    if "ssrd" in series:
        values["ghi_w_m2"] = series["ssrd"] / HOUR_S
        if "fdir" in series:
            values["dhi_w_m2"] = (series["ssrd"] - series["fdir"]) / HOUR_S
    if "strd" in series:
        values["longwave_w_m2"] = series["strd"] / HOUR_S
    return values, notes


def _close(values: Floats, low: float, high: float) -> Floats:
    """Values set on the bound they miss by no more than packing does; the others as they are."""
    clipped = np.clip(values, low, high)
    with np.errstate(invalid="ignore"):
        near: Floats = np.where(np.abs(values - clipped) < 1e-3, clipped, values)
    return near


def _by_the_hour(series: dict[str, Floats], epoch_s: Ints, request: Request) -> tuple[dict[str, Floats], list[str]]:
    """Sums from midnight UTC (as in ERA5-Land) taken apart into hours; sums of the hour as they are.

    Which of the two a file holds, its numbers say: sums from midnight fall only into the hour that ends at 01:00 UTC,
    while light and rain of single hours fall whenever the sun sinks or a shower ends.
    """
    names = [one.name for one in VARIABLES if one.adds_up and one.name in series]
    if not names or epoch_s.size < 2:
        return series, []
    first_hour = (epoch_s[1:] // HOUR_S) % 24 == 1
    follows = np.diff(epoch_s) == HOUR_S
    falls = np.zeros(first_hour.shape, dtype=np.bool_)
    differs = falls.copy()
    for name in names:
        step = np.diff(series[name])
        least = 1e-4 * float(np.nanmax(np.abs(series[name]), initial=0.0))
        with np.errstate(invalid="ignore"):
            falls |= follows & (step < -least)
            differs |= follows & ~first_hour & (series[name][:-1] > least)
    if (falls & ~first_hour).any() or not differs.any():
        return series, []
    if int((falls & first_hour).sum()) < 2:
        raise refuse(
            f"{request.where}, {', '.join(names)}",
            "sums of which it cannot be told whether they are of the hour or from midnight on",
            allowed="three whole days, with ssrd (sunlight) if the days are dry",
            advice="Get a longer file, or one with surface solar radiation downwards.",
        )
    apart = {name: _differences(series[name], first_hour, follows) for name in names}
    told = f"{', '.join(names)}: summed from midnight UTC in the file (as in ERA5-Land), taken apart into hours"
    return {**series, **apart}, [told]


def _differences(total: Floats, first_hour: Sequence[bool] | np.ndarray, follows: np.ndarray) -> Floats:
    """Hours of a sum that starts at midnight, NaN where the hour before is not there; shape (hour,)."""
    hours = np.full(total.shape, np.nan)
    hours[1:] = np.where(first_hour, total[1:], np.where(follows, np.diff(total), np.nan))
    return hours
