"""ERA5 by NetCDF and Zarr: names, units, sums, the nearest point, several files, and what is refused in which words."""

from __future__ import annotations

import importlib.util
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site, Weather
from boottop.files.weather import grid, load_weather

xarray = pytest.importorskip("xarray", reason="the extra boottop[reanalysis] is not installed")

YARD = Site(latitude_deg=51.8, longitude_deg=-8.3, elevation_m=5, zone_name="Europe/Dublin", bow_deg=0)
START = datetime(2024, 4, 1, tzinfo=UTC)
HOURS = 96
INSTANT = ("t2m", "d2m", "u10", "v10", "sp", "tcc")
SUMS = ("tp", "ssrd", "fdir", "strd")
UNITS = {"t2m": "K", "d2m": "K", "u10": "m s**-1", "v10": "m s**-1", "sp": "Pa", "tcc": "(0 - 1)", "tp": "m",
         "ssrd": "J m**-2", "fdir": "J m**-2", "strd": "J m**-2"}  # fmt: skip
LATITUDES, LONGITUDES = np.array([52.0, 51.75, 51.5]), np.array([351.5, 351.75, 352.0])


def hourly() -> dict[str, np.ndarray]:
    """Values at one point by the hour to the stamp, in the units of ERA5."""
    hours = np.arange(HOURS)
    sun = np.maximum(0.0, np.cos(2 * np.pi * (hours - 0.5 - 12.6) / 24))
    rain = np.where((hours >= 30) & (hours < 34), 0.0006, 0.0)
    return {
        "t2m": 283.15 + 4 * np.cos(2 * np.pi * (hours - 15) / 24),
        "d2m": np.full(HOURS, 278.15),
        "u10": np.full(HOURS, 3.0),
        "v10": 4.0 + 0.1 * (hours % 7),
        "sp": 101_000.0 + hours,
        "tcc": np.full(HOURS, 0.5),
        "tp": rain,
        "ssrd": sun * 600 * 3600,
        "fdir": sun * 400 * 3600,
        "strd": np.full(HOURS, 310.0 * 3600) + hours,
    }


def dataset(names: tuple[str, ...] = (*INSTANT, *SUMS), *, time: str = "valid_time") -> Any:
    """Three by three points; the middle one, 51.75 N 8.25 W, is the nearest to the yard and holds `hourly`."""
    stamps = np.datetime64("2024-04-01T00:00:00", "ns") + np.arange(HOURS) * np.timedelta64(3600, "s")
    distinct = np.array([[1.05, 1.0, 0.97], [0.99, 1.0, 1.02], [1.01, 0.98, 1.03]])
    series = hourly()
    variables = {
        name: ((time, "latitude", "longitude"), series[name][:, None, None] * distinct, {"units": UNITS[name]})
        for name in names
    }
    return xarray.Dataset(variables, coords={time: stamps, "latitude": LATITUDES, "longitude": LONGITUDES, "number": 0})


def written(folder: Path, data: Any, name: str = "era5.nc") -> Path:
    path = folder / name
    if path.suffix == ".zarr":
        data.to_zarr(path, consolidated=False)
    else:
        data.to_netcdf(path, engine="h5netcdf")
    return path


def since_midnight(values: np.ndarray) -> np.ndarray:
    """Sums from midnight UTC, as ERA5-Land has them: the stamp of 00:00 holds the whole day before."""
    total, run = np.empty(values.size), 0.0
    for hour, value in enumerate(values):
        run = value if hour % 24 == 1 else run + value
        total[hour] = run
    return total


def load(path: Path, **more: Any) -> Weather:
    return load_weather(path, site=YARD, **more)


def told(weather: Weather) -> str:
    return "\n".join(weather.findings)


