"""Reanalysis on a grid, NetCDF or Zarr, through xarray: the grid point nearest to the yard as a weather table.

xarray, h5netcdf and zarr are an extra (`boottop[reanalysis]`) and are imported only when such a file is met.
"""

from __future__ import annotations

import importlib
import importlib.util
import tempfile
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from boottop.base.errors import InputError
from boottop.files.weather.era5 import VARIABLES, Variable, complete, plain_unit, quantities
from boottop.files.weather.plausible import distance_km
from boottop.files.weather.table import MAX_ROWS, Floats, Ints, Request, Table, refuse, utc_text

PACKAGES = ("xarray", "h5netcdf", "zarr")
MAX_BYTES = 4_000_000_000
MAX_FILES = 200
NEIGHBOURS = 9
_CHUNK = 1 << 20
_HEADS = (b"CDF\x01", b"CDF\x02", b"CDF\x05", b"\x89HDF", b"PK\x03\x04", b"GRIB")
_ZARR = ("zarr.json", ".zgroup", ".zmetadata")
_TIMES, _LATITUDES, _LONGITUDES = ("valid_time", "time"), ("latitude", "lat"), ("longitude", "lon")
Part = TypeVar("Part")
_SAYS = "NetCDF or Zarr with dimensions time, latitude and longitude"


@dataclass(frozen=True, kw_only=True)
class _Point:
    """One grid point: its place and its index along latitude and longitude where those are dimensions."""

    place: tuple[float, float]
    index: dict[str, int]


@dataclass(frozen=True, kw_only=True)
class _Series:
    """Variables at one point near the window, and the first and last stamp of the whole file."""

    epoch_s: Ints
    values: dict[str, Floats]
    covers_s: tuple[int, int]
    preliminary: bool


def looks_like(path: Path) -> bool:
    """Whether the path is a NetCDF file, a zip file, a GRIB file, a folder of NetCDF files, or a Zarr store."""
    try:
        if path.is_dir():
            return any((path / name).is_file() for name in _ZARR) or any(path.glob("*.nc"))
        with path.open("rb") as file:
            return file.read(4).startswith(_HEADS)
    except (OSError, ValueError):
        return False


def read(path: Path, request: Request) -> Table:
    """Hours near the window at the grid point nearest to the yard; InputError with what is missing or unreadable."""
    xarray = _xarray(request.where)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with _sets(xarray, path, request) as sets:
                return _table(sets, request)
    except InputError:
        raise
    except Exception as error:  # whatever a damaged file makes of the libraries below: it is the file that is wrong
        raise refuse(
            request.where,
            f"a file that cannot be read ({type(error).__name__}: {' '.join(str(error).split())[:120]})",
            allowed=_SAYS,
            advice="Get the file again.",
        ) from None


def _xarray(where: str) -> Any:
    absent = [name for name in PACKAGES if importlib.util.find_spec(name) is None]
    if absent:
        raise refuse(
            where,
            f"a reanalysis file, and no {', '.join(absent)} to read it with",
            allowed="the extra boottop[reanalysis]",
            advice="Install it with: pip install 'boottop[reanalysis]'.",
        )
    import xarray

    return xarray


@contextmanager
def _sets(xarray: Any, path: Path, request: Request) -> Iterator[list[Any]]:
    """The data sets of a file, a zip, a folder or a store, open for as long as they are read."""
    with tempfile.TemporaryDirectory() as folder:
        opened = []
        try:
            for kind, part in _parts(path, Path(folder), request):
                opened.append(_open(xarray, kind, part))
            yield opened
        finally:
            for one in opened:
                one.close()


def _parts(path: Path, folder: Path, request: Request) -> list[tuple[str, Path]]:
    """Engine and path of every part."""
    if path.is_dir():
        if any((path / name).is_file() for name in _ZARR):
            return [("zarr", path)]
        return [(_engine(part), part) for part in _not_too_many(sorted(path.glob("*.nc")), request)]
    with path.open("rb") as file:
        head = file.read(4)
    if head == b"GRIB":
        raise refuse(request.where, "a GRIB file", allowed=_SAYS, advice="Ask the archive for NetCDF.")
    if head == b"PK\x03\x04":
        return [(_engine(part), part) for part in _unzipped(path, folder, request)]
    return [(_engine(path), path)]


def _not_too_many(parts: list[Part], request: Request) -> list[Part]:
    if len(parts) > MAX_FILES:
        raise refuse(
            request.where,
            f"{len(parts)} NetCDF files",
            allowed=f"at most {MAX_FILES}",
            advice="Take the years you plan for only.",
        )
    return parts


def _engine(path: Path) -> str:
    with path.open("rb") as file:
        return "scipy" if file.read(3) == b"CDF" else "h5netcdf"


