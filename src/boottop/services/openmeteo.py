"""Open-Meteo: many services' models behind one form of answer: forecast, ensemble, the last weeks, and ERA5 since 1940.

Format: open-meteo.com documentation of the Forecast, Ensemble and Historical Weather API (read). Temperatures, wind,
pressure and cloud hold at the stamp; rain and light belong to the hour before it, as with us. Data CC BY 4.0; the free
service is for non-commercial use: a yard that earns its living by it takes their paid address as `bases`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from boottop.climate.weather import Site
from boottop.files.weather.table import Table
from boottop.services.failure import failed
from boottop.services.http import Client, Question, Reply
from boottop.services.payload import CHANGED, dig, in_si, mapping, number, numbers, sequence, wall_s
from boottop.services.steps import About, Floats, Ints, Issue, cut_table, grid_point, whole_hours

NAME, TITLE = "openmeteo", "Open-Meteo"
LICENCE = "CC BY 4.0"
BASES = {
    "openmeteo": "https://api.open-meteo.com/v1/forecast",
    "openmeteo-recent": "https://api.open-meteo.com/v1/forecast",
    "openmeteo-ensemble": "https://ensemble-api.open-meteo.com/v1/ensemble",
    "openmeteo-archive": "https://archive-api.open-meteo.com/v1/archive",
}
ENSEMBLE_MODEL = "gfs_seamless"  # 31 members, hourly to ten days from 0.25 deg, then 0.5 deg to 35 days
FORECAST_DAYS, ENSEMBLE_DAYS, RECENT_DAYS = 16, 35, 31
ARCHIVE_DELAY = timedelta(days=6)
_VARIABLES = {
    "air_c": "temperature_2m",
    "dew_c": "dew_point_2m",
    "rh": "relative_humidity_2m",
    "wind_m_s": "wind_speed_10m",
    "rain_mm": "precipitation",
    "pressure_pa": "surface_pressure",
    "cloud": "cloud_cover",
    "ghi_w_m2": "shortwave_radiation",
    "dni_w_m2": "direct_normal_irradiance",
    "dhi_w_m2": "diffuse_radiation",
}
_NEEDED = ("air_c", "wind_m_s", "rain_mm")
_MEMBER = re.compile(r"^_member(\d{2,3})$")
_HALF_H = 1800


@dataclass(frozen=True, kw_only=True)
class _Series:
    """All members' values of one quantity, (member, hour), and which members: 0 is the control, without a suffix."""

    members: tuple[int, ...]
    values: Floats


def ask_forecast(client: Client, site: Site, *, now: datetime) -> Reply[Issue]:
    """The forecast, three days back and sixteen ahead: always the same question, so that the kept answer serves."""
    return _ask(client, site, "openmeteo", params={"past_days": "3", "forecast_days": str(FORECAST_DAYS)}, now=now)


def ask_recent(client: Client, site: Site, *, now: datetime) -> Reply[Issue]:
    """The last weeks as the models had them, up to today."""
    return _ask(client, site, "openmeteo-recent", params={"past_days": str(RECENT_DAYS), "forecast_days": "1"}, now=now)


def ask_ensemble(client: Client, site: Site, *, now: datetime) -> Reply[Issue]:
    """Every member of the ensemble, three days back and 35 ahead."""
    params = {"past_days": "3", "forecast_days": str(ENSEMBLE_DAYS), "models": ENSEMBLE_MODEL}
    return _ask(client, site, "openmeteo-ensemble", params=params, now=now)


def ask_archive(client: Client, site: Site, days: tuple[datetime, datetime], *, now: datetime) -> Reply[Issue]:
    """ERA5 for the days from the first to the last named (UTC)."""
    params = {"start_date": f"{days[0]:%Y-%m-%d}", "end_date": f"{days[1]:%Y-%m-%d}", "models": "era5"}
    settled = now - days[1] > 3 * ARCHIVE_DELAY
    return _ask(client, site, "openmeteo-archive", params=params, now=now, life_s=365 * 86400.0 if settled else 86400.0)


def _ask(
    client: Client, site: Site, name: str, *, params: Mapping[str, str], now: datetime, life_s: float = 3600.0
) -> Reply[Issue]:
    fixed = {
        "latitude": f"{site.latitude_deg:.4f}",
        "longitude": f"{site.longitude_deg:.4f}",
        "elevation": f"{site.elevation_m:.0f}",
        "hourly": ",".join(_VARIABLES.values()),
        "wind_speed_unit": "ms",
        "timeformat": "iso8601",
        "timezone": "GMT",
    }
    title = _title(name)
    question = Question(
        name=name,
        title=title,
        url=client.bases.get(name, BASES[name]),
        params=fixed | dict(params),
        decode=lambda payload: decode(payload, title=title),
        life_s=life_s,
        longest_life_s=max(life_s, 6 * 3600.0),
    )
    return client.get(question, now=now)


def _title(name: str) -> str:
    kinds = {
        "openmeteo": TITLE,
        "openmeteo-recent": f"{TITLE}, last weeks",
        "openmeteo-ensemble": f"{TITLE} ensemble ({ENSEMBLE_MODEL})",
        "openmeteo-archive": f"{TITLE} archive (ERA5)",
    }
    return kinds[name]


