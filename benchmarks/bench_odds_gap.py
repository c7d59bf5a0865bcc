"""How far each crew policy lies from the exact optimum: sampled starts, the demonstration job, real weather.

The optimum is the solver's earliest launch over the very network that the policies walk, no tent and no helper on
offer, cost left out, proven or the start does not count. Policies see the same windows, so the gap is what the fixed
order costs, nothing else. Starts for which no plan exists are told apart: the policies must find none either.

Run: python benchmarks/bench_odds_gap.py [--starts 100] [--people 2]
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.climate.weather import Weather
from boottop.files.jobsheet import load_job
from boottop.files.weather.stretches import load_stretches
from boottop.odds_work import season_inputs
from boottop.plan.model import solve
from boottop.plan.network import Money, Network
from boottop.plan.odds_ways import Option, Way, draft_ways, walk_way, ways_for
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.workflow import Ashore, outlook_for

JOB = Path(__file__).parent.parent / "src/boottop/demo/job.toml"
WEATHER = Path(__file__).parent.parent.parent / "shared/data/weather/asos-nyc-2022-hourly.csv.gz"
DAYS = 28
SEED = 3


def say(text: str) -> None:
    print(text, flush=True)  # noqa: T201 - a benchmark talks to the terminal


def earliest_launch(network: Network) -> int | None:
    """Mark of the earliest launch there can be, proven; -1 when there is none, None when it was not proven."""
    free = tuple(
        replace(task, modes=tuple(replace(mode, cost_minor=0) for mode in task.modes)) for task in network.tasks
    )
    marks = np.arange(network.count + 1, dtype=np.int64)
    money = Money(first="haul_out", last="launch", by_start=0 * marks, by_finish=100 * marks)
    solution = solve(replace(network, tasks=free, money=money), time_limit_s=60.0)
    if solution.status == "infeasible":
        return -1
    if solution.status != "optimal":
        return None
    return next(place.finish for place in solution.placed if place.key == "launch")


def network_at(ashore: Ashore, weather: Weather, day: datetime, *, ways: tuple[Way, ...]) -> JobNetwork:
    """The job from one day on, as a study has it."""
    inputs = season_inputs(ashore.job.plan, ways, begin=day, days=DAYS)
    outlook = outlook_for(Ashore(replace(ashore.job, plan=inputs)), weather, days=DAYS)
    inputs = replace(inputs, cleaner=ashore.job.coating.cleaner)
    return network_for(inputs, ashore.hull, windows=outlook.windows, climate=outlook.climate)


def gaps(
    ashore: Ashore, weather: Weather, days: list[datetime], *, ways: tuple[Way, ...]
) -> tuple[NDArray[np.float64], list[str]]:
    """Days behind the optimum, (start, way), NaN where a policy finds nothing; and what was left out."""
    rows: list[list[float]] = []
    told: list[str] = []
    for day in days:
        job = network_at(ashore, weather, day, ways=ways)
        best = earliest_launch(job.network)
        readies, pool = draft_ways({None: job}, ashore.hull, ways)
        start = np.zeros(1, np.int32)
        marks = [int(walk_way(ready, pool, start, slots=job.network.count).launch[0]) for ready in readies]
        if best is None or best < 0:
            found = sum(mark <= job.network.count for mark in marks)
            told.append("not proven" if best is None else f"no plan exists; {found} policies found one")
            continue
        assert min(marks) >= best, "a policy beat the proven optimum"
        rows.append([(mark - best) / 96 if mark <= job.network.count else np.nan for mark in marks])
    return np.array(rows), told


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--starts", type=int, default=100)
    parser.add_argument("--people", type=int, default=2)
    asked = parser.parse_args()
    ashore = Ashore(load_job(JOB))
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    weather = load_stretches(WEATHER, site=ashore.job.site, station="JFK", assume_dry=True).weathers[0]
    ways = ways_for([Option(people=asked.people)], "either")
    rng = np.random.default_rng(SEED)
    offsets = sorted(rng.choice(np.arange(75, 300), size=asked.starts, replace=asked.starts > 225).tolist())
    days = [datetime(2022, 1, 1, tzinfo=zone) + timedelta(days=int(at)) for at in offsets]
    utc = [day.astimezone(ZoneInfo("UTC")) for day in days]
    table, told = gaps(ashore, weather, utc, ways=ways)
    say(f"{asked.starts} starts, {asked.people} people, horizon {DAYS} d; optimum proven for {len(table)}")
    for what in sorted(set(told)):
        say(f"  {told.count(what)} starts: {what}")
    say("gap to the proven optimum, days:   mean   median  max    equal  nothing found")
    for index, way in enumerate(ways):
        show(f"{way.policy}, {way.first} first", table[:, index])
    show("best of the portfolio", np.nanmin(np.where(np.isnan(table), np.inf, table), axis=1))


def show(label: str, gap: NDArray[np.float64]) -> None:
    """One line of the table; a start without a plan counts in no mean."""
    gap = np.where(np.isinf(gap), np.nan, gap)
    known = gap[~np.isnan(gap)]
    if known.size:
        say(
            f"  {label:32s} {known.mean():6.2f}  {np.median(known):6.2f}  {known.max():5.1f}"
            f"  {(known < 1e-9).sum():5d}  {np.isnan(gap).sum():5d}"
        )
    else:
        say(f"  {label:32s}   none found")


if __name__ == "__main__":
    main()
