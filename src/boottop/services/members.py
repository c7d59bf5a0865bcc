"""Tables of members judged one by one and stacked; two stretches of weather joined end to end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import hour_count
from boottop.base.errors import InputError
from boottop.climate.weather import Site, Weather
from boottop.files.weather.quality import FIELDS, judge
from boottop.files.weather.table import HOUR_S, Request
from boottop.services.failure import failed
from boottop.services.steps import Issue

Floats = NDArray[np.float64]
RUN_IN = timedelta(hours=48)


def judged(issue: Issue, site: Site, *, start: datetime, end: datetime | None) -> Weather:
    """The weather of an answer from 48 h before `start` (as far as it goes back) until before `end`.

    Every member goes through the same quality control as a file. A member that it refuses is left out and told; when
    more than half are refused, the first refusal is raised.
    """
    covered = issue.tables[0].covers_s
    if covered[1] < start.timestamp():
        first, last = (f"{datetime.fromtimestamp(at, tz=start.tzinfo):%Y-%m-%dT%H:%MZ}" for at in covered)
        raise failed(
            issue.tables[0].source,
            f"weather from {first} to {last}",
            allowed=f"weather that reaches {start:%Y-%m-%dT%H:%MZ}, the earliest haul-out",
            advice="Ask again nearer to the day; look at past years for the odds; or give a file with --weather FILE.",
        )
    start_s = max(int((start - RUN_IN).timestamp() // HOUR_S * HOUR_S), covered[0])
    end_s = int(end.timestamp()) if end is not None else None
    kept, refused = [], []
    for table in issue.tables:
        try:
            kept.append(judge(table, Request(where=table.where, start_s=start_s, end_s=end_s), site))
        except InputError as error:
            refused.append(error)
    if len(refused) > len(issue.tables) / 2:
        raise refused[0]
    notes = (f"ensemble: {len(refused)} members refused: {refused[0].problems[0]}",) if refused else ()
    return stacked(kept, notes=(*issue.notes, *notes))


def stacked(weathers: Sequence[Weather], *, notes: Sequence[str] = ()) -> Weather:
    """Weathers of the same hours as the members of one.

    An optional quantity that one of them lacks is left out for all. What was found of some members only says of how
    many.
    """
    first = weathers[0]
    told = Counter(finding for weather in weathers for finding in dict.fromkeys(weather.findings))
    some = len(weathers) > 1
    findings = [
        f"{count} of {len(weathers)} members: {finding}" if some and count < len(weathers) else finding
        for finding, count in told.items()
    ]
    arrays = {field: np.concatenate([getattr(weather, field) for weather in weathers]) for field in FIELDS}
    whole, dropped = _all_or_none(arrays)
    return replace(
        first,
        **whole,
        filled={field: np.any([weather.filled[field] for weather in weathers], axis=0) for field in first.filled},
        findings=(*notes, *findings, *dropped),
    )


def joined(early: Weather, late: Weather) -> Weather:
    """The early weather until the late one begins, then the late one; every member has the same past.

    Where the late weather begins it holds, but the rain and light of the hour before its first stamp are the early
    one's. The early weather must have one member and reach up to the late one's start.
    """
    hours = int(hour_count(early.start, late.start))
    if early.members != 1 or not 0 < hours <= early.hours:
        raise failed(
            early.source,
            f"{early.members} members, {early.hours} h from {early.start:%Y-%m-%dT%H:%MZ}",
            allowed=f"one member that reaches {late.start:%Y-%m-%dT%H:%MZ}",
        )
    arrays = {
        field: np.concatenate(
            [np.repeat(getattr(early, field)[:, :hours], late.members, axis=0), getattr(late, field)], axis=1
        )
        for field in FIELDS
    }
    if hours < early.hours:
        for field in ("rain_mm", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "longwave_w_m2"):
            arrays[field][:, hours] = getattr(early, field)[0, hours]
    whole, dropped = _all_or_none(arrays)
    return replace(
        late,
        start=early.start,
        **whole,
        filled={field: np.concatenate([early.filled[field][:hours], marks]) for field, marks in late.filled.items()},
        source=f"{early.source} until {late.start:%Y-%m-%dT%H:%MZ}, then {late.source}",
        findings=(*late.findings, *(f"before the forecast: {finding}" for finding in early.findings), *dropped),
    )


def _all_or_none(arrays: dict[str, Floats]) -> tuple[dict[str, Any], list[str]]:
    """Optional quantities with a gap anywhere become missing as a whole, as the contract of Weather has it."""
    kept: dict[str, Any] = dict(arrays)
    dropped: list[str] = []
    for field, values in arrays.items():
        gaps = np.isnan(values)
        if gaps.any() and not gaps.all():
            kept[field] = np.full_like(values, np.nan)
            dropped.append(field.split("_")[0])
    return kept, [f"not everywhere, so not used: {', '.join(dropped)}"] if dropped else []