def test_units_and_the_nearest_point(tmp_path: Path) -> None:
    weather = load(written(tmp_path, dataset()))
    assert (weather.start, weather.hours) == (START, HOURS)
    assert weather.air_c[0, 15] == pytest.approx(14.0, abs=1e-4)
    assert weather.dew_c[0, 0] == pytest.approx(5.0, abs=1e-4)
    assert weather.wind_m_s[0, 0] == pytest.approx(5.0)
    assert weather.rain_mm.sum() == pytest.approx(2.4)
    assert weather.pressure_pa[0, 10] == pytest.approx(101_010)
    assert weather.ghi_w_m2.max() == pytest.approx(600, rel=0.01)
    assert weather.dhi_w_m2.max() == pytest.approx(200, rel=0.01)
    assert weather.longwave_w_m2[0, 0] == pytest.approx(310, rel=1e-3)
    assert weather.cloud[0, 0] == pytest.approx(0.5)
    assert "place: grid point 51.75 N 8.25 W, 7 km from the yard" in told(weather)
    assert "times: taken as UTC" in told(weather)
    assert "solar noon" not in told(weather)


def test_zarr_netcdf_3_and_netcdf_4_give_the_same(tmp_path: Path) -> None:
    plain = load(written(tmp_path, dataset()))
    zarr = load(written(tmp_path, dataset(time="time"), "era5.zarr"))
    old = tmp_path / "old.nc"
    dataset().to_netcdf(old, engine="scipy")
    for other in (zarr, load(old)):
        assert other.air_c == pytest.approx(plain.air_c)
        assert other.rain_mm == pytest.approx(plain.rain_mm)
        assert other.start == plain.start


def test_long_names_lat_lon_and_one_point(tmp_path: Path) -> None:
    data = dataset().isel(latitude=1, longitude=1)
    data = data.rename({"t2m": "2m_temperature", "tp": "total_precipitation", "latitude": "lat", "longitude": "lon"})
    weather = load_weather(written(tmp_path, data), site=None)
    assert weather.station == "grid point 51.75, -8.25"
    assert weather.rain_mm.sum() == pytest.approx(2.4)


def test_window_reads_only_its_days(tmp_path: Path) -> None:
    path = written(tmp_path, dataset())
    weather = load(path, start=datetime(2024, 4, 3, tzinfo=UTC), end=datetime(2024, 4, 4, tzinfo=UTC))
    assert (weather.start, weather.hours) == (datetime(2024, 4, 3, tzinfo=UTC), 24)
    with pytest.raises(InputError, match="weather from 2024-04-01T00:00Z to 2024-04-04T23:00Z"):
        load(path, start=datetime(2024, 6, 3, tzinfo=UTC), end=datetime(2024, 6, 4, tzinfo=UTC))


def test_sums_from_midnight_are_taken_apart_and_told(tmp_path: Path) -> None:
    data = dataset()
    for name in SUMS:
        summed = np.apply_along_axis(since_midnight, 0, data[name].values)
        data[name] = (data[name].dims, summed, data[name].attrs)
    window = {"start": datetime(2024, 4, 1, 1, tzinfo=UTC)}
    weather = load(written(tmp_path, data), **window)
    plain = load(written(tmp_path, dataset(), "hourly.nc"), **window)
    assert weather.rain_mm == pytest.approx(plain.rain_mm, abs=1e-9)
    assert weather.ghi_w_m2 == pytest.approx(plain.ghi_w_m2, abs=1e-6)
    assert "summed from midnight UTC in the file (as in ERA5-Land), taken apart into hours" in told(weather)
    assert "midnight" not in told(plain)


def test_sums_that_could_be_either_are_refused(tmp_path: Path) -> None:
    data = dataset((*INSTANT, "tp"))
    rising = np.where(np.arange(HOURS) >= 90, (np.arange(HOURS) - 89) * 1e-3, 0.0)
    data["tp"] = (data["tp"].dims, np.broadcast_to(rising[:, None, None], data["tp"].shape).copy(), {"units": "m"})
    with pytest.raises(InputError, match=r"tp: found sums of which it cannot be told.*three whole days"):
        load(written(tmp_path, data))


