"""When no plan exists: which rules clash, which day came nearest, and the cheapest change that would make one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from boottop.base.money import format_money
from boottop.climate.climate import Climate
from boottop.measure.hull import Hull
from boottop.plan.inputs import WindowKey
from boottop.plan.model import solve
from boottop.plan.network import Explanation, Solution
from boottop.plan.relax import explain
from boottop.plan.relax_drop import KNOWN_TIME
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_progress import Begun
from boottop.plan.ways_out_changes import Change, changes_for, pairs_of
from boottop.plan.ways_out_days import day_reasons
from boottop.plan.ways_out_horizon import horizon_says, longer_file_says
from boottop.windows.windows import ZoneWindows

EXPLAIN_S, TRY_S, ALL_TRIES_S = 5.0, 2.5, 20.0
ENOUGH_WAYS = 3
FIRM = (KNOWN_TIME,)
"""Where the known weather is long enough by itself it is not what to blame."""


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A job without a plan, and all that it takes to try it again with a change."""

    job: JobNetwork
    hull: Hull
    windows: Mapping[WindowKey, ZoneWindows]
    climate: Climate
    time_limit_s: float
    tent_climate: Climate | None = None
    begun: Begun | None = None


@dataclass(frozen=True, kw_only=True)
class _Tried:
    """A change that makes a plan exist."""

    change: Change
    job: JobNetwork
    solution: Solution


def why_none(trial: Trial) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Reasons, the plainest first, and ways out, the cheapest first; those with a price not known come last."""
    beyond = tuple(horizon_says(trial.job))
    reasons = [*_empty_says(trial.job), *beyond]
    if not beyond:
        limit_s = min(EXPLAIN_S, trial.time_limit_s)
        reasons += [*day_reasons(trial.job), *_clash_says(explain(trial.job.network, time_limit_s=limit_s, firm=FIRM))]
    ways = [*_ways(trial)]
    if beyond or not ways:
        ways.append(longer_file_says(trial.job))
    return tuple(dict.fromkeys(reasons)), tuple(ways)


def _empty_says(job: JobNetwork) -> Iterator[str]:
    """Tasks that have no admissible start, whatever the others do."""
    for task in job.network.tasks:
        if not any(np.any(mode.starts) for mode in task.modes):
            yield f"{job.facts[task.key].label}: no admissible hour for it in the whole time looked at."


def _clash_says(explanation: Explanation) -> Iterator[str]:
    """The rules that cannot all be kept, and the least that would have to give."""
    clash = [words for group in explanation.core for words in _group_words(explanation, group)]
    if clash:
        yield "These cannot all be kept: " + "; ".join(dict.fromkeys(clash)) + "."
    for way in explanation.ways[:1]:
        broken = [words for group in way.groups for words in _group_words(explanation, group)]
        yield "A plan would exist but for: " + "; ".join(dict.fromkeys(broken)) + "."


def _group_words(explanation: Explanation, group: str) -> Sequence[str]:
    """A family of rules in words: one phrase for what keeps a task's hours, else the rules themselves."""
    kind, _, name = group.partition(": ")
    phrases = {
        "weather": f"the weather and the working hours for wiping and coating {name}",
        "lift slots": f"the lift slots for the {name}",
        "working hours": f"the working hours for {name}",
        "yard hours": f"the yard's hours for the {name}",
        "pool": f"the hands there are ({name})",
    }
    return (phrases[kind],) if kind in phrases else explanation.rules.get(group, (group,))


def _ways(trial: Trial) -> Iterator[str]:
    """Changes that make a plan exist, the cheapest first; two at once only where no single one does."""
    changes = changes_for(trial.job, trial.windows, trial.climate)
    found = _try_all(trial, changes)
    if not found:
        found = _try_all(trial, pairs_of(changes))
    found.sort(key=lambda tried: (bool(tried.change.price), tried.solution.cost_minor or 0, tried.change.says))
    yield from (_told(tried) for tried in found[:ENOUGH_WAYS])


def _try_all(trial: Trial, changes: list[Change]) -> list[_Tried]:
    found, spent_s = [], 0.0
    for change in changes:
        if spent_s >= min(ALL_TRIES_S, trial.time_limit_s):
            break
        windows = trial.windows if change.windows is None else change.windows
        inputs = change.apply(trial.job.inputs)
        job = network_for(
            inputs, trial.hull, windows=windows, climate=trial.climate, tent_climate=trial.tent_climate,
            begun=trial.begun,
        )  # fmt: skip
        solution = solve(job.network, time_limit_s=TRY_S, secondary=False)
        spent_s += solution.report.total_s
        if solution.placed:
            found.append(_Tried(change=change, job=job, solution=solution))
    return found


def _told(tried: _Tried) -> str:
    """A way out in a sentence: what to change, when afloat, what it costs."""
    placed = {place.key: place for place in tried.solution.placed}
    afloat = tried.job.calendar.said(placed["launch"].start)
    out = tried.job.calendar.said(placed["haul_out"].start)
    cost = format_money(tried.solution.cost_minor or 0, tried.job.inputs.currency)
    price = f" {tried.change.price}" if tried.change.price else ""
    return f"{tried.change.says}: haul out {out}, afloat {afloat}, {cost} in all{price}."
