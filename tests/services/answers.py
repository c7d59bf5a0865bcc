"""Answers written by hand from the documented formats, where no real sample of the whole answer could be had."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np

from boottop.climate.weather import Site

FALMOUTH = Site(latitude_deg=50.152, longitude_deg=-5.066, elevation_m=4.0, zone_name="Europe/London", bow_deg=200.0)
UNITS = {
    "temperature_2m": "°C", "dew_point_2m": "°C", "relative_humidity_2m": "%", "wind_speed_10m": "m/s",
    "precipitation": "mm", "surface_pressure": "hPa", "cloud_cover": "%", "shortwave_radiation": "W/m²",
    "direct_normal_irradiance": "W/m²", "diffuse_radiation": "W/m²",
}  # fmt: skip


def open_meteo(start: datetime, hours: int, *, members: int = 1, warmer_k: float = 0.0) -> dict[str, Any]:
    """An answer as documented for the Forecast, Ensemble and Historical Weather API; member n is n/10 K warmer."""
    times = [start + timedelta(hours=hour) for hour in range(hours)]
    day = np.array([np.sin((time.hour - 9) / 24 * 2 * np.pi) for time in times])
    sun = np.maximum(np.array([-np.cos((time.hour - 0.5) / 24 * 2 * np.pi) for time in times]), 0.0) * 700
    wet = np.array([0.4 if time.hour == 3 else 0.0 for time in times])
    hourly: dict[str, Any] = {"time": [time.strftime("%Y-%m-%dT%H:%M") for time in times]}
    units = {"time": "iso8601"}
    for member in range(members):
        columns = {
            "temperature_2m": 12 + warmer_k + 4 * day + member / 10,
            "dew_point_2m": 7 + warmer_k + day,
            "relative_humidity_2m": 70 - 15 * day,
            "wind_speed_10m": 4 + day,
            "precipitation": wet,
            "surface_pressure": 1015 + day,
            "cloud_cover": 50 - 20 * day,
            "shortwave_radiation": sun,
            "direct_normal_irradiance": sun * 0.8,
            "diffuse_radiation": sun * 0.3,
        }
        for name, values in columns.items():
            key = name if member == 0 else f"{name}_member{member:02d}"
            hourly[key] = np.round(values, 2).tolist()
            units[key] = UNITS[name]
    return {
        "latitude": 50.125, "longitude": -5.0, "generationtime_ms": 1.5, "utc_offset_seconds": 0, "timezone": "GMT",
        "timezone_abbreviation": "GMT", "elevation": 4.0, "hourly_units": units, "hourly": hourly,
    }  # fmt: skip


def smhi(start: datetime, steps_h: list[int]) -> dict[str, Any]:
    """An answer in the form of the 2026 sample, with steps that widen; humidity is missing (9999) in no step."""
    series, time = [], start
    for number, step_h in enumerate(steps_h):
        begin, time = time, time + timedelta(hours=step_h)
        series.append(
            {
                "time": time.strftime("%Y-%m-%dT%H:%M:%SZ"),
                "intervalParametersStartTime": begin.strftime("%Y-%m-%dT%H:%M:%SZ"),
                "data": {
                    "air_temperature": 10.0 + number % 12, "wind_speed": 3.0, "relative_humidity": 80,
                    "air_pressure_at_mean_sea_level": 1013.25, "cloud_area_fraction": 4,
                    "precipitation_amount_mean_deterministic": 0.6, "precipitation_amount_mean": 9999,
                },
            }
        )  # fmt: skip
    return {
        "createdTime": "2026-04-02T11:01:32Z",
        "referenceTime": "2026-04-02T10:45:00Z",
        "geometry": {"type": "Point", "coordinates": [16.158549, 58.577821]},
        "timeSeries": series,
    }


def utc(*parts: int) -> datetime:
    """An aware time in UTC."""
    return datetime(*parts, tzinfo=UTC)  # type: ignore[arg-type,misc]
