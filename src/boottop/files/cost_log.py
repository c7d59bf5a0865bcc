"""The boat's own log: CSV, NMEA 0183 or Signal K, told apart by what stands in the file, into one table in SI."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files import cost_log_csv, cost_log_nmea, cost_log_signalk
from boottop.files.cost_log_bins import LogHow, Parsed
from boottop.money.runs import LogTable

LARGEST_BYTES = 64_000_000
_READERS: Mapping[str, Callable[[str, str, LogHow], Parsed]] = {
    "NMEA 0183": cost_log_nmea.read,
    "Signal K": cost_log_signalk.read,
    "CSV": cost_log_csv.read,
}


@dataclass(frozen=True, kw_only=True)
class LogSheet:
    """[log] of the cost document: how the owner's CSV is to be read, remembered for the next time.

    `columns`: for each of our names the header in the file and its unit.
    """

    zone_name: str = ""
    wind_is_apparent: bool = False
    columns: Mapping[str, tuple[str, str]] = field(default_factory=dict)


def load_log(paths: Iterable[Path], sheet: LogSheet, *, zone: ZoneInfo) -> LogTable:
    """All files as one table, rising in time; `zone` for times without an offset. InputError naming what is wrong."""
    return log_of([(path.name, _bytes(path)) for path in paths], sheet, zone=zone)


def log_of(files: Iterable[tuple[str, bytes]], sheet: LogSheet, *, zone: ZoneInfo) -> LogTable:
    """The same from files at hand, by name."""
    how = LogHow(zone=zone, columns=sheet.columns, wind_is_apparent=sheet.wind_is_apparent)
    parsed = [_parse(name, raw, how) for name, raw in files]
    apparent = {one.wind_is_apparent for one in parsed if np.isfinite(one.fields["wind_m_s"]).any()}
    if len(apparent) > 1:
        found = "true wind in one file, apparent in another"
        raise _refused("log files", found, allowed="one kind of wind", advice="Leave the wind of one of them out.")
    time_s = np.concatenate([one.time_s for one in parsed])
    order = np.argsort(time_s, kind="stable")
    fields = {name: np.concatenate([one.fields[name] for one in parsed])[order] for name in parsed[0].fields}
    return LogTable(
        time_s=time_s[order],
        **fields,
        wind_is_apparent=True in apparent,
        notes=tuple(note for one in parsed for note in one.notes),
    )


def kind_of_log(text: str) -> str:
    """What a log is, by its first lines that carry anything.

    >>> kind_of_log("$GPRMC,1*00"), kind_of_log('{"updates": []}'), kind_of_log("time,water_speed[kn]")
    ('NMEA 0183', 'Signal K', 'CSV')
    """
    lines = [line.strip() for line in text[:20_000].splitlines() if line.strip()][:20]
    if sum(cost_log_nmea.sentence_of(line) is not None for line in lines) * 2 > len(lines):
        return "NMEA 0183"
    return "Signal K" if lines and lines[0].startswith(("{", "[")) else "CSV"


def _parse(name: str, raw: bytes, how: LogHow) -> Parsed:
    if b"\0" in raw[:10_000]:
        raise _refused(name, "a binary file", allowed="a text log", advice="Export it as CSV, NMEA 0183 or Signal K.")
    text = raw.decode("utf-8-sig", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
    kind = kind_of_log(text)
    parsed = _READERS[kind](text, name, how)
    if parsed.time_s.size == 0:
        why = "".join(f"; {note.removeprefix(name + ': ')}" for note in parsed.notes)
        found = f"no moment of {kind} that can be read{why}"
        raise _refused(name, found, allowed=_ALLOWED, advice="See docs/cost.md.")
    return parsed


_ALLOWED = "times with speed, and fuel or revolutions: CSV with headed columns, NMEA 0183, Signal K deltas"


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            found = f"{path.stat().st_size / 1e6:.0f} MB"
            raise _refused(str(path), found, allowed="64 MB at most", advice="Cut it to the runs that matter.")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = str(getattr(error, "strerror", None) or error)
        raise _refused(str(path), reason, allowed="a file that can be read", advice="Check its name.") from None


def _refused(where: str, found: str, *, allowed: str, advice: str) -> InputError:
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))
