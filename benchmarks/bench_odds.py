"""The odds engine: ratios against plain lists in one run, precompute, end to end, choice, growth, roofline, compile.

Weather is synthetic (benchmarks/odds_synthetic.py): what is timed begins at the windows, as a plan has them. The march
of hull climate and films that makes windows of real weather is timed apart, at the end, for one year.

Run on a quiet machine: python -m benchmarks.bench_odds
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numba import njit
from numpy.typing import NDArray

from benchmarks.odds_synthetic import DAY, HORIZON, Year, demo, synthetic_year
from boottop.plan.odds_plain import PlainWalk
from boottop.plan.odds_result import Question, place_odds
from boottop.plan.odds_table import Starts, week_of
from boottop.plan.odds_walk import DONE, State, _walk_one, scenarios, walk
from boottop.plan.odds_ways import Option, Outcomes, Ready, Terms, Way, draft_ways, outcomes
from boottop.plan.odds_windows import long_windows
from boottop.plan.rules import network_for
from boottop.workflow import Ashore

YEARS, PAIRS = 30, 9
OPTIONS = tuple(Option(people=people, tent=tent) for people in (2, 3) for tent in (False, True))
WAYS = tuple(
    Way(option=option, policy="side_a_day", first=first) for option in OPTIONS for first in ("port", "starboard")
)
STARTS = np.arange(0, 365 * DAY, DAY, dtype=np.int32)


def say(text: str) -> None:
    print(text, flush=True)  # noqa: T201 - a benchmark talks to the terminal


def timed(work: Callable[[], object]) -> float:
    """Seconds of wall clock."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def spread(values: list[float], form: str = "{:.0f}") -> str:
    """Median with least and most."""
    low, middle, high = min(values), statistics.median(values), max(values)
    return f"median {form.format(middle)} ({form.format(low)} to {form.format(high)})"


def precompute(ashore: Ashore, year: Year, ways: tuple[Way, ...] = WAYS) -> tuple[list[Ready], NDArray[np.int32]]:
    """From windows to what the walk reads: the plan's own network, starts by two pointers, one pool of rows."""
    job = network_for(
        year.inputs,
        ashore.hull,
        windows=long_windows(year.windows),
        climate=year.climate,
        tent_climate=year.tent,
    )
    return draft_ways({None: job}, ashore.hull, ways)


def walk_all(readies: list[Ready], pool: NDArray[np.int32], starts: NDArray[np.int32], *, workers: int = 1) -> None:
    case = scenarios(starts, slots=HORIZON * DAY)
    for ready in readies:
        walk(ready.drafted.with_pool(pool), ready.loss, case, workers=workers)


def ratios(ashore: Ashore, years: list[Year]) -> None:
    """Compiled walk against plain lists, alternating in one run; the plain one walks a sample of the same starts."""
    made = [precompute(ashore, year) for year in years[:3]]
    sample = STARTS[::24]
    plain = [[PlainWalk(ready.drafted.with_pool(pool)) for ready in readies[::2]] for readies, pool in made[:1]]

    def run_plain() -> None:
        for walks in plain:
            for one in walks:
                for start in sample.tolist():
                    one.walk(start, until=start + HORIZON * DAY)

    def run_same(workers: int) -> None:
        readies, pool = made[0]
        for _ in range(40):
            walk_all(readies[::2], pool, sample, workers=workers)

    def run_daily(workers: int) -> None:
        for readies, pool in made:
            walk_all(readies, pool, STARTS, workers=workers)

    run_plain(), run_same(1), run_daily(2)
    count_plain, count_same = sample.size * len(plain[0]), 40 * sample.size * len(plain[0])
    count_daily = STARTS.size * sum(len(readies) for readies, _ in made)
    rates: dict[str, list[float]] = {"plain": [], "same": [], "daily, 1 core": [], "daily, 2 cores": []}
    for _ in range(PAIRS):
        rates["plain"].append(count_plain / timed(run_plain))
        rates["daily, 1 core"].append(count_daily / timed(lambda: run_daily(1)))
        rates["daily, 2 cores"].append(count_daily / timed(lambda: run_daily(2)))
        rates["same"].append(count_same / timed(lambda: run_same(1)))
    say(f"plain lists: {spread(rates['plain'])} scenarios/s")
    for name in ("daily, 1 core", "daily, 2 cores", "same"):
        pairs = [fast / slow for fast, slow in zip(rates[name], rates["plain"], strict=True)]
        what = "the very starts of the plain sample, 40 times over, 1 core" if name == "same" else name
        say(f"walk, {what}: {spread([rate / 1e6 for rate in rates[name]], '{:.2f}')} M/s = {spread(pairs)} x plain")