def test_one_shower_that_means_the_same_either_way_is_read(tmp_path: Path) -> None:
    data = dataset((*INSTANT, "tp"))
    once = np.where(np.arange(HOURS) == 48, 2e-3, 0.0)  # the hour to midnight
    data["tp"] = (data["tp"].dims, np.broadcast_to(once[:, None, None], data["tp"].shape).copy(), {"units": "m"})
    weather = load(written(tmp_path, data))
    assert np.flatnonzero(weather.rain_mm[0]).tolist() == [48]
    assert "midnight" not in told(weather)


def test_packing_noise_is_no_rain(tmp_path: Path) -> None:
    data = dataset()
    data["tp"] = data["tp"] + 2e-7
    data["tp"].attrs["units"] = "m"
    weather = load(written(tmp_path, data))
    assert (weather.rain_mm > 0).sum() == 4
    assert "92 h with less than 0.001 mm, taken as 0" in told(weather)
    assert "more hours of drizzle" in told(weather)


def test_zip_and_folder_of_instants_and_sums(tmp_path: Path) -> None:
    folder = tmp_path / "parts"
    folder.mkdir()
    parts = [written(folder, dataset(INSTANT), "instant.nc"), written(folder, dataset(SUMS), "accum.nc")]
    packed = tmp_path / "download.zip"
    with zipfile.ZipFile(packed, "w") as bundle:
        for part in parts:
            bundle.write(part, f"../{part.name}")
    whole = load(written(tmp_path, dataset()))
    for path in (folder, packed):
        assert load(path).rain_mm == pytest.approx(whole.rain_mm)
        assert load(path).air_c == pytest.approx(whole.air_c)


def test_files_that_follow_or_contradict_each_other(tmp_path: Path) -> None:
    folder = tmp_path / "years"
    folder.mkdir()
    written(folder, dataset().isel(valid_time=slice(0, 50)), "a.nc")
    written(folder, dataset().isel(valid_time=slice(48, HOURS)), "b.nc")
    assert load(folder).hours == HOURS
    other = dataset().isel(valid_time=slice(48, HOURS))
    other["t2m"] = other["t2m"] + 1
    other["t2m"].attrs["units"] = "K"
    written(folder, other, "c.nc")
    with pytest.raises(InputError, match="t2m: found two different values for one hour"):
        load(folder)


def test_preliminary_months_fill_in_and_are_told(tmp_path: Path) -> None:
    data = dataset()
    first = data.where(data["valid_time"] < data["valid_time"][60])
    second = data.where(data["valid_time"] >= data["valid_time"][60])
    both = xarray.concat([first, second], dim="expver").assign_coords(expver=[1, 5])
    for name in UNITS:
        both[name].attrs["units"] = UNITS[name]
    weather = load(written(tmp_path, both))
    assert weather.hours == HOURS
    assert "preliminary (ERA5T)" in told(weather)


def test_a_point_without_values_gives_way_to_the_next(tmp_path: Path) -> None:
    data = dataset()
    sea = (data["latitude"] == 51.75) & (data["longitude"] == 351.75)
    data = data.where(~sea)
    for name in UNITS:
        data[name].attrs["units"] = UNITS[name]
    weather = load(written(tmp_path, data))
    assert "grid point 51.75 N 8.5 W, 15 km from the yard, the nearest with values" in told(weather)
    everywhere = data.where(data["latitude"] > 90)
    for name in UNITS:
        everywhere[name].attrs["units"] = UNITS[name]
    with pytest.raises(InputError, match="no temperature at the 9 grid points nearest to the yard"):
        load(written(tmp_path, everywhere, "sea.nc"))


def test_missing_variables_are_named_all_at_once(tmp_path: Path) -> None:
    path = written(tmp_path, dataset(("t2m", "u10", "ssrd")))
    with pytest.raises(InputError, match=r"no d2m \(2m dewpoint temperature\)") as caught:
        load(path)
    assert [problem.found.split()[1] for problem in caught.value.problems] == ["d2m", "v10", "tp"]
    dry = load(written(tmp_path, dataset(INSTANT), "dry.nc"), assume_dry=True)
    assert dry.filled["rain_mm"].all()


