"""What the job did: burn at the same speed, or speed at the same revolutions, before and after, with its interval."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri, stdtrit

from boottop.money.runs import Cut, Run

Floats = NDArray[np.float64]
Measure = Literal["fuel", "speed"]
CONFIDENCE = 0.95
POWER = 0.8
WORTH_SHARE = 0.05
COMMON_SHARE = 0.2
DAYS_MIN = 3
RUNS_MIN = 5
MORE_MAX = 400


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What changed. `measure` "fuel": litres an hour at the same speed; "speed": speed at the same revolutions.

    `change_share`: -0.08 is 8 % less; `low_share` to `high_share` its interval at 95 %. `runs`, `days`: before, after.
    `told`: nought is outside the interval. `more_runs`: runs on further days after the job until a change of
    `worth_share` would be told four times in five, 0 when it would be now, None when no number of them would.
    `smallest_share`: the smallest change that could ever be told with the days there are before the job.
    """

    measure: Measure
    change_share: float
    low_share: float
    high_share: float
    runs: tuple[int, int]
    days: tuple[int, int]
    told: bool
    more_runs: int | None
    worth_share: float
    smallest_share: float
    terms: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Proof:
    """All that the log says. `verdict`: one sentence for the owner. No effects where there are too few runs for any."""

    effects: tuple[Effect, ...]
    verdict: str
    notes: tuple[str, ...]
    cut: Cut


def prove(cut: Cut, *, worth_share: float = WORTH_SHARE) -> Proof:
    """The effect of the job from steady runs before and after it.

    Least squares on the logarithms: log burn = a + b log speed + c wind from ahead + d after (and log speed on log
    revolutions likewise), d being the change. Runs of a day are not independent, so the doubt of d is reckoned between
    days (cluster-robust, CR1; t with as many degrees of freedom as days less terms, and no more than two days on the
    scarcer side give each).
    Source: speed and power compared over two periods under filtered conditions, in the spirit of ISO 19030-2:2016
    (scope read, numbers from memory); cluster-robust covariance: Liang and Zeger, Biometrika 73 (1986) 13 (from
    memory); the second bound on the degrees of freedom is ours, its coverage simulated in the tests.
    """
    effects = tuple(
        effect for measure in ("fuel", "speed") if (effect := _effect(cut.runs, measure, worth_share)) is not None
    )
    return Proof(effects=effects, verdict=_verdict(effects, cut, worth_share), notes=_notes(cut), cut=cut)


def _usable(runs: Sequence[Run], measure: Measure) -> list[Run]:
    """Runs that have the measure, at settings that occur on both sides of the job or a fifth beyond; none where the
    two sides have none in common: like is compared with like."""
    known = [run for run in runs if (run.fuel_l_h if measure == "fuel" else run.rev_s) > 0.0]
    sides = [[_setting(run, measure) for run in known if run.phase == phase] for phase in ("before", "after")]
    if not all(sides):
        return known
    low, high = max(min(side) for side in sides), min(max(side) for side in sides)
    if low > high:
        return []
    return [run for run in known if low <= _setting(run, measure) * (1 + COMMON_SHARE)
            and _setting(run, measure) <= high * (1 + COMMON_SHARE)]  # fmt: skip


def _setting(run: Run, measure: Measure) -> float:
    return run.speed_m_s if measure == "fuel" else run.rev_s


def _effect(runs: Sequence[Run], measure: Measure, worth_share: float) -> Effect | None:
    """One measure's effect; None when there are too few runs or days on either side."""
    usable = _usable(runs, measure)
    counts, days = _counts(usable)
    if min(counts) < RUNS_MIN or min(days) < DAYS_MIN:
        return None
    columns, terms = _columns(usable, measure)
    y = np.log([run.fuel_l_h if measure == "fuel" else run.speed_m_s for run in usable])
    change, error = _fit(columns, y, np.array([run.day for run in usable]))
    freedom = float(_freedom(days[0], np.array([days[1]]), columns.shape[1])[0])
    reach = float(stdtrit(freedom, 0.5 + CONFIDENCE / 2.0)) * error
    more, smallest = _more(error, days, columns.shape[1], worth_share=worth_share)
    told = abs(change) > reach
    return Effect(
        measure=measure,
        change_share=float(np.expm1(change)),
        low_share=float(np.expm1(change - reach)),
        high_share=float(np.expm1(change + reach)),
        runs=counts,
        days=days,
        told=told,
        more_runs=0 if told else more,
        worth_share=worth_share,
        smallest_share=smallest,
        terms=terms,
    )


def _counts(runs: Sequence[Run]) -> tuple[tuple[int, int], tuple[int, int]]:
    before = [run for run in runs if run.phase == "before"]
    after = [run for run in runs if run.phase == "after"]
    return (len(before), len(after)), (len({run.day for run in before}), len({run.day for run in after}))


def _columns(runs: Sequence[Run], measure: Measure) -> tuple[Floats, tuple[str, ...]]:
    """Columns of the regression, the change last, shape (run, term)."""
    setting = [_setting(run, measure) for run in runs]
    columns, terms = [np.ones(len(runs))], ["level"]
    if np.ptp(np.log(setting)) > 0.02:
        columns.append(np.log(setting) - np.log(setting).mean())
        terms.append("speed" if measure == "fuel" else "revolutions")
    head = np.array([run.head_m_s for run in runs])
    if np.isfinite(head).all() and np.ptp(head) > 0.5:
        columns.append(head - head.mean())
        terms.append("wind from ahead")
    columns.append(np.array([float(run.phase == "after") for run in runs]))
    return np.column_stack(columns), (*terms, "after the job")


