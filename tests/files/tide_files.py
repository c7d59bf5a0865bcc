"""Tide stations for tests: the open files in tests/data/tides, and one moved beside the yard of the commented sheet."""

from __future__ import annotations

import gzip
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boottop.files.tides import load_station
from boottop.plan.tide_constants import TideStation

TIDES = Path(__file__).parents[1] / "data" / "tides"
FILES = sorted(path.name for path in TIDES.glob("*.json"))
TEMPLATE_PLACE = {"latitude": 41.15, "longitude": -8.63}
"""Where the yard of the commented sheet lies."""


def station(name: str) -> TideStation:
    """The station whose file name holds `name`."""
    (path,) = TIDES.glob(f"*{name}*.json")
    return load_station(path)


def raw(name: str) -> dict[str, Any]:
    """The same as it stands in the file."""
    (path,) = TIDES.glob(f"*{name}*.json")
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def write_harbour(folder: Path, **changes: Any) -> Path:
    """Newlyn's tide, said to be that of a harbour beside the yard of the commented sheet."""
    path = folder / "tides" / "harbour.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    data = raw("newlyn") | {"name": "Invented Harbour"} | TEMPLATE_PLACE | changes
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


def seconds(year: int, month: int = 1, day: int = 1, *, hour: int = 0) -> int:
    """Seconds since 1970 of a time in UTC."""
    return int(datetime(year, month, day, hour, tzinfo=UTC).timestamp())


def honolulu_record() -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Seconds since 1970 UTC and observed heights, m above the gauge's own zero, hourly through 2010."""
    with gzip.open(TIDES / "honolulu-2010-hourly.asc.gz", "rt", encoding="ascii") as file:
        table = np.loadtxt(file)
    start_s = (datetime(1700, 1, 1, tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC)).days * 86400
    return np.rint(table[:, 0] * 86400.0).astype(np.int64) + start_s, table[:, 1] / 1000.0
