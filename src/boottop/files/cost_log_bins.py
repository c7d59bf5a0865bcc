"""What the readers of logs share: a moment every ten seconds, made of what instruments said within it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
BIN_S = 10
KNOT_M_S = 1852.0 / 3600.0
FIELDS = ("water_m_s", "ground_m_s", "rev_s", "fuel_l_h", "wind_m_s", "wind_deg")
SUMMED = ("fuel_l_h",)


@dataclass(frozen=True, kw_only=True)
class LogHow:
    """How a log is read: zone of times without an offset, the owner's columns, the kind of wind in a CSV."""

    zone: ZoneInfo
    columns: Mapping[str, tuple[str, str]]
    wind_is_apparent: bool = False


@dataclass(frozen=True, kw_only=True)
class Parsed:
    """One file: `time_s` since 1970 UTC and `fields` of LogTable, shapes (moment,), in the order of the file."""

    time_s: Floats
    fields: Mapping[str, Floats]
    wind_is_apparent: bool = False
    notes: tuple[str, ...] = ()


@dataclass(kw_only=True)
class Bins:
    """Gathers readings: of each source the last one within ten seconds counts; engines' fuel is added up, of all else
    the sources' mean is taken."""

    readings: dict[int, dict[tuple[str, str], float]] = field(default_factory=dict)

    def put(self, time_s: float, name: str, value: float, *, source: str = "") -> None:
        """One reading of one instrument."""
        if np.isfinite(value):
            self.readings.setdefault(int(time_s // BIN_S), {})[name, source] = value

    def parsed(self, *, wind_is_apparent: bool, notes: tuple[str, ...]) -> Parsed:
        """The moments in order of time."""
        bins = sorted(self.readings)
        fields = {name: np.array([self._value(one, name) for one in bins], dtype=np.float64) for name in FIELDS}
        return Parsed(
            time_s=np.array(bins, dtype=np.float64) * BIN_S,
            fields=fields,
            wind_is_apparent=wind_is_apparent,
            notes=notes,
        )

    def _value(self, one: int, name: str) -> float:
        values = [value for (known, _), value in self.readings[one].items() if known == name]
        if not values:
            return float("nan")
        return sum(values) if name in SUMMED else sum(values) / len(values)