def decode(payload: object, *, title: str = TITLE) -> Issue:
    """An answer read: hours by the offset it states, every column by the unit it states, one table a member.

    What a member lacks of the optional quantities it does not get from another one: such a column is left out.
    """
    hourly = mapping(dig(payload, ("hourly",), title=title), "hourly", title=title)
    units = mapping(dig(payload, ("hourly_units",), title=title), "hourly_units", title=title)
    offset_s = number(dig(payload, ("utc_offset_seconds",), title=title), "utc_offset_seconds", title=title)
    if not abs(offset_s) <= 15 * 3600:
        raise failed(title, f"an offset of {offset_s:g} s", allowed="at most 15 h", advice=CHANGED)
    hours_s = _hours(hourly, units, offset_s, title=title)
    series = _members(hourly, units, hours=hours_s.size, title=title)
    place = (_at(payload, "latitude", title), _at(payload, "longitude", title))
    about = About(title=title, station=grid_point(place), licence=LICENCE, place=place)
    notes = []
    if offset_s:
        notes.append(f"times: given {offset_s / 3600:+g} h from UTC, read so")
    return Issue(tables=_tables(series, hours_s, about=about, notes=notes), issued=None)


def _at(payload: object, key: str, title: str) -> float:
    return number(dig(payload, (key,), title=title), key, title=title)


def _hours(hourly: Mapping[str, object], units: Mapping[str, object], offset_s: float, *, title: str) -> Ints:
    if units.get("time") != "iso8601":
        raise failed(title, f"times in {str(units.get('time'))[:20]!r}", allowed="iso8601", advice=CHANGED)
    walls = sequence(dig(hourly, ("time",), title=title), "time", title=title)
    if offset_s % 3600 == _HALF_H:
        raise failed(title, "times half an hour beside UTC", allowed="whole hours of UTC, as asked for", advice=CHANGED)
    hours_s = np.array([wall_s(wall, offset_s, title=title) for wall in walls], dtype=np.int64)
    if (np.diff(hours_s) != 3600).any():
        raise failed(title, "hours that are missing, double or out of order", allowed="every hour once", advice=CHANGED)
    return hours_s


def _members(
    hourly: Mapping[str, object], units: Mapping[str, object], *, hours: int, title: str
) -> dict[str, _Series]:
    found = {}
    for field, variable in _VARIABLES.items():
        columns = {}
        for key in hourly:
            suffix = key.removeprefix(variable)
            match = _MEMBER.match(suffix)
            if key == variable or (key.startswith(variable) and match):
                columns[int(match[1]) if match else 0] = _column(hourly, units, (field, key), hours=hours, title=title)
        if columns:
            numbered = tuple(sorted(columns))
            found[field] = _Series(members=numbered, values=np.stack([columns[member] for member in numbered]))
    missing = [_VARIABLES[field] for field in _NEEDED if field not in found]
    if "dew_c" not in found and "rh" not in found:
        missing.append("dew_point_2m or relative_humidity_2m")
    if missing:
        raise failed(title, f"no {', no '.join(missing)}", allowed="all that was asked for", advice=CHANGED)
    return found


def _column(
    hourly: Mapping[str, object], units: Mapping[str, object], name: tuple[str, str], *, hours: int, title: str
) -> Floats:
    field, key = name
    raw = numbers(hourly[key], key, title=title)
    if raw.size != hours:
        raise failed(f"{title}, {key}", f"{raw.size} values", allowed=f"{hours}, as many as hours", advice=CHANGED)
    if np.isnan(raw).all():
        return raw
    return in_si(field, units.get(key), raw, title=title)


def _tables(series: Mapping[str, _Series], hours_s: Ints, *, about: About, notes: list[str]) -> tuple[Table, ...]:
    """One table for every member that has all that is needed, all of the same hours."""
    complete = sorted(set.intersection(*(set(series[field].members) for field in _NEEDED)))
    damp = [set(series[field].members) for field in ("dew_c", "rh") if field in series]
    complete = [member for member in complete if any(member in have for have in damp)]
    each = {member: _values(series, member) for member in complete}
    spans = {member: whole for member, values in each.items() if (whole := whole_hours(values)) is not None}
    if not spans:
        raise failed(about.title, "no member with an hour of all that is needed", allowed="one or more", advice=CHANGED)
    longest = max(span.stop - span.start for span in spans.values())
    kept = {member: span for member, span in spans.items() if span.stop - span.start >= longest - 24}
    common = slice(max(span.start for span in kept.values()), min(span.stop for span in kept.values()))
    left_out = max(len(one.members) for one in series.values()) - len(kept)
    if left_out:
        notes = [*notes, f"ensemble: {left_out} members are incomplete and left out, {len(kept)} are used"]
    return tuple(
        replace(
            cut_table(
                hours_s[common],
                {field: values[common] for field, values in each[member].items()},
                filled={},
                about=about,
                notes=notes,
            ),
            where=about.title if len(kept) == 1 else f"{about.title}, member {member}",
        )
        for member in kept
    )


def _values(series: Mapping[str, _Series], member: int) -> dict[str, Floats]:
    return {field: one.values[one.members.index(member)] for field, one in series.items() if member in one.members}
