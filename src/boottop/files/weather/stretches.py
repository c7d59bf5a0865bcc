"""Years of weather with their holes: the stretches in which everything is known, and what lies between them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Site, Weather
from boottop.files.weather.columns import BY_FIELD
from boottop.files.weather.gaps import NEEDED, Filler
from boottop.files.weather.hours import Hourly, in_order, to_hours
from boottop.files.weather.plausible import checked
from boottop.files.weather.quality import FIELDS, NO_RAIN, judge
from boottop.files.weather.registry import read_table
from boottop.files.weather.table import DAY_S, HOUR_S, Bools, Request, Table

SHORTEST_H = 5 * 24


@dataclass(frozen=True, kw_only=True)
class Hole:
    """Hours `start_s` to before `end_s` (UTC epoch) in which something needed is not known, and what."""

    start_s: int
    end_s: int
    missing: tuple[str, ...]

    @property
    def hours(self) -> int:
        return (self.end_s - self.start_s) // HOUR_S


@dataclass(frozen=True, kw_only=True)
class Stretches:
    """All of a file: stretches of known weather in order of time, the holes between them, and what was refused.

    `covers_s`: first and last whole hour of the file (UTC epoch). `missing_h`: hours missing by quantity, after short
    gaps were filled. `short_h`: hours that lie in stretches too short to be of use. `findings` of all stretches, each
    once with the number of stretches it is true of.
    """

    station: str
    source: str
    covers_s: tuple[int, int]
    weathers: tuple[Weather, ...]
    holes: tuple[Hole, ...]
    missing_h: Mapping[str, int]
    short_h: int
    refused: tuple[str, ...]
    findings: tuple[str, ...]


def load_stretches(
    path: Path,
    *,
    site: Site,
    station: str | None = None,
    assume_dry: bool = False,
    between_s: tuple[int, int] | None = None,
) -> Stretches:
    """Every stretch of five days or more in which temperature, dew point, wind and rain are known.

    Short gaps are filled and told as for a plan (up to 3 h; rain up to 2 h between dry hours). What is longer ends a
    stretch; nothing is made up and nothing averaged over. A stretch that quality control refuses is left out and told.
    """
    request = Request(
        where=path.name,
        station=station,
        start_s=None if between_s is None else between_s[0],
        end_s=None if between_s is None else between_s[1],
        assume_dry=assume_dry,
        place=(site.latitude_deg, site.longitude_deg),
        elevation_m=site.elevation_m,
    )
    table = read_table(path, request)
    hourly = _hourly(table, assume_dry=assume_dry)
    known = _known(hourly, request)
    weathers: list[Weather] = []
    refused: list[str] = []
    short_h = 0
    for first, end in _runs(np.asarray(known.all(axis=0))):
        if end - first < SHORTEST_H:
            short_h += end - first
            continue
        try:
            weathers.append(_judged(table, request, site, span=(first, end), first_s=hourly.first_s))
        except InputError as error:
            refused.append(str(error.problems[0]))
    if not weathers:
        raise _nothing(path, refused, hours=hourly.hours)
    last_s = hourly.first_s + hourly.hours * HOUR_S
    return Stretches(
        station=weathers[0].station,
        source=weathers[0].source,
        covers_s=(hourly.first_s, last_s),
        weathers=tuple(weathers),
        holes=_holes(known, hourly.first_s),
        missing_h={BY_FIELD[field].name: int((~row).sum()) for field, row in zip(_ALL, known, strict=True)},
        short_h=short_h,
        refused=tuple(refused),
        findings=_findings(weathers),
    )


_ALL = (*NEEDED, "rain_mm")


def _hourly(table: Table, *, assume_dry: bool) -> Hourly:
    """The table by whole hours, holes and all, after the checks of single values."""
    ordered, disorder, _ = in_order(table)
    values, impossible, _ = checked(ordered)
    if problems := [*table.problems, *disorder, *impossible]:
        raise InputError(problems)
    hourly = to_hours(replace(ordered, values=values))
    absent = np.full(hourly.hours, np.nan)
    if "rain_mm" not in hourly.values and not assume_dry:
        raise InputError(
            Problem(
                where=f"{table.where}, rain",
                found="no rain in the whole file",
                allowed="rain in every hour: missing is not dry",
                advice=NO_RAIN,
            )
        )
    have = {field: hourly.values.get(field, absent) for field in (*FIELDS,) if field in (*hourly.values, *_ALL)}
    none = np.zeros(hourly.hours, dtype=np.bool_)
    return replace(hourly, values=have, filled={field: hourly.filled.get(field, none) for field in have})


def _known(hourly: Hourly, request: Request) -> Bools:
    """Whether each quantity is known in each hour once short gaps are filled, shape (quantity, hour)."""
    done = Filler(hourly, replace(request, start_s=None, end_s=None), (0, hourly.hours - 1)).run()
    return np.stack([np.isfinite(done.values[field]) for field in _ALL])


def _runs(mask: Bools) -> list[tuple[int, int]]:
    padded = np.concatenate([[False], mask, [False]])
    edges = np.flatnonzero(padded[1:] != padded[:-1]).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))


def _judged(table: Table, request: Request, site: Site, *, span: tuple[int, int], first_s: int) -> Weather:
    """One stretch through the quality control of a plan's weather."""
    start_s, end_s = (first_s + hour * HOUR_S for hour in span)
    near = (table.epoch_s >= start_s - DAY_S) & (table.epoch_s < end_s + DAY_S)
    cut = replace(
        table,
        epoch_s=table.epoch_s[near],
        lines=table.lines[near],
        values={name: values[near] for name, values in table.values.items()},
        filled={name: marks[near] for name, marks in table.filled.items()},
    )
    return judge(cut, replace(request, start_s=start_s, end_s=end_s), site)


