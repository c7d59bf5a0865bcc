"""MET Norway's Locationforecast: hourly for two days, then six-hourly to nine days, anywhere on Earth, CC BY 4.0.

Format: api.met.no, "General forecast JSON format" and the Locationforecast data model (read). Terms of service (read):
say who you are, at most four decimals in coordinates, not before Expires, If-Modified-Since.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

import numpy as np

from boottop.climate.moist import dew_point_c, standard_pressure_pa
from boottop.climate.weather import Site
from boottop.files.weather.table import HOUR_S
from boottop.services.http import Client, Question, Reply
from boottop.services.payload import dig, in_si, instant_s, mapping, moment, number, sequence
from boottop.services.steps import About, Floats, Ints, Issue, Rain, Series, grid_point, to_table

NAME, TITLE = "metno", "MET Norway Locationforecast"
BASE = "https://api.met.no/weatherapi/locationforecast/2.0"
LICENCE = "CC BY 4.0"
_NEEDED = {"air_c": "air_temperature", "wind_m_s": "wind_speed"}
_OPTIONAL = {
    "dew_c": "dew_point_temperature",
    "rh": "relative_humidity",
    "pressure_pa": "air_pressure_at_sea_level",
    "cloud": "cloud_area_fraction",
}


def ask(client: Client, site: Site, *, now: datetime) -> Reply[Issue]:
    """The newest forecast for the yard."""
    params = {
        "lat": f"{site.latitude_deg:.4f}",
        "lon": f"{site.longitude_deg:.4f}",
        "altitude": f"{min(max(site.elevation_m, -500.0), 9000.0):.0f}",
    }
    question = Question(
        name=NAME,
        title=TITLE,
        url=f"{client.bases.get(NAME, BASE)}/complete",
        params=params,
        decode=lambda payload: decode(payload, elevation_m=site.elevation_m),
    )
    return client.get(question, now=now)


def decode(payload: object, *, elevation_m: float) -> Issue:
    """An answer read: instants on a line between the steps, sums spread, pressure brought from the sea to the yard.

    Beyond the hourly steps the warmest and coldest of each six hours, where they lie outside its two ends, are set in
    the middle of the step: a line alone would cut the afternoon off (our own choice; the hour of the extreme is not
    given).
    """
    units = mapping(dig(payload, ("properties", "meta", "units"), title=TITLE), "units", title=TITLE)
    steps = sequence(dig(payload, ("properties", "timeseries"), title=TITLE), "timeseries", title=TITLE)
    issued = moment(dig(payload, ("properties", "meta", "updated_at"), title=TITLE), "updated_at", title=TITLE)
    stamps = np.array([instant_s(dig(step, ("time",), title=TITLE), "time", title=TITLE) for step in steps])
    order = np.argsort(stamps, kind="stable")
    steps, stamps = [steps[index] for index in order.tolist()], stamps[order]
    series = {
        field: Series(epoch_s=stamps, values=_instants(steps, field, key, units=units))
        for field, key in (_NEEDED | _OPTIONAL).items()
        if field in _NEEDED or key in units
    }
    series["air_c"] = _with_extremes(series["air_c"], steps, units)
    _one_dew_point(series)
    notes = to_the_yard(series, elevation_m)
    place = _place(payload)
    about = About(title=TITLE, station=grid_point(place), licence=LICENCE, place=place, issued=issued)
    table = to_table(series, _rain(steps, stamps, units), about=about, notes=notes)
    return Issue(tables=(table,), issued=issued)


def _instants(steps: Sequence[object], field: str, key: str, *, units: Mapping[str, object]) -> Floats:
    raw = []
    for step in steps:
        details = mapping(dig(step, ("data", "instant", "details"), title=TITLE), "details", title=TITLE)
        raw.append(number(details.get(key), key, title=TITLE))
    return in_si(field, units.get(key), np.array(raw, dtype=np.float64), title=TITLE)


def _ahead(step: object, hours: int) -> Mapping[str, object]:
    """Details of the next hours of a step; empty when there are none."""
    data = mapping(dig(step, ("data",), title=TITLE), "data", title=TITLE)
    block = data.get(f"next_{hours}_hours")
    details = block.get("details") if isinstance(block, Mapping) else None
    return details if isinstance(details, Mapping) else {}


def _rain(steps: Sequence[object], stamps: Ints, units: Mapping[str, object]) -> list[Rain]:
    key = "precipitation_amount"
    spans = []
    for stamp, step in zip(stamps.tolist(), steps, strict=True):
        for hours in (1, 6):
            total = number(_ahead(step, hours).get(key), key, title=TITLE)
            if not np.isnan(total):
                spans.append((stamp, stamp + hours * HOUR_S, total))
                break
    totals = in_si("rain_mm", units.get(key), np.array([total for _, _, total in spans]), title=TITLE)
    return [
        Rain(from_s=begin, to_s=end, total_mm=float(total))
        for (begin, end, _), total in zip(spans, totals, strict=True)
    ]


def _with_extremes(air: Series, steps: Sequence[object], units: Mapping[str, object]) -> Series:
    made = []
    for index in range(len(steps) - 1):
        first, last = int(air.epoch_s[index]), int(air.epoch_s[index + 1])
        if last - first != 6 * HOUR_S:
            continue
        ends = air.values[index : index + 2]
        for key, beyond in (("air_temperature_max", np.max(ends)), ("air_temperature_min", np.min(ends))):
            raw = np.array([number(_ahead(steps[index], 6).get(key), key, title=TITLE)])
            extreme = in_si("air_c", units.get(key, units.get("air_temperature")), raw, title=TITLE)[0]
            if (extreme > beyond) if key.endswith("max") else (extreme < beyond):
                made.append((first + 3 * HOUR_S, float(extreme), abs(extreme - beyond)))
    kept = {at: value for at, value, _ in sorted(made, key=lambda item: item[2])}
    stamps = np.concatenate([air.epoch_s, np.array(list(kept), dtype=np.int64)])
    values = np.concatenate([air.values, np.array(list(kept.values()), dtype=np.float64)])
    order = np.argsort(stamps, kind="stable")
    return Series(epoch_s=stamps[order], values=values[order], made=(np.arange(stamps.size) >= air.epoch_s.size)[order])


def _one_dew_point(series: dict[str, Series]) -> None:
    """The dew point as given, else from humidity at the same step (humidity itself does not lie on a line)."""
    rh = series.pop("rh", None)
    if rh is None or ("dew_c" in series and not np.isnan(series["dew_c"].values).all()):
        return
    air = series["air_c"]
    at_steps = air.values if air.made is None else air.values[~air.made]
    humid = np.where(rh.values > 0, rh.values, np.nan)
    series["dew_c"] = Series(epoch_s=rh.epoch_s, values=np.minimum(dew_point_c(at_steps, humid), at_steps))


def to_the_yard(series: dict[str, Series], elevation_m: float) -> list[str]:
    """Pressure at sea level brought to the height of the yard, in place; with what to say of it."""
    if "pressure_pa" not in series:
        return []
    factor = float(standard_pressure_pa(elevation_m) / standard_pressure_pa(0.0))
    sea = series["pressure_pa"]
    series["pressure_pa"] = Series(epoch_s=sea.epoch_s, values=sea.values * factor)
    return [f"pressure: given at sea level, brought to {elevation_m:g} m by the standard atmosphere"]


def _place(payload: object) -> tuple[float, float]:
    where = sequence(dig(payload, ("geometry", "coordinates"), title=TITLE), "coordinates", title=TITLE)
    east, north = (number(part, "coordinates", title=TITLE) for part in (*where, None)[:2])
    return north, east
