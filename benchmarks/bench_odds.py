"""The odds engine: ratios against plain lists in one run, precompute, end to end, choice, growth, roofline, compile.

Weather is synthetic (benchmarks/odds_synthetic.py): what is timed begins at the windows, as a plan has them. The march
of hull climate and films that makes windows of real weather is timed apart, at the end, for one year.

Run on a quiet machine: python -m benchmarks.bench_odds
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, replace
from datetime import date
from functools import partial
from itertools import product

import numpy as np
from numba import njit
from numpy.typing import NDArray

from benchmarks.odds_synthetic import DAY, HORIZON, Year, demo, synthetic_year
from boottop.plan.odds_names import SIDES
from boottop.plan.odds_plain import PlainWalk
from boottop.plan.odds_result import Question, place_odds
from boottop.plan.odds_table import Starts, week_of
from boottop.plan.odds_walk import State, _walk_one, scenarios, walk
from boottop.plan.odds_ways import Option, Outcomes, Ready, Terms, Way, draft_ways, outcomes
from boottop.plan.odds_windows import long_windows
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_shared import Shared
from boottop.workflow import Ashore

YEARS, PAIRS = 30, 9
OPTIONS = tuple(Option(people=people, tent=tent) for people in (2, 3) for tent in (False, True))
WAYS = tuple(Way(option=option, policy="side_a_day", first=first) for option, first in product(OPTIONS, SIDES))
STARTS = np.arange(0, 365 * DAY, DAY, dtype=np.int32)


def say(text: str) -> None:
    print(text, flush=True)  # noqa: T201 - a benchmark talks to the terminal


def timed(work: Callable[[], object]) -> float:
    """Seconds of wall clock."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def processor_s(work: Callable[[], object]) -> float:
    """Seconds of processor of this thread: less moved by neighbours than the wall clock, though caches are shared."""
    begin = time.thread_time()
    work()
    return time.thread_time() - begin


def spread(values: list[float], form: str = "{:.0f}") -> str:
    """Median with least and most."""
    low, middle, high = min(values), statistics.median(values), max(values)
    return f"median {form.format(middle)} ({form.format(low)} to {form.format(high)})"


def precompute(ashore: Ashore, year: Year, ways: tuple[Way, ...] = WAYS) -> tuple[list[Ready], NDArray[np.int32]]:
    """From windows to what the walk reads: the plan's own network, starts by two pointers, one pool of rows."""
    job = _network(ashore, year)
    return draft_ways({None: job}, ashore.hull, ways)


def walk_all(readies: list[Ready], pool: NDArray[np.int32], starts: NDArray[np.int32], *, workers: int = 1) -> None:
    case = scenarios(starts, slots=HORIZON * DAY)
    for ready in readies:
        walk(ready.drafted.with_pool(pool), ready.loss, case, workers=workers)


def ratios(ashore: Ashore, years: list[Year]) -> None:
    """Compiled walk against plain lists over the very same starts, alternating in one run; and over every day of three
    years. The plain walk is written to be read: it looks at all tasks when it counts hands."""
    made = [precompute(ashore, year) for year in years[:3]]
    (readies, pool), sample = made[0], STARTS[::24]
    plain = [PlainWalk(ready.drafted.with_pool(pool)) for ready in readies[::2]]
    again, some = np.tile(sample, 40), sample.size * len(plain)
    daily = STARTS.size * sum(len(one) for one, _ in made)

    def run_plain() -> None:
        for one, start in product(plain, sample.tolist()):
            one.walk(start, until=start + HORIZON * DAY)

    def run_daily(workers: int) -> None:
        for one, rows in made:
            walk_all(one, rows, STARTS, workers=workers)

    runs: dict[str, tuple[int, Callable[[], None]]] = {
        "plain": (some, run_plain),
        "the same starts 40 times over, 1 core": (40 * some, lambda: walk_all(readies[::2], pool, again)),
        "the same starts 40 times over, 2 cores": (40 * some, lambda: walk_all(readies[::2], pool, again, workers=2)),
        "every day of three years, 1 core": (daily, lambda: run_daily(1)),
        "every day of three years, 2 cores": (daily, lambda: run_daily(2)),
    }
    tell_ratios(rates_of(runs, timed))
    say("the same by processor time of the thread, one core:")
    tell_ratios(rates_of({name: run for name, run in runs.items() if "2 cores" not in name}, processor_s))


