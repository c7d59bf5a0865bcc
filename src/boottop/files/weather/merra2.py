"""MERRA-2 as wind engineers hold it: `DateTime,WS50m_m/s,WD50m_deg,T2M_degC,PS_hPa`, hourly, UTC, no place stated.

Such a file has no humidity and no rain: it is refused with the reason, unless those columns were added to it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC

from boottop.base.errors import InputError, Problem
from boottop.files.weather.named import Named, named, numbered_from
from boottop.files.weather.table import Request, Table, choose_station
from boottop.files.weather.times import read_stamps

_WIND = re.compile(r"^ws(\d{1,3})m_m/s$")
_READ = (
    ("air_c", "t2m_degc", "degC"),
    ("dew_c", "t2mdew_degc", "degC"),
    ("rh", "rh2m_%", "%"),
    ("rain_mm", "prectotcorr_mm", "mm"),
    ("pressure_pa", "ps_hpa", "hPa"),
)
# Power law of the wind with height over open, flat ground (common practice, no source; over water nearer 0.11, among
# buildings 0.25): 50 m to 10 m is a factor of 0.795.
EXPONENT = 1 / 7
HEIGHT_M = 10.0


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line begins DateTime,WS50m_m/s or the like."""
    cells = [cell.strip().strip('"').lower() for cell in lines[0].split(",")] if lines else []
    return cells[:1] == ["datetime"] and any(_WIND.match(cell) for cell in cells)


def to_10_m(height_m: float) -> float:
    """Factor from the wind at a height to that at 10 m by the power law; 1 at 10 m.

    >>> round(to_10_m(50.0), 3)
    0.795
    """
    return float((HEIGHT_M / height_m) ** EXPONENT)


def read(text: str, request: Request) -> Table:
    """Rows near the window, when humidity and rain were added; else an InputError that says what is missing."""
    sheet = named(numbered_from(text, 1), request, needed=("datetime", "t2m_degc"), kind="MERRA-2 by the hour")
    _complete(sheet, request)
    column, height_m = _nearest_wind(sheet)
    station = choose_station(["grid point, place not stated"], request)
    cells = sheet.cells("datetime", sheet.everything())
    stamps = read_stamps(cells, sheet.sheet.lines, zone=UTC, request=request)
    if not stamps.epoch_s.size:
        raise InputError([*sheet.sheet.problems, *stamps.problems])
    near = request.near(stamps.epoch_s)
    rows = stamps.rows[near]
    values, problems = sheet.quantities((*_READ, ("wind_m_s", column, "m/s")), rows)
    factor = to_10_m(height_m)
    if "wind_m_s" in values:
        values["wind_m_s"] = values["wind_m_s"] * factor
    return Table(
        where=request.where,
        epoch_s=stamps.epoch_s[near],
        lines=sheet.sheet.lines[rows],
        values=values,
        covers_s=(int(stamps.epoch_s.min()), int(stamps.epoch_s.max())),
        station=station,
        source=f"MERRA-2 reanalysis (NASA), {request.where}",
        licence="free to use, credit NASA (not stated in the file)",
        notes=(
            "times: taken as UTC, as the reanalysis gives them",
            f"wind: given at {height_m:g} m and multiplied by {factor:.3f} for 10 m (power law, exponent 1/7, open "
            "ground)",
            "place: the file does not say of which grid point it is",
        ),
        problems=(*sheet.sheet.problems, *stamps.problems, *problems),
    )


def _nearest_wind(sheet: Named) -> tuple[str, float]:
    """The wind column nearest to 10 m, and its height."""
    heights = {name: float(match[1]) for name in sheet.places if (match := _WIND.match(name)) and float(match[1]) > 0}
    if not heights:
        heights = {name: HEIGHT_M for name in sheet.places if _WIND.match(name)}
    column = min(heights, key=lambda name: abs(heights[name] - HEIGHT_M))
    return column, heights[column]


def _complete(sheet: Named, request: Request) -> None:
    problems = []
    if not {"t2mdew_degc", "rh2m_%"} & set(sheet.places):
        problems.append(
            Problem(
                where=f"{request.where}, header",
                found="no humidity and no dew point",
                allowed="a column T2MDEW_degC or RH2M_%: without it there is no dew margin",
                advice="Add the dew point of the same grid point, or take the weather of a station.",
            )
        )
    if "prectotcorr_mm" not in sheet.places and not request.assume_dry:
        problems.append(
            Problem(
                where=f"{request.where}, header",
                found="no rain",
                allowed="a column PRECTOTCORR_mm, the rain of the hour before: missing is not dry",
                advice="Add the rain of the same grid point, or take the weather of a station.",
            )
        )
    if problems:
        raise InputError(problems)
