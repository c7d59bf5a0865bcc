"""Tide stations: the open JSON files of harmonic constants and datums (one station a file), read with all their traps.

Layout: `harmonic_constituents` (name, amplitude in m, phase in degrees at Greenwich), `datums` in m above one common
zero, `chart_datum`, name, place, source, licence.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import shown
from boottop.files.jobsheet_text import BESIDE
from boottop.plan.tide_constants import Constituent, TideStation, utide_name

LARGEST_BYTES = 1_000_000
LEVELS = (
    "HAT", "MHHW", "MHWS", "MHW", "MTL", "DTL", "MSL", "MLW", "MLWS", "MLLW", "LAT", "STND", "NAVD88",
)  # fmt: skip
"""Levels among the `datums`; the same table also holds ranges (GT, MN, DHQ, DLQ) and intervals in hours (HWI, LWI)."""
HIGHEST_AMPLITUDE_M = 8.0
"""No constituent anywhere reaches it: the greatest M2, in the Bay of Fundy, is under 6 m (from memory)."""
_WHAT = "a JSON file of one tide station"
_GET_ONE = "Take a station file of an open tide database, one with harmonic_constituents."


@dataclass(kw_only=True)
class _Reader:
    """One station file: what is wrong is noted, and reading goes on."""

    label: str
    problems: list[Problem] = field(default_factory=list)

    def note(self, key: str, found: object, *, allowed: str, advice: str) -> None:
        told = found if isinstance(found, str) else shown(found)
        self.problems.append(Problem(where=f"{self.label}, {key}", found=told, allowed=allowed, advice=advice))

    def number(self, key: str, value: object, *, low: float, high: float, advice: str) -> float:
        """A finite number within its limits; `low` when it is none."""
        if isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high:
            return float(value)
        found = "nothing" if value is None else shown(value)
        self.note(key, found, allowed=f"a number from {low:g} to {high:g}", advice=advice)
        return low

    def text(self, data: Mapping[str, Any], key: str, default: str = "") -> str:
        """A short text, the default where there is none."""
        value = data.get(key)
        clean = " ".join(value.split()) if isinstance(value, str) else ""
        return clean[:120] if clean.isprintable() and clean else default


def load_station(path: str | Path, *, label: str | None = None) -> TideStation:
    """The tide station in a file; `label` is what its errors call the file.

    Raises InputError with every problem: no such file, not JSON, a subordinate station (it has no constants of its
    own), amplitudes that cannot be metres, a wave given twice, no mean sea level to count from.
    """
    name = label or str(path)
    data = _json_of(Path(path), name)
    reader = _Reader(label=name)
    station = _station(reader, data)
    if reader.problems:
        raise InputError(reader.problems)
    return station


def _bad_file(label: str, found: str, *, advice: str) -> InputError:
    return InputError(Problem(where=label, found=found, allowed=_WHAT, advice=advice))


def _json_of(path: Path, label: str) -> Mapping[str, Any]:
    try:
        if not path.is_file():
            raise _bad_file(label, "a directory" if path.is_dir() else "no such file", advice=BESIDE)
        if path.stat().st_size > LARGEST_BYTES:
            raise _bad_file(label, f"{path.stat().st_size / 1e6:.1f} MB", advice="A station has a few kB: " + _GET_ONE)
        text = path.read_text(encoding="utf-8-sig")
        data = json.loads(text, parse_constant=_no_number)
    except OSError as error:
        found = f"a file that cannot be read ({error.strerror or error})"
        raise _bad_file(label, found, advice="Check its name and rights.") from None
    except RecursionError:
        raise _bad_file(label, "brackets nested too deep", advice=_GET_ONE) from None
    except ValueError as error:  # not UTF-8, not JSON, an infinite number, a number of thousands of digits
        raise _bad_file(label, f"no JSON ({str(error)[:80]})", advice=_GET_ONE) from None
    if not isinstance(data, dict):
        raise _bad_file(label, shown(data), advice=_GET_ONE)
    return data


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number")


def _station(reader: _Reader, data: Mapping[str, Any]) -> TideStation:
    constituents = _constituents(reader, data)
    datums = _datums(reader, data.get("datums"))
    chart = reader.text(data, "chart_datum")
    if chart and chart not in datums:
        reader.note("chart_datum", chart, allowed=", ".join(datums), advice="Name a level that datums has.")
    place = "Give the place of the gauge in degrees, north and east positive."
    return TideStation(
        name=reader.text(data, "name", "unnamed station"),
        latitude_deg=reader.number("latitude", data.get("latitude"), low=-90.0, high=90.0, advice=place),
        longitude_deg=reader.number("longitude", data.get("longitude"), low=-180.0, high=180.0, advice=place),
        constituents=constituents,
        datums_m=datums,
        chart_datum=chart,
        source=reader.text(_section(data, "source"), "name", "source not stated"),
        licence=reader.text(_section(data, "license"), "type", "licence not stated"),
        epoch=_epoch(reader, _section(data, "epoch")),
        remark=_remark(reader.text(data, "disclaimers")),
    )


def _section(data: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    value = data.get(key)
    return value if isinstance(value, dict) else {}


def _epoch(reader: _Reader, section: Mapping[str, Any]) -> str:
    start, end = reader.text(section, "start"), reader.text(section, "end")
    return f"{start[:4]}-{end[:4]}" if start and end else ""


def _remark(text: str) -> str:
    return "" if text.lower().startswith("no obvious") else text


def _constituents(reader: _Reader, data: Mapping[str, Any]) -> tuple[Constituent, ...]:
    if data.get("type") == "subordinate":
        reference = reader.text(_section(data, "offsets"), "reference", "its reference station")
        advice = f"Take the file of {reference}, and mind that the tide differs between the two."
        reader.note("type", "a subordinate station", allowed="one with constants of its own", advice=advice)
        return ()
    rows = data.get("harmonic_constituents")
    if not isinstance(rows, list) or not rows:
        found = "nothing" if not rows else shown(rows)
        reader.note("harmonic_constituents", found, allowed="a list of constituents", advice=_GET_ONE)
        return ()
    found_at: dict[str, int] = {}
    every = []
    for number, row in enumerate(rows, start=1):
        key = f"harmonic_constituents[{number}]"
        one = _constituent(reader, key, row)
        if one is None:
            continue
        first = found_at.setdefault(utide_name(one.name), number)
        if first != number:
            allowed = f"each wave once; harmonic_constituents[{first}] is the same one"
            reader.note(f"{key}.name", one.name, allowed=allowed, advice="Keep the one you trust.")
        every.append(one)
    return tuple(every)


def _constituent(reader: _Reader, key: str, row: object) -> Constituent | None:
    if not isinstance(row, dict) or not reader.text(row, "name"):
        reader.note(key, row, allowed="an object with name, amplitude and phase", advice=_GET_ONE)
        return None
    name = reader.text(row, "name").upper()
    metres = f"Amplitudes are in metres: is {name} in centimetres or feet?"
    amplitude = reader.number(
        f"{key}.amplitude", row.get("amplitude"), low=0.0, high=HIGHEST_AMPLITUDE_M, advice=metres
    )
    lag = "Phases are degrees of lag behind Greenwich, in UTC."
    phase = reader.number(f"{key}.phase", row.get("phase"), low=-360.0, high=360.0, advice=lag)
    return Constituent(name=name, amplitude_m=amplitude, phase_deg=phase)


def _datums(reader: _Reader, section: object) -> Mapping[str, float]:
    if not isinstance(section, dict):
        found = "nothing" if section is None else shown(section)
        reader.note("datums", found, allowed="levels in m, MSL among them", advice=_GET_ONE)
        return {}
    high = "Levels are in metres above one zero."
    levels = {
        name: reader.number(f"datums.{name}", section[name], low=-50.0, high=50.0, advice=high)
        for name in LEVELS
        if name in section
    }
    if "MSL" not in levels:
        advice = "Heights are reckoned from mean sea level: add it, or take another station."
        reader.note("datums.MSL", "nothing", allowed="mean sea level, in m", advice=advice)
        return levels
    low, mean, top = (levels.get(name, side) for name, side in (("LAT", -math.inf), ("MSL", 0.0), ("HAT", math.inf)))
    if not low <= mean <= top:
        found = f"LAT {low:g}, MSL {mean:g}, HAT {top:g}"
        reader.note("datums", found, allowed="LAT below MSL below HAT", advice="Are they in one unit, from one zero?")
    return levels
