"""The point forecast of SMHI, the Swedish service: the Nordic and Baltic coasts, ten days, CC BY 4.0.

Format: SMHI open data, forecast "snow1g" version 1, from a sample of 2026 and the documentation of its predecessor
(read): times in UTC, steps that widen, sums since `intervalParametersStartTime`, cloud in eighths, 9999 for missing.
The answer states no units. Whether a long step's rain is its sum or mm/h is not said where we could read it; the
sum (kg/m2) is what the name says and what we take.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

import numpy as np

from boottop.climate.moist import dew_point_c
from boottop.climate.weather import Site
from boottop.services.http import Client, Question, Reply
from boottop.services.metno import to_the_yard
from boottop.services.payload import dig, in_si, instant_s, mapping, moment, number, sequence
from boottop.services.steps import About, Floats, Issue, Rain, Series, grid_point, to_table

NAME, TITLE = "smhi", "SMHI point forecast"
BASE = "https://opendata-download-metfcst.smhi.se/api/category/snow1g/version/1/geotype/point"
LICENCE = "CC BY 4.0"
MISSING = 9999.0
# field: key, unit as documented (the answer states none)
_KEYS = {
    "air_c": ("air_temperature", "celsius"),
    "rh": ("relative_humidity", "%"),
    "wind_m_s": ("wind_speed", "m/s"),
    "pressure_pa": ("air_pressure_at_mean_sea_level", "hPa"),
    "cloud": ("cloud_area_fraction", "octas"),
}
_RAIN = ("precipitation_amount_mean_deterministic", "precipitation_amount_mean")


def covers(site: Site) -> bool:
    """Whether the place lies in the forecast's area: the rectangle inside it (corners from memory)."""
    return 52.6 <= site.latitude_deg <= 70.6 and 2.3 <= site.longitude_deg <= 27.3


def ask(client: Client, site: Site, *, now: datetime) -> Reply[Issue]:
    """The newest forecast for the yard."""
    where = f"lon/{site.longitude_deg:.4f}/lat/{site.latitude_deg:.4f}"
    question = Question(
        name=NAME,
        title=TITLE,
        url=f"{client.bases.get(NAME, BASE)}/{where}/data.json",
        decode=lambda payload: decode(payload, elevation_m=site.elevation_m),
    )
    return client.get(question, now=now)


def decode(payload: object, *, elevation_m: float) -> Issue:
    """An answer read: dew point from humidity at each step, a line between the steps, rain spread over its interval."""
    steps = sequence(dig(payload, ("timeSeries",), title=TITLE), "timeSeries", title=TITLE)
    issued = moment(dig(payload, ("referenceTime",), title=TITLE), "referenceTime", title=TITLE)
    stamps = np.array([instant_s(dig(step, ("time",), title=TITLE), "time", title=TITLE) for step in steps])
    order = np.argsort(stamps, kind="stable")
    steps, stamps = [steps[index] for index in order.tolist()], stamps[order]
    values = {field: in_si(field, unit, _column(steps, key), title=TITLE) for field, (key, unit) in _KEYS.items()}
    humid = np.where(values["rh"] > 0, values.pop("rh"), np.nan)
    values["dew_c"] = np.minimum(dew_point_c(values["air_c"], humid), values["air_c"])
    series = {field: Series(epoch_s=stamps, values=column) for field, column in values.items()}
    notes = to_the_yard(series, elevation_m)
    place = _place(payload)
    about = About(title=TITLE, station=grid_point(place), licence=LICENCE, place=place, issued=issued)
    return Issue(tables=(to_table(series, _rain(steps), about=about, notes=notes),), issued=issued)


def _data(step: object) -> Mapping[str, object]:
    return mapping(dig(step, ("data",), title=TITLE), "data", title=TITLE)


def _column(steps: Sequence[object], key: str) -> Floats:
    raw = np.array([number(_data(step).get(key), key, title=TITLE) for step in steps], dtype=np.float64)
    return np.where(raw == MISSING, np.nan, raw)


def _rain(steps: Sequence[object]) -> list[Rain]:
    columns = [in_si("rain_mm", "kg/m2", _column(steps, key), title=TITLE) for key in _RAIN]
    totals = np.where(np.isnan(columns[0]), columns[1], columns[0])
    spans = []
    for step, total in zip(steps, totals.tolist(), strict=True):
        begin, end = (dig(step, (key,), title=TITLE) for key in ("intervalParametersStartTime", "time"))
        spans.append(
            Rain(
                from_s=instant_s(begin, "intervalParametersStartTime", title=TITLE),
                to_s=instant_s(end, "time", title=TITLE),
                total_mm=total,
            )
        )
    return spans


def _place(payload: object) -> tuple[float, float]:
    where = sequence(dig(payload, ("geometry", "coordinates"), title=TITLE), "coordinates", title=TITLE)
    east, north = (number(part, "coordinates", title=TITLE) for part in (*where, None)[:2])
    return north, east