def _holes(known: Bools, first_s: int) -> tuple[Hole, ...]:
    found = []
    for first, end in _runs(np.asarray(~known.all(axis=0))):
        missing = [BY_FIELD[field].name for field, row in zip(_ALL, known, strict=True) if not row[first:end].all()]
        found.append(Hole(start_s=first_s + first * HOUR_S, end_s=first_s + end * HOUR_S, missing=tuple(missing)))
    return tuple(found)


_MISSING = re.compile(r"^(.*?): (\d+) h missing, ([^:]*?): ")
_STUCK = re.compile(r"^(\w+): the same .* for \d+ h from ")


def _findings(weathers: Sequence[Weather]) -> tuple[str, ...]:
    """What was found, each once: hours filled added up, a sensor that may have stuck counted, the rest with the number
    of stretches it is true of."""
    filled: Counter[tuple[str, str]] = Counter()
    stuck: Counter[str] = Counter()
    told: Counter[str] = Counter()
    for finding in (finding for weather in weathers for finding in dict.fromkeys(weather.findings)):
        if (match := _MISSING.match(finding)) is not None:
            filled[match[1], match[3]] += int(match[2])
        elif (match := _STUCK.match(finding)) is not None:
            stuck[match[1]] += 1
        else:
            told[finding] += 1
    many = len(weathers)
    return (
        *(one if count == many else f"{one} (in {count} of {many} stretches)" for one, count in told.items()),
        *(f"{name}: {hours} h missing in all, {how}, in short gaps" for (name, how), hours in filled.items()),
        *(
            f"{name}: the same value for most of a day in {count} stretches; a stuck sensor?"
            for name, count in stuck.items()
        ),
    )


def _nothing(path: Path, refused: Sequence[str], *, hours: int) -> InputError:
    return InputError(
        Problem(
            where=path.name,
            found=f"{hours} h, and no five days on end with temperature, humidity, wind and rain"
            + (f"; refused: {refused[0]}" if refused else ""),
            allowed="five days or more without a hole",
            advice="Take another station, or fill its holes from a neighbour.",
        )
    )
