"""The weather and the place, as the climate room takes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ground = Literal["gravel", "concrete", "grass"]
Cover = Literal["open", "sheltered", "shed"]


@dataclass(frozen=True, kw_only=True)
class Weather:
    """Hourly weather, contiguous, arrays of shape (member, hour).

    `start` is the aware UTC time of hour 0. Temperature, dew point, wind and pressure hold AT the stamp; rain and
    irradiance are the sum and the mean of the hour BEFORE the stamp. Irradiance not in the file is NaN as a whole
    (then climate estimates it and says so); so are cloud (fraction) and long-wave. `filled[name]` marks hours that
    were interpolated or estimated, shape (hour,). `findings` is what quality control had to say. `issued`: when
    a forecast was issued (or last stood by), None for weather that was measured.
    """

    start: datetime
    air_c: Floats
    dew_c: Floats
    wind_m_s: Floats
    rain_mm: Floats
    pressure_pa: Floats
    ghi_w_m2: Floats
    dni_w_m2: Floats
    dhi_w_m2: Floats
    longwave_w_m2: Floats
    cloud: Floats
    filled: Mapping[str, NDArray[np.bool_]]
    station: str
    source: str
    licence: str
    findings: tuple[str, ...] = ()
    issued: datetime | None = None

    @property
    def members(self) -> int:
        return int(self.air_c.shape[0])

    @property
    def hours(self) -> int:
        return int(self.air_c.shape[1])


@dataclass(frozen=True, kw_only=True)
class Site:
    """Where and how the boat stands ashore. `bow_deg`: compass heading the bow points to, true.

    `shelter`: share of the station's wind that reaches the hull (0.3 among sheds, 1 on an open quay). `cover`: open
    yard; sheltered corner (half of that wind again, no sun below 15 deg); shed (climate.cover has the figures).
    `cabin_closed`: hatches shut, so that the cabin warms in the sun and keeps the laminate warm into the night.
    """

    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    zone_name: str
    bow_deg: float
    ground: Ground = "gravel"
    cover: Cover = "open"
    shelter: float = 0.6
    cabin_closed: bool = True
    hull_absorptance: float = 0.75