def _open(xarray: Any, engine: str, path: Path) -> Any:
    if engine == "zarr":
        return xarray.open_dataset(path, engine="zarr", decode_timedelta=False, chunks=None)
    if engine == "h5netcdf":  # asked first, because h5netcdf leaves noise on the terminal when this fails inside it
        with importlib.import_module("h5py").File(path, "r") as file:
            file.attrs.get("_nc3_strict")
    return xarray.open_dataset(path, engine=engine, decode_timedelta=False)


def _unzipped(path: Path, folder: Path, request: Request) -> list[Path]:
    """NetCDF files of a zip (the archive sends such when it mixes instants and sums), under names of our own."""
    written: list[Path] = []
    total = 0
    with zipfile.ZipFile(path) as packed:
        names = [name for name in packed.namelist() if name.lower().endswith(".nc")]
        for name in _not_too_many(names, request):
            target = folder / f"{len(written)}.nc"
            with packed.open(name) as source, target.open("wb") as sink:
                while part := source.read(_CHUNK):
                    total += len(part)
                    if total > MAX_BYTES:
                        raise refuse(
                            request.where,
                            f"more than {MAX_BYTES // 10**9} GB when unpacked",
                            allowed="a smaller area or a shorter time",
                            advice="Ask the archive for the surroundings of the yard only.",
                        )
                    sink.write(part)
            written.append(target)
    if not written:
        raise refuse(
            request.where,
            "a zip file without NetCDF files",
            allowed=_SAYS,
            advice="Unpack it; save a table from a spreadsheet as CSV.",
        )
    return written


def _table(sets: Sequence[Any], request: Request) -> Table:
    complete({name: None for one in sets for name in _names(one)}, request)
    point = _point(next(one for one in sets if "t2m" in _names(one)), request)
    series = _united([_series(one, point, request) for one in sets], request)
    values, notes = quantities(series.values, series.epoch_s, request)
    latitude, longitude = point.place
    said = f"place: grid point {abs(latitude):g} {'SN'[latitude >= 0]} {abs(longitude):g} {'WE'[longitude >= 0]}"
    if request.place is not None:
        said += f", {distance_km(request.place, point.place):.0f} km from the yard, the nearest with values"
    if series.preliminary:
        notes.append("source: the last months are preliminary (ERA5T) and may still be corrected")
    return Table(
        where=request.where,
        epoch_s=series.epoch_s,
        lines=np.arange(1, series.epoch_s.size + 1, dtype=np.int64),
        values={field: raw for field, raw in values.items() if not np.isnan(raw).all()},
        covers_s=series.covers_s,
        station=f"grid point {latitude:g}, {longitude:g}",
        source=f"reanalysis with the names of ERA5, {request.where}",
        licence="not stated in the file; ERA5: credit the Copernicus Climate Change Service",
        place=point.place,
        notes=(said, "times: taken as UTC, as the reanalysis gives them; sums are of the hour to the stamp", *notes),
    )


def _names(one: Any) -> dict[str, str]:
    """Our short names of the variables in a data set, with the names they have there."""
    found: dict[str, str] = {}
    for variable in VARIABLES:
        for name in (variable.name, *variable.others):
            if name in one.data_vars:
                found.setdefault(variable.name, name)
    return found


def _axis(one: Any, names: Sequence[str], request: Request) -> str:
    for name in names:
        if name in one.coords or name in one.variables:
            if one[name].ndim > 1:
                break
            return name
    raise refuse(
        request.where,
        f"no {' or '.join(names)} along one dimension (has {', '.join(map(str, list(one.variables)[:12]))})",
        allowed=_SAYS,
        advice="Ask the archive for a regular grid of latitude and longitude.",
    )


def _point(one: Any, request: Request) -> _Point:
    """The grid point nearest to the yard that has a temperature (over sea, land-only sets have none)."""
    axes = [_axis(one, names, request) for names in (_LATITUDES, _LONGITUDES)]
    rows, columns = (np.atleast_1d(np.asarray(one[axis].values, dtype=np.float64)) for axis in axes)
    columns = (columns + 180.0) % 360.0 - 180.0
    if request.place is None and rows.size * columns.size > 1:
        raise refuse(
            request.where,
            f"a grid of {rows.size} by {columns.size} points, and no place to choose one by",
            allowed="the yard's latitude and longitude",
            advice="Give the job sheet with the yard's place.",
        )
    grid = [(float(row), float(column)) for row in rows for column in columns]
    order = range(len(grid))
    if request.place is not None:
        away = [distance_km(request.place, place) for place in grid]
        order = sorted(order, key=away.__getitem__)[:NEIGHBOURS]  # type: ignore[assignment]
    for number in order:
        at = divmod(number, columns.size)
        index = {axis: at[which] for which, axis in enumerate(axes) if axis in one.dims}
        point = _Point(place=grid[number], index=index)
        air = _series(one, point, request).values["t2m"]
        if not air.size or not np.isnan(air).all():
            return point
    raise refuse(
        request.where,
        f"no temperature at the {len(order)} grid points nearest to the yard",
        allowed="a grid that covers the yard",
        advice="Ask for another area; sets for land only have no values over water.",
    )


