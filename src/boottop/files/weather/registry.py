"""Which reader a weather file needs, found from its content; opening it, plain or gzip, within bounds."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from boottop.climate.weather import Site, Weather
from boottop.files.weather import (
    asos,
    dwd_poi,
    epw,
    grid,
    knmi,
    merra2,
    met_eireann,
    nerrs,
    own_csv,
    tmy3,
    uci394,
)
from boottop.files.weather.quality import judge
from boottop.files.weather.table import Request, Table, refuse

MAX_BYTES = 200_000_000
_CHUNK = 1 << 20


@dataclass(frozen=True, kw_only=True)
class Known:
    """A kind of weather file: its name and how it is known."""

    name: str
    known_by: str


@dataclass(frozen=True, kw_only=True)
class Format(Known):
    """A kind of weather file in text: how it is known by its first lines, and its reader."""

    looks_like: Callable[[Sequence[str]], bool]
    read: Callable[[str, Request], Table]


FORMATS: tuple[Format, ...] = (
    Format(name="EPW", known_by="a first line LOCATION,...", looks_like=epw.looks_like, read=epw.read),
    Format(
        name="airport reports",
        known_by="a first line origin,year,month,day,hour,...",
        looks_like=asos.looks_like,
        read=asos.read,
    ),
    Format(
        name="TMY3",
        known_by="a second line Date (MM/DD/YYYY),Time (HH:MM),...",
        looks_like=tmy3.looks_like,
        read=tmy3.read,
    ),
    Format(
        name="KNMI hourly",
        known_by="a line STN,YYYYMMDD,HH,... below its legend",
        looks_like=knmi.looks_like,
        read=knmi.read,
    ),
    Format(
        name="Met Éireann hourly",
        known_by="columns time_utc or date, rain, temp, rhum, msl, wdsp",
        looks_like=met_eireann.looks_like,
        read=met_eireann.read,
    ),
    Format(
        name="NERRS weather station",
        known_by="columns ATemp, F_ATemp, TotPrcp, F_TotPrcp",
        looks_like=nerrs.looks_like,
        read=nerrs.read,
    ),
    Format(
        name="UCI data set 394",
        known_by="columns DEWP, cbwd, Iws, Iprec",
        looks_like=uci394.looks_like,
        read=uci394.read,
    ),
    Format(
        name="MERRA-2 for wind",
        known_by="a first line DateTime,WS50m_m/s,...",
        looks_like=merra2.looks_like,
        read=merra2.read,
    ),
    Format(
        name="DWD latest observations",
        known_by="a first line surface observations;...",
        looks_like=dwd_poi.looks_like,
        read=dwd_poi.read,
    ),
    Format(
        name="boottop CSV",
        known_by="a header such as time,air[degC],humidity[%],wind[m/s],rain[mm]",
        looks_like=own_csv.looks_like,
        read=own_csv.read,
    ),
)
GRIDS = Known(
    name="ERA5 reanalysis",
    known_by="a NetCDF file, a zip file or folder of them, or a Zarr store",
)


def load_weather(
    path: Path | str,
    *,
    site: Site | None,
    start: datetime | None = None,
    end: datetime | None = None,
    station: str | None = None,
    assume_dry: bool = False,
) -> Weather:
    """Hourly weather from a file of any known format, cut to the hours from `start` until before `end`.

    The first hour is the full hour at or before `start`. Without a window, all of the file. `site` is the yard, for the
    standard pressure and to hold the file's clock against the sun. `assume_dry` takes missing rain as none.
    Raises InputError with everything that is wrong with the file in or near the window.
    """
    file = Path(path)
    request = Request(
        where=file.name,
        station=station,
        start_s=_epoch_s(start, "start of the window"),
        end_s=_epoch_s(end, "end of the window"),
        assume_dry=assume_dry,
        place=(site.latitude_deg, site.longitude_deg) if site is not None else None,
        elevation_m=site.elevation_m if site is not None else None,
    )
    if request.start_s is not None and request.end_s is not None and request.end_s <= request.start_s:
        raise refuse(
            "window",
            f"an end at {end} before its start",
            allowed="an end after the start",
            advice="Swap or correct them.",
        )
    return judge(read_table(file, request), request, site)


def read_table(file: Path, request: Request) -> Table:
    """Rows of a file of any known format, nothing judged yet; InputError when it cannot be read."""
    if grid.looks_like(file):
        return grid.read(file, request)
    text = _text(_bytes(file), file.name)
    return _format(text, file.name).read(text, request)


def _epoch_s(when: datetime | None, what: str) -> int | None:
    if when is None:
        return None
    if when.tzinfo is None or not 1901 <= when.year <= 2198:
        raise refuse(
            what,
            f"{when}",
            allowed="a time with its offset, between 1901 and 2198",
            advice="State the offset from UTC.",
        )
    return int(when.timestamp() // 1)


def _format(text: str, where: str) -> Format:
    lines = text[:20_000].split("\n")
    for kind in FORMATS:
        if kind.looks_like(lines):
            return kind
    first, own = next((line.strip() for line in lines if line.strip()), ""), FORMATS[-1]
    raise refuse(
        where,
        f"an unknown format, beginning {first[:60]!r}" if first else "an empty file",
        allowed=f"{', '.join(kind.name for kind in (*FORMATS[:-1], GRIDS))}, or {own.name} ({own.known_by})",
        advice="Rename the columns in the header line; docs/weather-files.md shows what each format is known by.",
    )


def _bytes(file: Path) -> bytes:
    try:
        if file.stat().st_size > MAX_BYTES:
            raise _too_big(file.name)
        raw = file.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise refuse(
            str(file), str(reason), allowed="a weather file that can be read", advice="Check the name and the folder."
        ) from None
    return _unpacked(raw, file.name) if raw[:2] == b"\x1f\x8b" else raw


def _unpacked(raw: bytes, where: str) -> bytes:
    """Gzip contents, several members too; never more than MAX_BYTES in memory."""
    parts: list[bytes] = []
    total = 0
    try:
        while raw:
            engine = zlib.decompressobj(wbits=31)
            while not engine.eof:
                part = engine.decompress(raw, _CHUNK)
                raw = engine.unconsumed_tail
                total += len(part)
                if total > MAX_BYTES:
                    raise _too_big(where)
                if not part and not raw and not engine.eof:
                    raise refuse(
                        where, "a gzip file cut short", allowed="a whole gzip file", advice="Copy or download it again."
                    )
                parts.append(part)
            raw = engine.unused_data.lstrip(b"\x00")
    except zlib.error as error:
        raise refuse(
            where, f"a damaged gzip file ({error})", allowed="a whole gzip file", advice="Copy or download it again."
        ) from None
    return b"".join(parts)


def _too_big(where: str) -> Exception:
    return refuse(
        where,
        f"more than {MAX_BYTES // 1_000_000} MB of text",
        allowed=f"at most {MAX_BYTES // 1_000_000} MB",
        advice="Cut the file.",
    )


def _text(raw: bytes, where: str) -> str:
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\x00" in raw:
        raise refuse(
            where,
            "binary data, or text in UTF-16",
            allowed="plain text in UTF-8",
            advice="Save the table as CSV in UTF-8.",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")
