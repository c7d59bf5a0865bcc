"""The gridpoint forecast of the National Weather Service of the United States: their land and shores, public domain.

Format: weather.gov API, "Gridpoint Frequently Asked Questions" (read): every layer has its own unit and its own
intervals; equal values in a row are merged into one interval; null is no data.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime

import numpy as np

from boottop.climate.weather import Site
from boottop.files.weather.table import HOUR_S
from boottop.services.failure import failed
from boottop.services.http import Client, Question, Reply
from boottop.services.payload import CHANGED, dig, in_si, instant_s, mapping, moment, number, sequence
from boottop.services.steps import About, Floats, Issue, Rain, Series, grid_point, to_table

NAME, TITLE = "nws", "US National Weather Service"
BASE = "https://api.weather.gov"
LICENCE = "public domain"
_LAYERS = {"air_c": "temperature", "wind_m_s": "windSpeed", "dew_c": "dewpoint", "rh": "relativeHumidity"}
_OPTIONAL = {"cloud": "skyCover", "pressure_pa": "pressure"}
_RAIN = "quantitativePrecipitation"
_DURATION = re.compile(r"^P(?:(\d{1,3})D)?(?:T(?:(\d{1,3})H)?(?:(\d{1,4})M)?)?$")
# Boxes that hold the states, Alaska, Hawaii, Puerto Rico and Guam; what lies in them beside the country is
# answered with 404. From memory.
_BOXES = ((24.0, 50.0, -125.5, -66.0), (51.0, 72.0, -180.0, -129.0), (18.0, 23.0, -161.0, -154.0),
          (17.0, 19.0, -68.0, -64.0), (13.0, 16.0, 144.0, 147.0))  # fmt: skip


def covers(site: Site) -> bool:
    """Whether the place may be theirs."""
    return any(
        south <= site.latitude_deg <= north and west <= site.longitude_deg <= east
        for south, north, west, east in _BOXES
    )


def ask(client: Client, site: Site, *, now: datetime) -> Reply[Issue]:
    """The newest forecast for the square of 2.5 km that the yard lies in: which one, then its layers."""
    base = client.bases.get(NAME, BASE)
    where = ",".join(_decimals(part) for part in (site.latitude_deg, site.longitude_deg))
    month_s = 30 * 86400.0
    point = client.get(
        Question(
            name=f"{NAME}-point",
            title=f"{TITLE}, place",
            url=f"{base}/points/{where}",
            decode=decode_point,
            life_s=month_s,
            longest_life_s=month_s,
        ),
        now=now,
    )
    return client.get(Question(name=NAME, title=TITLE, url=f"{base}/gridpoints/{point.value}", decode=decode), now=now)


def decode_point(payload: object) -> str:
    """Office and square of a place, such as TAE/58,65. The address itself is ours: we follow none that we are sent."""
    title = f"{TITLE}, place"
    office, *square = (str(dig(payload, ("properties", key), title=title)) for key in ("gridId", "gridX", "gridY"))
    if not re.fullmatch(r"[A-Z]{3}", office) or not all(re.fullmatch(r"\d{1,4}", part) for part in square):
        raise failed(title, f"the square {office[:20]}/{square}", allowed="such as TAE/58,65", advice=CHANGED)
    return f"{office}/{','.join(square)}"


def decode(payload: object) -> Issue:
    """An answer read: intervals expanded to hours, each layer by its own unit, sums of rain spread over their hours."""
    layers = mapping(dig(payload, ("properties",), title=TITLE), "properties", title=TITLE)
    issued = moment(dig(layers, ("updateTime",), title=TITLE), "updateTime", title=TITLE)
    series = {}
    for field, name in (_LAYERS | _OPTIONAL).items():
        found = _hours(layers, field, name)
        if found is not None:
            series[field] = found
    if "air_c" not in series:
        raise failed(TITLE, "no temperature", allowed="a temperature in every hour", advice=CHANGED)
    place = _place(payload)
    about = About(title=TITLE, station=grid_point(place), licence=LICENCE, place=place, issued=issued)
    return Issue(tables=(to_table(series, _rain(layers), about=about),), issued=issued)


def duration_h(text: str) -> int | None:
    """Whole hours of an ISO 8601 duration of days, hours and minutes; None when it is none, or not of whole hours.

    >>> duration_h("PT3H"), duration_h("P7DT14H"), duration_h("PT120M"), duration_h("P1M"), duration_h("PT")
    (3, 182, 2, None, None)
    """
    match = _DURATION.match(text)
    if match is None or not any(match.groups()):
        return None
    days, hours, minutes = (int(part or 0) for part in match.groups())
    total_min = (days * 24 + hours) * 60 + minutes
    return total_min // 60 if total_min and total_min % 60 == 0 else None


def _intervals(layers: Mapping[str, object], name: str) -> tuple[list[tuple[int, int]], Floats, object]:
    """Begin and hours of every interval of a layer, its values, and its unit; empty when the layer is."""
    layer = layers.get(name)
    rows = layer.get("values") if isinstance(layer, Mapping) else None
    if not rows:
        return [], np.empty(0), None
    spans, values = [], []
    for row in sequence(rows, name, title=TITLE):
        valid = str(dig(row, ("validTime",), title=TITLE))
        begin, _, length = valid.partition("/")
        hours = duration_h(length)
        if hours is None or hours > 24 * 40:
            raise failed(f"{TITLE}, {name}", f"the interval {valid[:60]!r}", allowed="such as PT3H", advice=CHANGED)
        spans.append((instant_s(begin, "validTime", title=TITLE), hours))
        values.append(number(dig(row, ("value",), title=TITLE), name, title=TITLE))
    return spans, np.array(values, dtype=np.float64), mapping(layer, name, title=TITLE).get("uom")


def _hours(layers: Mapping[str, object], field: str, name: str) -> Series | None:
    spans, values, unit = _intervals(layers, name)
    if not spans:
        return None
    by_hour = {
        begin + hour * HOUR_S: value
        for (begin, hours), value in zip(spans, in_si(field, unit, values, title=TITLE).tolist(), strict=True)
        for hour in range(hours)
    }
    stamps = np.array(sorted(by_hour), dtype=np.int64)
    return Series(epoch_s=stamps, values=np.array([by_hour[stamp] for stamp in stamps.tolist()], dtype=np.float64))


def _rain(layers: Mapping[str, object]) -> list[Rain]:
    spans, values, unit = _intervals(layers, _RAIN)
    if not spans:
        raise failed(f"{TITLE}, {_RAIN}", "no rain", allowed="rain in every hour: missing is not dry")
    totals = in_si("rain_mm", unit, values, title=TITLE).tolist()
    return [
        Rain(from_s=begin, to_s=begin + hours * HOUR_S, total_mm=total)
        for (begin, hours), total in zip(spans, totals, strict=True)
    ]


def _place(payload: object) -> tuple[float, float]:
    """Middle of the corners of the square; the first corner comes twice."""
    rings = sequence(dig(payload, ("geometry", "coordinates"), title=TITLE), "coordinates", title=TITLE)
    corners = sequence(rings[0], "coordinates", title=TITLE)
    pairs = [
        [number(part, "coordinates", title=TITLE) for part in sequence(corner, "coordinates", title=TITLE)[:2]]
        for corner in (corners[:-1] if len(corners) > 1 else corners)
    ]
    if any(len(pair) != 2 for pair in pairs):
        raise failed(TITLE, "a corner without two coordinates", allowed="east and north", advice=CHANGED)
    east, north = np.mean(np.array(pairs, dtype=np.float64), axis=0).tolist()
    return north, east


def _decimals(degrees: float) -> str:
    """At most four decimals and no zeros at the end: other spellings are redirected."""
    return f"{degrees:.4f}".rstrip("0").rstrip(".")