def _fit(columns: Floats, y: Floats, day: NDArray[np.int64]) -> tuple[float, float]:
    """The last coefficient and its standard error between days."""
    solved, *_ = np.linalg.lstsq(columns, y, rcond=None)
    left = y - columns @ solved
    bread = np.linalg.pinv(columns.T @ columns)
    days, runs, terms = np.unique(day), y.size, columns.shape[1]
    scores = np.stack([columns[day == one].T @ left[day == one] for one in days])
    small = days.size / (days.size - 1) * (runs - 1) / max(runs - terms, 1)
    covariance = small * bread @ (scores.T @ scores) @ bread
    return float(solved[-1]), float(np.sqrt(covariance[-1, -1]))


def _more(error: float, days: tuple[int, int], terms: int, *, worth_share: float) -> tuple[int | None, float]:
    """Further days after the job until `worth_share` is told with 80 % power, and the smallest change ever to be told.

    The error falls as sqrt(1 / days before + 1 / days after), two groups of days, each day worth one run; the scatter
    of a day is taken to stay as it is so far. "Ever" is 400 further days.
    """
    one_day = error / np.sqrt(1.0 / days[0] + 1.0 / days[1])
    after = days[1] + np.arange(MORE_MAX + 1)
    freedom = _freedom(days[0], after, terms)
    asked = stdtrit(freedom, 0.5 + CONFIDENCE / 2.0) + ndtri(POWER)
    told = np.expm1(asked * one_day * np.sqrt(1.0 / days[0] + 1.0 / after))
    enough = np.flatnonzero(told <= worth_share)
    return (int(enough[0]) if enough.size else None), float(told[-1])


def _freedom(before: int, after: NDArray[np.int64], terms: int) -> Floats:
    """Degrees of freedom of the change, shape of `after`."""
    return np.asarray(np.maximum(np.minimum(before + after - terms, 2 * (np.minimum(before, after) - 1)), 1.0))


def _verdict(effects: tuple[Effect, ...], cut: Cut, worth_share: float) -> str:
    if not effects:
        counts, days = _counts(cut.runs)
        missing = max(max(RUNS_MIN - counts[1], 0), max(DAYS_MIN - days[1], 0))
        if min(counts) >= RUNS_MIN and min(days) >= DAYS_MIN:
            return "Not comparable: the runs before the job and those after it were made at other speeds. " + _spans(
                cut
            )
        if min(counts[0] - RUNS_MIN, days[0] - DAYS_MIN) < 0:
            return (
                f"Not enough data: {counts[0]} steady runs on {days[0]} days before the haul-out, {RUNS_MIN} on "
                f"{DAYS_MIN} are the least. Without a log from before, what the job did cannot be proved."
            )
        return f"Not enough data yet: about {missing} more runs after the launch before anything can be said."
    return " ".join(_sentence(one) for one in effects)


def _spans(cut: Cut) -> str:
    """Speeds on both sides of the job, in knots as sailors have them."""
    sides = [[run.speed_m_s / 0.514444 for run in cut.runs if run.phase == phase] for phase in ("before", "after")]
    spans = [f"{min(side):.1f} to {max(side):.1f} kn" for side in sides]
    return f"Before {spans[0]}, after {spans[1]}: make runs after the launch at the speeds of before."


def _sentence(one: Effect) -> str:
    what = {"fuel": "litres an hour at the same speed", "speed": "speed at the same revolutions"}[one.measure]
    span = f"{_percent(one.low_share)} to {_percent(one.high_share)}"
    if one.told:
        return f"{_percent(one.change_share)} {what} (95 %: {span})."
    so_far = f"so far {_percent(one.change_share)} {what}, anything from {span}."
    if one.more_runs is None:
        return (
            f"Not enough data: with {one.days[0]} days before the job no number of runs after it would tell a change "
            f"of {one.worth_share:.0%}; {100 * one.smallest_share:.1f} % is the least that could be told. "
            f"{so_far.capitalize()}"
        )
    if one.more_runs == 0:
        return f"No change of {one.worth_share:.0%} or more is likely: {so_far}"
    return f"Not enough data yet: about {one.more_runs} more runs, each on another day; {so_far}"


def _percent(share: float) -> str:
    return f"{100.0 * share:+.1f} %"


def _notes(cut: Cut) -> tuple[str, ...]:
    notes = []
    if cut.runs and not cut.runs[0].by_water:
        notes.append(
            "Speed is over the ground: the current is in it, as scatter. Log the speed through the water, or make "
            "every run both ways."
        )
    if cut.runs and not any(np.isfinite(run.head_m_s) for run in cut.runs):
        notes.append("No wind was logged: runs in any wind are in, and the doubt is larger for it.")
    drift = _impeller(cut.runs)
    return (*notes, *([drift] if drift else []))


def _impeller(runs: Sequence[Run]) -> str:
    """Whether the impeller reads differently against the ground after the job: over many runs the current cancels."""
    both = [run for run in runs if run.by_water and run.ground_m_s > 0.0]
    counts, days = _counts(both)
    if min(counts) < RUNS_MIN or min(days) < DAYS_MIN:
        return ""
    columns = np.column_stack([np.ones(len(both)), [float(run.phase == "after") for run in both]])
    ratio = np.log([run.speed_m_s / run.ground_m_s for run in both])
    change, error = _fit(columns, ratio, np.array([run.day for run in both]))
    if abs(change) <= 3.0 * error or abs(change) < 0.01:
        return ""
    return (
        f"The impeller reads {_percent(float(np.expm1(change)))} against the ground after the job compared with "
        "before: it was cleaned or set anew, and part of the effect may be the instrument's. Compare over the ground."
    )