def test_a_grid_needs_a_place(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a grid of 3 by 3 points, and no place to choose one by"):
        load_weather(written(tmp_path, dataset()), site=None)


def test_without_the_extra_it_says_how_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path, dataset())
    real = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "xarray" else real(name))
    with pytest.raises(InputError, match=r"no xarray to read it with.*pip install 'boottop\[reanalysis\]'"):
        load(path)


def no_unit(data: Any) -> Any:
    del data["t2m"].attrs["units"]
    return data


def in_celsius(data: Any) -> Any:
    data["t2m"].attrs["units"] = "degC"
    return data


def members(data: Any) -> Any:
    both = xarray.concat([data.drop_vars("number"), data.drop_vars("number")], dim="number")
    return both.assign_coords(number=[0, 1])


REFUSED: dict[str, tuple[Callable[[Any], Any], str]] = {
    "no unit": (no_unit, "t2m: found no unit; allowed: k"),
    "Celsius": (in_celsius, "t2m: found the unit 'degC'"),
    "members": (members, "Choose one member of an ensemble"),
    "no latitude": (lambda data: data.isel(latitude=0, drop=True), "no latitude or lat along one dimension"),
    "no time": (lambda data: data.isel(valid_time=0, drop=True), "no valid_time or time"),
    "backwards": (lambda data: data.isel(valid_time=slice(None, None, -1)), "each time once, in order"),
    "three-hourly": (lambda data: data.isel(valid_time=slice(None, None, 3)), "a row every 180 minutes"),
}


@pytest.mark.parametrize("kind", list(REFUSED))
def test_grids_refused_in_words(tmp_path: Path, kind: str) -> None:
    change, says = REFUSED[kind]
    with pytest.raises(InputError, match=says):
        load(written(tmp_path, change(dataset())))


def test_rubbish_under_the_names_of_grids(tmp_path: Path) -> None:
    whole = written(tmp_path, dataset()).read_bytes()
    contents = {
        "cut": (whole[: len(whole) // 2], "a file that cannot be read"),
        "head": (b"\x89HDF\r\n\x1a\n", "a file that cannot be read"),
        "old": (b"CDF\x01\x00\x00", "a file that cannot be read"),
        "grib": (b"GRIB\x00\x00", "a GRIB file.*Ask the archive for NetCDF"),
        "zip": (b"PK\x03\x04rubbish", "a file that cannot be read"),
    }
    for name, (content, says) in contents.items():
        path = tmp_path / f"{name}.bin"
        path.write_bytes(content)
        with pytest.raises(InputError, match=says):
            load(path)
    sheet = tmp_path / "table.xlsx"
    with zipfile.ZipFile(sheet, "w") as bundle:
        bundle.writestr("xl/workbook.xml", "<workbook/>")
    with pytest.raises(InputError, match=r"a zip file without NetCDF files.*spreadsheet as CSV"):
        load(sheet)
    store = tmp_path / "broken.zarr"
    store.mkdir()
    (store / "zarr.json").write_text("{")
    with pytest.raises(InputError, match="a file that cannot be read"):
        load(store)


def test_a_zip_that_grows_without_end_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grid, "MAX_BYTES", 1000)
    packed = tmp_path / "big.zip"
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr("big.nc", b"0" * 100_000)
    with pytest.raises(InputError, match="GB when unpacked"):
        load(packed)


def test_more_files_than_the_bound_are_refused_not_dropped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grid, "MAX_FILES", 1)
    folder = tmp_path / "parts"
    folder.mkdir()
    written(folder, dataset(INSTANT), "instant.nc")
    written(folder, dataset(SUMS), "accum.nc")
    with pytest.raises(InputError, match="2 NetCDF files; allowed: at most 1"):
        load(folder)