def _series(one: Any, point: _Point, request: Request) -> _Series:
    axis = _axis(one, _TIMES, request)
    stamps = np.atleast_1d(one[axis].values)
    if stamps.dtype.kind != "M" or np.isnat(stamps).any() or not 0 < stamps.size <= MAX_ROWS:
        raise refuse(
            f"{request.where}, {axis}",
            f"{stamps.size} times that are no plain dates" if stamps.size else "no times",
            allowed=f"1 to {MAX_ROWS} times in the common calendar",
            advice="Get hourly data on single levels.",
        )
    epoch = stamps.astype("datetime64[s]").astype(np.int64)
    if (np.diff(epoch) <= 0).any():
        first = int(np.flatnonzero(np.diff(epoch) <= 0)[0]) + 1
        raise refuse(
            f"{request.where}, {axis}",
            f"{utc_text(epoch[first])} after {utc_text(epoch[first - 1])}",
            allowed="each time once, in order",
            advice="Sort the file by time.",
        )
    near = np.flatnonzero(request.near(epoch))
    span = slice(int(near[0]), int(near[-1]) + 1) if near.size else slice(0, 0)
    values = {}
    preliminary = "expver" in one.variables and "5" in {
        str(kind).lstrip("0") for kind in np.ravel(one["expver"].values)
    }
    for variable in VARIABLES:
        name = _names(one).get(variable.name)
        if name is not None:
            values[variable.name] = _values(one[name], variable, point=point, axis=axis, span=span, where=request.where)
    return _Series(
        epoch_s=epoch[span], values=values, covers_s=(int(epoch[0]), int(epoch[-1])), preliminary=preliminary
    )


def _values(array: Any, variable: Variable, *, point: _Point, axis: str, span: slice, where: str) -> Floats:
    """One variable at the point, shape (hour,); final values before preliminary ones where a file has both."""
    unit = array.attrs.get("units")
    if unit is None or plain_unit(str(unit)) not in variable.units:
        raise refuse(
            f"{where}, {variable.name}",
            f"the unit {str(unit)[:40]!r}" if unit is not None else "no unit",
            allowed=variable.units[0],
            advice="Get the variable as the archive gives it, with its unit.",
        )
    chosen = array.isel({dim: at for dim, at in point.index.items() if dim in array.dims})
    if axis in chosen.dims:
        chosen = chosen.isel({axis: span})
    many = [dim for dim in chosen.dims if dim not in (axis, "expver") and chosen.sizes[dim] > 1]
    if many or axis not in array.dims:
        raise refuse(
            f"{where}, {variable.name}",
            f"the dimensions {', '.join(map(str, array.dims))}",
            allowed="time, latitude and longitude, and one member",
            advice="Choose one member of an ensemble and one level before.",
        )
    chosen = chosen.squeeze([dim for dim in chosen.dims if dim not in (axis, "expver")], drop=True)
    if "expver" in chosen.dims:
        versions = [np.asarray(chosen.isel(expver=at).values, dtype=np.float64) for at in range(chosen.sizes["expver"])]
        first = versions[0]
        for later in versions[1:]:
            first = np.where(np.isnan(first), later, first)
        return first
    return np.asarray(chosen.values, dtype=np.float64)


def _united(parts: Sequence[_Series], request: Request) -> _Series:
    """Several files as one: each variable from where it is, on all times; two different values for one hour refused."""
    epoch = np.unique(np.concatenate([part.epoch_s for part in parts]))
    values: dict[str, Floats] = {}
    for part in parts:
        at = np.searchsorted(epoch, part.epoch_s)
        for name, raw in part.values.items():
            whole = values.setdefault(name, np.full(epoch.size, np.nan))
            there = ~np.isnan(whole[at]) & ~np.isnan(raw)
            if there.any() and not np.allclose(whole[at][there], raw[there], rtol=1e-4, atol=1e-9):
                raise refuse(
                    f"{request.where}, {name}",
                    "two different values for one hour",
                    allowed="each variable and hour once",
                    advice="Put only files of one download into the folder.",
                )
            whole[at] = np.where(np.isnan(raw), whole[at], raw)
    return _Series(
        epoch_s=epoch,
        values=values,
        covers_s=(min(part.covers_s[0] for part in parts), max(part.covers_s[1] for part in parts)),
        preliminary=any(part.preliminary for part in parts),
    )
