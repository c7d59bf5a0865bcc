"""The proof from files: the log read, cut into runs and compared, with the days ashore in the yard's own calendar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc, zone_info
from boottop.base.errors import InputError, Problem
from boottop.files.cost_log import LogSheet, load_log, log_of
from boottop.files.job import Job
from boottop.files.jobsheet_table import local_day
from boottop.money.proof import Proof, prove
from boottop.money.runs import LogTable, cut_runs

Span = tuple[float, float]


def spans_of(job: Job, hauled: str, afloat: str) -> Span:
    """From the first moment of the day of the haul-out to the last of the day of the launch, seconds since 1970 UTC."""
    zone = ZoneInfo(job.plan.yard.zone_name)
    first, last = local_day(hauled, "hauled"), local_day(afloat, "afloat")
    if last < first:
        raise InputError(
            Problem(
                where="afloat",
                found=f"{last}, before the haul-out on {first}",
                allowed="the day of the launch, on or after that of the haul-out",
                advice="Are the two swapped?",
            )
        )
    return _midnight_s(first, zone), _midnight_s(last + timedelta(days=1), zone)


def _midnight_s(day: date, zone: ZoneInfo) -> float:
    """A day that begins an hour later, where the clocks change at midnight, begins then."""
    for hour in (0, 1):
        try:
            return to_utc(datetime.combine(day, time(hour)), zone, where="the day").timestamp()
        except InputError:
            continue
    return to_utc(datetime.combine(day, time(3)), zone, where="the day").timestamp()


def prove_files(
    job: Job, paths: Sequence[Path], ashore_s: Span, *, how: LogSheet, worth: float
) -> tuple[Proof, tuple[str, ...]]:
    """The proof, and what the readers had to say."""
    return _prove(job, load_log(paths, how, zone=_zone(job, how)), ashore_s, worth=worth)


def prove_bytes(
    job: Job, files: Iterable[tuple[str, bytes]], ashore_s: Span, *, how: LogSheet, worth: float
) -> tuple[Proof, tuple[str, ...]]:
    """The same from files at hand, by name."""
    return _prove(job, log_of(files, how, zone=_zone(job, how)), ashore_s, worth=worth)


def _zone(job: Job, how: LogSheet) -> ZoneInfo:
    return zone_info(how.zone_name or job.plan.yard.zone_name, where="log.time_zone")


def _prove(job: Job, table: LogTable, ashore_s: Span, *, worth: float) -> tuple[Proof, tuple[str, ...]]:
    offset = datetime.fromtimestamp(ashore_s[0], tz=ZoneInfo(job.plan.yard.zone_name)).utcoffset()
    cut = cut_runs(
        table,
        hauled_s=ashore_s[0],
        launched_s=ashore_s[1],
        utc_offset_s=0.0 if offset is None else offset.total_seconds(),
    )
    return prove(cut, worth_share=worth), table.notes
