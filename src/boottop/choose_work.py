"""The choice among options over an ensemble: members in, answer out. Pure like `workflow`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather
from boottop.workflow import Ashore, outlook_for

if TYPE_CHECKING:
    from boottop.plan.choose_pick import Chosen
    from boottop.plan.choose_walk import Days, Minor, Results
    from boottop.plan.rules_draft import JobNetwork
    from boottop.plan.rules_shared import Shared

HAUL_DAYS = 10


@dataclass(frozen=True, kw_only=True)
class ChooseAsk:
    """How the choice is put: the risk of being late that is borne, the last good day (None: the sheet's), days from
    the earliest haul-out in which lift slots are looked at, days of weather looked at."""

    risk: float
    by: date | None = None
    haul_days: int = HAUL_DAYS
    days: int = 28


@dataclass(frozen=True, kw_only=True)
class Choices:
    """The answer: the pick with its table, when each haul-out slot is, and what it rests on."""

    ashore: Ashore
    ask: ChooseAsk
    deadline: date
    members: tuple[str, ...]
    haul_times: dict[int, datetime]
    results: Results
    chosen: Chosen
    notes: tuple[str, ...]


def make_choice(
    ashore: Ashore,
    weathers: Sequence[tuple[str, Weather]],
    ask: ChooseAsk,
    *,
    threads: int = 2,
    told: Callable[[int, int], None] = lambda _done, _of: None,
) -> Choices:
    """Walk every candidate through every member (named weather of one member each) and pick."""
    from boottop.plan.choose_pick import choose
    from boottop.plan.choose_walk import Table, candidates, results
    from boottop.plan.rules_shared import Shared

    deadline = _deadline(ashore, ask)
    rows: list[tuple[Minor, Days]] = []
    names: list[str] = []
    notes: list[str] = []
    hauls: dict[int, datetime] = {}
    table: Table | None = None
    shared = Shared()
    with ThreadPoolExecutor(threads) as pool:
        for (name, _), job in zip(
            weathers, pool.map(lambda one: member_network(ashore, one[1], ask, shared=shared), weathers), strict=True
        ):
            if table is None:
                hauls = haul_slots(job, ask)
                asked = candidates(job.inputs, tuple(hauls), tent=job.tent_span is not None)
                table = Table(ashore.hull, asked)
            rows.append(table.row(job))
            names.append(name)
            notes += job.findings
            told(len(rows), len(weathers))
    assert table is not None
    found = results(rows, deadline=deadline.toordinal())
    return Choices(
        ashore=ashore,
        ask=ask,
        deadline=deadline,
        members=tuple(names),
        haul_times=hauls,
        results=found,
        chosen=choose(table.asked, found, risk=ask.risk),
        notes=tuple(dict.fromkeys(notes)),
    )


def member_network(ashore: Ashore, weather: Weather, ask: ChooseAsk, *, shared: Shared | None = None) -> JobNetwork:
    """The plan's network over one member's windows, for many options at a time; `shared`: what members share."""
    from boottop.plan.odds_windows import long_windows
    from boottop.plan.rules import network_for

    outlook = outlook_for(ashore, weather, days=ask.days)
    wishes = replace(ashore.job.plan.wishes, wanted_launch=_deadline(ashore, ask))
    return network_for(
        replace(ashore.job.plan, cleaner=ashore.job.coating.cleaner, wishes=wishes),
        ashore.hull,
        windows=long_windows(outlook.windows),
        climate=outlook.climate,
        tent_climate=outlook.tent,
        shared=shared,
    )


def haul_slots(job: JobNetwork, ask: ChooseAsk) -> dict[int, datetime]:
    """Slots at which she can be hauled out within the days asked for, with their times; InputError without one."""
    import numpy as np

    task = next(task for task in job.network.tasks if task.key == "haul_out")
    starts = np.flatnonzero(np.logical_or.reduce([mode.starts for mode in task.modes]))
    until = job.inputs.wishes.earliest_haul + timedelta(days=ask.haul_days)
    found = {int(slot): when for slot in starts if (when := job.calendar.grid.time_of(int(slot))) < until}
    if not found:
        raise InputError(
            Problem(
                where="lift slots",
                found=f"none within {ask.haul_days} days of the earliest haul-out",
                allowed="one or more",
                advice="Look further with --haul-days, or add lift slots to the job sheet.",
            )
        )
    return found


def _deadline(ashore: Ashore, ask: ChooseAsk) -> date:
    wanted = ask.by or ashore.job.plan.wishes.wanted_launch
    if wanted is None:
        raise InputError(
            Problem(
                where="wanted launch",
                found="none in the job sheet and none given",
                allowed="the last day on which she is afloat in time",
                advice="Write wanted_launch in the job sheet, or give --by YYYY-MM-DD.",
            )
        )
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    first = ashore.job.plan.wishes.earliest_haul.astimezone(zone).date()
    if not first < wanted <= first + timedelta(days=ask.days):
        raise InputError(
            Problem(
                where="wanted launch",
                found=f"{wanted}, with {ask.days} days of weather from {first}",
                allowed=f"a day after {first} and within the weather looked at",
                advice="Give another --by, or more --days.",
            )
        )
    return wanted