class _Counting:
    """A pool that counts how often it is read."""

    def __init__(self, pool: NDArray[np.int32]) -> None:
        self.pool, self.reads, self.shape = pool, 0, pool.shape

    def __getitem__(self, place: tuple[int, int]) -> np.int32:
        self.reads += 1
        return self.pool[place]


@njit(cache=True)
def _chase(ring, steps):  # type: ignore[no-untyped-def]
    at = 0
    for _ in range(steps):
        at = ring[at]
    return at


def roofline(ashore: Ashore, year: Year) -> None:
    """Reads of the pool a scenario makes, each taken to hang on the one before, against a chase through memory."""
    readies, pool = precompute(ashore, year)
    ready = readies[0]
    program = ready.drafted.with_pool(pool)
    sample, counting = STARTS[::24], _Counting(pool)
    tasks = program.tasks.shape[0]
    state = State(*(np.zeros(tasks + 1, np.int32) for _ in range(6)))
    for start in sample.tolist():
        state.hold[:] = 0
        state.hold[0] = start
        _walk_one.py_func((counting, *program[1:]), start + HORIZON * DAY, state)
    reads = counting.reads / sample.size
    for kilobytes in (32, 512, pool.nbytes // 1024):
        size = kilobytes * 256
        order = np.random.default_rng(1).permutation(size).astype(np.int64)
        ring = np.empty(size, np.int32)
        ring[order] = np.roll(order, -1)
        _chase(ring, 1000)
        chase_ns = min(timed(lambda: _chase(ring, 1_000_000)) for _ in range(5)) * 1e3
        case = scenarios(STARTS, slots=HORIZON * DAY)
        walk_ns = min(timed(lambda: walk(program, ready.loss, case)) for _ in range(9)) / STARTS.size * 1e9
        bound_ns = reads * chase_ns
        say(
            f"roofline, dependent reads in {kilobytes} kB at {chase_ns:.1f} ns: {reads:.0f} reads = {bound_ns:.0f} ns, "
            f"walk {walk_ns:.0f} ns = {100 * bound_ns / walk_ns:.0f} % of that bound"
        )


def end_to_end(ashore: Ashore, years: list[Year], *, workers: int) -> tuple[float, float, float, int]:
    """Seconds of precompute, walk and tables for all years; scenarios."""
    begin = time.perf_counter()
    with ThreadPoolExecutor(workers) as threads:
        made = list(threads.map(lambda year: precompute(ashore, year), years))
    drafted = time.perf_counter()
    terms = Terms(horizon_days=HORIZON, wanted=np.zeros(STARTS.size, np.int64))
    parts = [outcomes(readies, pool, STARTS, terms=terms, workers=workers) for readies, pool in made]
    walked = time.perf_counter()
    day = STARTS // DAY + np.datetime64("2023-01-01").astype(int) + 719163
    joined = {
        name: np.concatenate([getattr(part, name) for part in parts], axis=1) for name in Outcomes.__dataclass_fields__
    }
    starts = Starts(
        week=np.tile(week_of(day), len(years)),
        year=np.repeat(np.arange(len(years)), STARTS.size),
        outcomes=Outcomes(**joined),
        horizon_days=HORIZON,
    )
    place_odds("synthetic", starts, WAYS, question=Question(week=17))
    done = time.perf_counter()
    return drafted - begin, walked - drafted, done - walked, len(years) * STARTS.size * len(WAYS)


def choice(ashore: Ashore) -> None:
    """50 members x 80 options: network and pool of each member, and the walks."""
    from boottop.plan.choose_walk import Candidate, Table

    members = [synthetic_year(ashore, 500 + seed, WAYS, days=28 + 120) for seed in range(5)]
    members = [synthetic_year(ashore, 500 + seed, WAYS, days=28) for seed in range(50)] if members else members
    hauls = tuple(range(0, 10 * DAY, DAY))
    asked = [
        Candidate(haul=haul, helper=helper, tent=tent, first=first, policy="side_a_day")
        for helper in (False, True) for tent in (False, True) for first in ("port", "starboard") for haul in hauls
    ]  # fmt: skip
    hired = [_with_helper(member) for member in members]
    networks = [
        network_for(year.inputs, ashore.hull, windows=long_windows(year.windows), climate=year.climate, tent_climate=year.tent)
        for year in hired
    ]  # fmt: skip
    Table(ashore.hull, asked).row(networks[0])
    made_s = timed(
        lambda: [
            network_for(year.inputs, ashore.hull, windows=long_windows(year.windows), climate=year.climate, tent_climate=year.tent)
            for year in hired
        ]
    )  # fmt: skip
    table = Table(ashore.hull, asked)
    walked_s = timed(lambda: [table.row(network) for network in networks])
    say(f"choice, 50 members x {len(asked)} options: networks {made_s:.2f} s, programs and walks {walked_s:.2f} s")


def _with_helper(year: Year) -> Year:
    from dataclasses import replace

    inputs = year.inputs
    hire = replace(inputs.hire, helper_people=1, helper_cost_minor=100)
    return replace(year, inputs=replace(inputs, hire=hire, crew=replace(inputs.crew, people=2)))


def growth() -> None:
    """Time and peak memory from 1 to 60 years, each in a process of its own."""
    for years in (1, 10, 30, 60):
        done = subprocess.run(
            [sys.executable, "-m", "benchmarks.bench_odds", str(years)], capture_output=True, text=True, check=True
        )
        say(done.stdout.strip())


def one_growth(years: int) -> None:
    ashore = demo()
    precompute(ashore, synthetic_year(ashore, 0, WAYS, days=HORIZON + 10))
    begin = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    total, pool_mb = 0.0, 0.0
    for seed in range(years):  # one at a time, as a study does: what is kept is the outcome
        year = synthetic_year(ashore, seed, WAYS)
        parts: list[float] = []
        parts.append(timed(lambda year=year: parts.append(_one_year(ashore, year))))  # type: ignore[misc]
        total, pool_mb = total + parts[1], parts[0]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    say(
        f"{years:3d} years: precompute and walk {total:.2f} s ({1000 * total / years:.0f} ms a year), pool {pool_mb:.1f} MB "
        f"a year, peak {peak:.0f} MB ({begin:.0f} MB before)"
    )


def _one_year(ashore: Ashore, year: Year) -> float:
    readies, pool = precompute(ashore, year)
    walk_all(readies, pool, STARTS)
    return pool.nbytes / 1e6


def compile_times() -> None:
    """First call in a fresh cache, and again with that cache."""
    code = (
        "import time; from benchmarks.bench_odds import *; a = demo(); y = synthetic_year(a, 1, WAYS, days=60);"
        "b = time.perf_counter(); r, p = precompute(a, y); walk_all(r, p, STARTS[:5]); print(time.perf_counter() - b)"
    )
    with tempfile.TemporaryDirectory() as cache:
        for what in ("first call, empty cache", "first call, cache filled"):
            env = {**os.environ, "NUMBA_CACHE_DIR": cache}
            done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
            say(f"{what}: {float(done.stdout):.2f} s")


def march(ashore: Ashore) -> None:
    """What real weather costs before all this: hull climate and windows of a year, in the open and under the tent."""
    from boottop.climate.weather import Weather
    from boottop.workflow import outlook_for

    hours = (365 + HORIZON + 4) * 24
    rng = np.random.default_rng(5)
    hour = np.arange(hours)
    air = 12.0 - 9.0 * np.cos(2 * np.pi * hour / 8760) - 5.0 * np.cos(2 * np.pi * (hour % 24 - 3) / 24)
    absent = np.full((1, hours), np.nan)
    weather = Weather(
        start=synthetic_year(ashore, 1, WAYS, days=2).grid.start, air_c=air[None], dew_c=air[None] - 5.0,
        wind_m_s=np.full((1, hours), 4.0), rain_mm=np.where(rng.random((1, hours)) < 0.07, 1.0, 0.0),
        pressure_pa=np.full((1, hours), 101_300.0), ghi_w_m2=absent, dni_w_m2=absent, dhi_w_m2=absent,
        longwave_w_m2=absent, cloud=absent, filled={}, station="made", source="made", licence="none",
    )  # fmt: skip
    year = synthetic_year(ashore, 1, WAYS, days=365 + HORIZON)
    from dataclasses import replace

    long = Ashore(replace(ashore.job, plan=year.inputs))
    took = timed(lambda: outlook_for(long, weather, days=365 + HORIZON))
    say(f"apart from all above, hull climate and windows of one year, 32 lanes, open and tent: {took:.1f} s")


def main() -> None:
    """All of it, the ratios first."""
    if len(sys.argv) > 1:
        one_growth(int(sys.argv[1]))
        return
    ashore = demo()
    years = [synthetic_year(ashore, seed, WAYS) for seed in range(YEARS)]
    precompute(ashore, years[0])
    say(f"load of the machine at the start: {os.getloadavg()[0]:.2f}")
    ratios(ashore, years)
    for workers in (1, 2):
        runs = [end_to_end(ashore, years, workers=workers) for _ in range(3)]
        for index, what in enumerate(("precompute, 30 years x 4 variants", "walk and count", "tables and intervals")):
            say(f"{workers} threads, {what}: {spread([run[index] for run in runs], '{:.2f}')} s")
        say(
            f"{workers} threads, {runs[0][3]} scenarios end to end: {spread([sum(run[:3]) for run in runs], '{:.2f}')} s"
        )
    choice(ashore)
    roofline(ashore, years[0])
    growth()
    compile_times()
    march(ashore)
    say(f"load of the machine at the end: {os.getloadavg()[0]:.2f}")


if __name__ == "__main__":
    main()