def rates_of(
    runs: dict[str, tuple[int, Callable[[], None]]], clock: Callable[[Callable[[], object]], float]
) -> dict[str, list[float]]:
    """Scenarios a second of each run, the runs taking turns."""
    for _, run in runs.values():
        run()
    rates: dict[str, list[float]] = {name: [] for name in runs}
    for _ in range(PAIRS):
        for name, (count, run) in runs.items():
            rates[name].append(count / clock(run))
    return rates


def tell_ratios(rates: dict[str, list[float]]) -> None:
    """Rates, and the ratios of each pair of one round."""
    slow = rates.pop("plain")
    say(f"plain lists: {spread(slow)} scenarios/s")
    for name, fast in rates.items():
        pairs = [one / other for one, other in zip(fast, slow, strict=True)]
        say(f"walk, {name}: {spread([rate / 1e6 for rate in fast], '{:.2f}')} M/s = {spread(pairs)} x plain")


class _Counting:
    """A pool that counts how often it is read."""

    def __init__(self, pool: NDArray[np.int32]) -> None:
        self.pool, self.reads, self.shape = pool, 0, pool.shape

    def __getitem__(self, place: tuple[int, int]) -> np.int32:
        self.reads += 1
        return np.int32(self.pool[place])


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
    tasks = program.tasks.shape[1]
    state = State(*(np.zeros(tasks + 1, np.int32) for _ in range(6)))
    for start in sample.tolist():
        state.hold[:] = 0
        state.hold[0] = start
        _walk_one.py_func((counting, *program[1:]), start + HORIZON * DAY, state)  # type: ignore[no-untyped-call]
    reads = counting.reads / sample.size
    case = scenarios(STARTS, slots=HORIZON * DAY)
    walk_ns = min(timed(partial(walk, program, ready.loss, case)) for _ in range(15)) / STARTS.size * 1e9
    for kilobytes in (32, 512, pool.nbytes // 1024):
        size = kilobytes * 256
        order = np.random.default_rng(1).permutation(size).astype(np.int64)
        ring = np.empty(size, np.int32)
        ring[order] = np.roll(order, -1)
        _chase(ring, 1000)
        chase_ns = min(timed(partial(_chase, ring, 1_000_000)) for _ in range(5)) * 1e3
        bound_ns = reads * chase_ns
        say(
            f"roofline, dependent reads in {kilobytes} kB at {chase_ns:.1f} ns: {reads:.0f} reads = {bound_ns:.0f} ns, "
            f"walk {walk_ns:.0f} ns: {100 * bound_ns / walk_ns:.0f} % of that bound"
        )


def one_year(ashore: Ashore, year: Year) -> Outcomes:
    """One piece of a study from its windows: what is kept of it is what came of each start."""
    readies, pool = precompute(ashore, year)
    return outcomes(readies, pool, STARTS, terms=Terms(horizon_days=HORIZON, wanted=np.zeros(STARTS.size, np.int64)))


def each_year(work: Callable[[Year], object], years: list[Year], *, workers: int) -> list[object]:
    with ThreadPoolExecutor(workers) as threads:
        return list(threads.map(work, years))


def tables(parts: list[Outcomes]) -> None:
    """Every table and interval of the study."""
    day = STARTS.astype(np.int64) // DAY + date(2023, 1, 1).toordinal()
    names = [field.name for field in fields(Outcomes)]
    starts = Starts(
        week=np.tile(week_of(day), len(parts)),
        year=np.repeat(np.arange(len(parts)), STARTS.size),
        outcomes=Outcomes(**{name: np.concatenate([getattr(part, name) for part in parts], axis=1) for name in names}),
        horizon_days=HORIZON,
    )
    place_odds("synthetic", starts, WAYS, question=Question(week=17))


def end_to_end(ashore: Ashore, years: list[Year], *, workers: int) -> None:
    """Precompute alone; then all from windows to tables."""
    made, walked, told, busy = [], [], [], []
    for _ in range(5):
        begun = time.process_time()
        made.append(timed(lambda: each_year(lambda year: precompute(ashore, year) and None, years, workers=workers)))
        busy.append(time.process_time() - begun)
        begin = time.perf_counter()
        parts = each_year(partial(one_year, ashore), years, workers=workers)
        walked.append(time.perf_counter() - begin)
        told.append(timed(lambda parts=parts: tables(parts)))  # type: ignore[misc]
    count = len(years) * STARTS.size * len(WAYS)
    whole = [one + other for one, other in zip(walked, told, strict=True)]
    say(f"{workers} threads, precompute, {len(years)} years x 4 variants: {spread(made, '{:.2f}')} s")
    say(f"{workers} threads, the same by processor time of all threads: {spread(busy, '{:.2f}')} s")
    say(f"{workers} threads, tables and intervals: {spread(told, '{:.2f}')} s")
    say(f"{workers} threads, {count} scenarios end to end, windows to tables: {spread(whole, '{:.2f}')} s")


def choice(ashore: Ashore) -> None:
    """50 members x 80 options: network and pool of each member, and the walks."""
    from boottop.plan.choose_walk import Candidate, Table

    members = [_with_helper(synthetic_year(ashore, 500 + seed, WAYS, days=28)) for seed in range(50)]
    members = [replace(one, inputs=members[0].inputs) for one in members]  # one job, many weathers
    hauls = tuple(range(0, 10 * DAY, DAY))
    asked = [
        Candidate(haul=haul, helper=helper, tent=tent, first=first, policy="side_a_day")
        for helper, tent, first, haul in product((False, True), (False, True), SIDES, hauls)
    ]
    networks = [_network(ashore, year) for year in members]
    Table(ashore.hull, asked).row(networks[0])
    made, walked, whole, busy = [], [], [], []
    for _ in range(PAIRS):
        begun = time.process_time()
        shared, table = Shared(), Table(ashore.hull, asked)
        begin = time.perf_counter()
        for year in members:  # as a choice does it: a member is walked and let go
            table.row(_network(ashore, year, shared=shared))
        whole.append(time.perf_counter() - begin)
        busy.append(time.process_time() - begun)
        shared, table = Shared(), Table(ashore.hull, asked)
        made.append(timed(lambda shared=shared: [_network(ashore, year, shared=shared) for year in members]))  # type: ignore[misc]
        walked.append(timed(lambda table=table: [table.row(network) for network in networks]))  # type: ignore[misc]
    say(
        f"choice, 50 members x {len(asked)} options: networks {spread(made, '{:.2f}')} s, "
        f"programs and walks {spread(walked, '{:.2f}')} s, both {spread(whole, '{:.2f}')} s, "
        f"by processor time {spread(busy, '{:.2f}')} s"
    )


def _network(ashore: Ashore, year: Year, *, shared: Shared | None = None) -> JobNetwork:
    return network_for(
        year.inputs,
        ashore.hull,
        windows=long_windows(year.windows),
        climate=year.climate,
        tent_climate=year.tent,
        shared=shared,
    )


def _with_helper(year: Year) -> Year:
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
    _one_year(ashore, synthetic_year(ashore, 0, WAYS, days=HORIZON + 10))
    before, total = _peak_mb(), 0.0
    for seed in range(years):  # one at a time, as a study does: what is kept is the outcome
        year = synthetic_year(ashore, seed, WAYS)
        total += timed(partial(_one_year, ashore, year))
    pool_mb = precompute(ashore, year)[1].nbytes / 1e6
    say(
        f"{years:3d} years: precompute and walk {total:.2f} s ({1000 * total / years:.0f} ms a year), "
        f"pool {pool_mb:.1f} MB a year, peak {_peak_mb():.0f} MB ({before:.0f} MB before)"
    )


def _peak_mb() -> float:
    """Peak memory of this very process, MB (not of the one that started it, as getrusage may have it)."""
    with open("/proc/self/status", encoding="ascii") as status:
        return next(int(line.split()[1]) / 1024 for line in status if line.startswith("VmHWM"))


def _one_year(ashore: Ashore, year: Year) -> None:
    readies, pool = precompute(ashore, year)
    walk_all(readies, pool, STARTS[: 1 + (year.grid.count - HORIZON * DAY - 1) // DAY])


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
        end_to_end(ashore, years, workers=workers)
    choice(ashore)
    roofline(ashore, years[0])
    growth()
    compile_times()
    march(ashore)
    say(f"load of the machine at the end: {os.getloadavg()[0]:.2f}")


if __name__ == "__main__":
    main()
