"""The log as NMEA 0183 sentences: RMC for the time, VHW, VTG, MWV and RPM, each with its checksum.

Field layouts as published with the sentences' names for many years: from memory. Only sentences with a good checksum
count; a sentence stands at the time of the last RMC before it.
"""

from __future__ import annotations

import re
from datetime import datetime
from functools import reduce

from boottop.files.cost_log_bins import KNOT_M_S, Bins, LogHow, Parsed

_SENTENCE = re.compile(r"[$!]([A-Z]{2}[A-Z]{3}),([^*\r\n]*)\*([0-9A-Fa-f]{2})")
_SPEEDS = {"N": KNOT_M_S, "K": 1.0 / 3.6, "M": 1.0}


def sentence_of(line: str) -> re.Match[str] | None:
    """The sentence in a line, after whatever a logger put before it."""
    return _SENTENCE.search(line)


def checksum(body: str) -> int:
    """Exclusive or of all letters between `$` and `*`.

    >>> f"{checksum('GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W'):02X}"
    '6A'
    """
    return reduce(lambda total, letter: total ^ ord(letter), body, 0)


def read(text: str, name: str, how: LogHow) -> Parsed:
    """Moments of a log of sentences."""
    bins, now_s, spoilt, untimed = Bins(), None, 0, 0
    winds: list[tuple[float, list[str]]] = []
    for line in text.split("\n"):
        match = sentence_of(line)
        if match is None:
            continue
        if checksum(f"{match[1]},{match[2]}") != int(match[3], 16):
            spoilt += 1
            continue
        kind, cells = match[1][2:], match[2].split(",")
        if kind == "RMC":
            now_s = _rmc_s(cells) or now_s
        if now_s is None:
            untimed += 1
        elif kind == "MWV" and len(cells) >= 5 and cells[4] == "A" and cells[3] in _SPEEDS:
            winds.append((now_s, cells))
        else:
            _take(bins, now_s, kind, cells=cells)
    true_wind = _take_winds(bins, winds)
    notes = [f"{name}: {spoilt} sentences with a wrong checksum left out"] if spoilt else []
    notes += [f"{name}: {untimed} sentences before the first time (RMC) left out"] if untimed else []
    return bins.parsed(wind_is_apparent=not true_wind, notes=tuple(notes))


def _rmc_s(cells: list[str]) -> float | None:
    """Epoch seconds of a valid RMC: hhmmss.ss, status, lat, N, lon, E, speed kn, course, ddmmyy, ..."""
    if len(cells) < 9 or cells[1] != "A":
        return None
    try:
        moment = datetime.strptime(f"{cells[8]} {cells[0].split('.')[0]} +0000", "%d%m%y %H%M%S %z")
    except ValueError:
        return None
    return moment.timestamp()


def _take(bins: Bins, now_s: float, kind: str, *, cells: list[str]) -> None:
    """One sentence at its time."""
    if kind == "RMC":
        bins.put(now_s, "ground_m_s", _number(cells, 6) * KNOT_M_S)
    elif kind == "VTG" and "N" in cells[5:6]:
        bins.put(now_s, "ground_m_s", _number(cells, 4) * KNOT_M_S)
    elif kind == "VHW" and "N" in cells[5:6]:
        bins.put(now_s, "water_m_s", _number(cells, 4) * KNOT_M_S)
    elif kind == "RPM" and cells[:1] == ["E"] and cells[4:5] == ["A"]:
        bins.put(now_s, "rev_s", _number(cells, 2) / 60.0, source=cells[1])


def _take_winds(bins: Bins, winds: list[tuple[float, list[str]]]) -> bool:
    """True wind (T) where the log has it, and whether it has; else the apparent wind (R)."""
    true_wind = any(cells[1] == "T" for _, cells in winds)
    for time_s, cells in winds:
        if (cells[1] == "T") == true_wind:
            bins.put(time_s, "wind_m_s", _number(cells, 2) * _SPEEDS[cells[3]])
            bins.put(time_s, "wind_deg", _number(cells, 0))
    return true_wind


def _number(cells: list[str], place: int) -> float:
    try:
        return float(cells[place])
    except (IndexError, ValueError):
        return float("nan")
