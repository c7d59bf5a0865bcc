"""Weather and readings for the tests of blending."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np

from boottop.climate.blend import Observation
from boottop.climate.weather import Weather

START = datetime(2026, 5, 4, tzinfo=UTC)
NOW = START + timedelta(hours=200)


def weather(hours: int = 96, *, spread_k: tuple[float, ...] = (0.0,), damp_k: float = 4.0) -> Weather:
    """Air between 8 and 16 degC, dew point `damp_k` below the coldest, one member a spread."""
    wave = 12 + 4 * np.sin((np.arange(hours) - 9) / 24 * 2 * np.pi)
    air = np.stack([wave + shift for shift in spread_k])
    dew = np.full_like(air, 8.0 - damp_k)
    whole = np.ones_like(air)
    return Weather(
        start=START, air_c=air, dew_c=dew, wind_m_s=3 * whole, rain_mm=0 * whole, pressure_pa=101325 * whole,
        ghi_w_m2=np.nan * whole, dni_w_m2=np.nan * whole, dhi_w_m2=np.nan * whole, longwave_w_m2=np.nan * whole,
        cloud=0.5 * whole, filled={}, station="Invented Quay", source="invented", licence="CC0 1.0",
        findings=("found before",),
    )  # fmt: skip


def reading(forecast: Weather, hour: float, above_k: float, **more: float) -> Observation:
    """The mean of the members at that hour, and so much more."""
    mean = np.interp(hour, np.arange(forecast.hours), forecast.air_c.mean(axis=0))
    return Observation(time=START + timedelta(hours=hour), air_c=float(mean) + above_k, **more)
