"""Years of weather with holes: stretches that are known, holes that are counted, nothing made up."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.files.weather.stretches import load_stretches

SITE = Site(latitude_deg=40.6, longitude_deg=-73.8, elevation_m=3.0, zone_name="America/New_York", bow_deg=0.0)
START = datetime(2022, 4, 1, tzinfo=UTC)


def weather_file(folder: Path, *, hours: int, holes: dict[str, list[int]] | None = None, rain: bool = True) -> Path:
    """A file of plain weather, with cells left empty in the hours named by column."""
    lines = ["time,air[degC],dew_point[degC],wind[m/s],pressure[hPa]" + (",rain[mm]" if rain else "")]
    empty = {name: set(at) for name, at in (holes or {}).items()}
    for hour in range(hours):
        when = START + timedelta(hours=hour)
        air = 12.0 + 5.0 * np.sin(2 * np.pi * (hour % 24) / 24) + 0.01 * (hour % 7)
        cells = {"air": f"{air:.2f}", "dew": f"{air - 6:.2f}", "wind": f"{3 + 0.1 * (hour % 9):.1f}", "p": "1013"}
        if rain:
            cells["rain"] = "0.4" if hour % 50 == 0 else "0"
        row = ["" if hour in empty.get(name, ()) else cell for name, cell in cells.items()]
        lines.append(",".join([f"{when:%Y-%m-%dT%H:%MZ}", *row]))
    path = folder / "weather.csv"
    path.write_text("\n".join(lines) + "\n")
    return path


def test_a_file_without_a_hole_is_one_stretch(tmp_path: Path) -> None:
    found = load_stretches(weather_file(tmp_path, hours=400), site=SITE)
    assert [weather.hours for weather in found.weathers] == [400]
    assert found.holes == ()
    assert set(found.missing_h.values()) == {0}


def test_a_long_hole_ends_a_stretch_and_is_counted(tmp_path: Path) -> None:
    hole = list(range(200, 240))
    found = load_stretches(weather_file(tmp_path, hours=500, holes={"rain": hole, "wind": hole[:10]}), site=SITE)
    assert [weather.hours for weather in found.weathers] == [200, 260]
    assert found.weathers[1].start == START + timedelta(hours=240)
    (one,) = found.holes
    assert (one.hours, one.missing) == (40, ("wind", "rain"))
    assert found.missing_h == {"air": 0, "dew_point": 0, "wind": 10, "rain": 40}
    for weather in found.weathers:
        assert np.isfinite(weather.rain_mm).all()


def test_a_short_gap_is_filled_and_told_as_for_a_plan(tmp_path: Path) -> None:
    found = load_stretches(weather_file(tmp_path, hours=400, holes={"air": [300, 301]}), site=SITE)
    assert len(found.weathers) == 1
    assert any("2 h missing in all, interpolated" in finding for finding in found.findings)
    assert found.weathers[0].filled["air_c"].sum() == 2


def test_stretches_of_less_than_five_days_are_of_no_use_and_counted(tmp_path: Path) -> None:
    holes = {"air": list(range(150, 160)) + list(range(230, 240))}
    found = load_stretches(weather_file(tmp_path, hours=500, holes=holes), site=SITE)
    assert [weather.hours for weather in found.weathers] == [150, 260]
    assert found.short_h == 70


def test_nothing_but_holes_is_refused(tmp_path: Path) -> None:
    path = weather_file(tmp_path, hours=300, holes={"rain": [hour for hour in range(300) if hour % 40 < 12]})
    with pytest.raises(InputError, match="no five days on end"):
        load_stretches(path, site=SITE)


def test_a_file_without_rain_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no column rain"):
        load_stretches(weather_file(tmp_path, hours=300, rain=False), site=SITE)
