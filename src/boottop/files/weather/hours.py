"""Rows to whole hours: the step between rows, stamps beside the hour, doubles, and quarter hours summed or averaged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.table import HOUR_S, MAX_ROWS, Bools, Floats, Ints, Table, at_lines, refuse, utc_text

STEPS_S = (300, 600, 900, 1200, 1800, 3600)
SUMMED = ("rain_mm",)
AVERAGED = ("ghi_w_m2", "dni_w_m2", "dhi_w_m2", "longwave_w_m2")


@dataclass(frozen=True, kw_only=True)
class Hourly:
    """Values on every whole hour from `first_s`, NaN where there is none, shape (hour,)."""

    first_s: int
    values: Mapping[str, Floats]
    filled: Mapping[str, Bools]
    notes: tuple[str, ...]

    @property
    def hours(self) -> int:
        return len(self.values["air_c"])


def in_order(table: Table) -> tuple[Table, list[Problem], list[str]]:
    """Rows sorted, stamps set on the step, equal doubles dropped; with what was wrong and what was done."""
    problems = _disorder(table)
    order = np.argsort(table.epoch_s, kind="stable")
    table = _taken(table, order)
    step = step_s(table)
    table, aside, notes = _on_the_step(table, step)
    table, doubles, more = _without_doubles(table)
    return table, [*problems, *aside, *doubles], [*notes, *more]


def step_s(table: Table) -> int:
    """Seconds between rows, the commonest; refused when it is none of 5 to 60 minutes."""
    gaps = np.diff(table.epoch_s)
    gaps = gaps[gaps > 0]
    if not gaps.size:
        return HOUR_S
    kinds, counts = np.unique(gaps, return_counts=True)
    common = int(kinds[np.argmax(counts)])
    near = [step for step in STEPS_S if abs(step - common) <= step // 6]
    if near:
        return min(near, key=lambda step: abs(step - common))
    raise refuse(
        f"{table.where}, time",
        f"a row every {common / 60:g} minutes",
        allowed="a row every 5, 10, 15, 20, 30 or 60 minutes",
        advice="Get hourly data: what lies between rows further apart is not known.",
    )


def _taken(table: Table, rows: Ints) -> Table:
    return replace(
        table,
        epoch_s=table.epoch_s[rows],
        lines=table.lines[rows],
        values={name: values[rows] for name, values in table.values.items()},
        filled={name: marks[rows] for name, marks in table.filled.items()},
    )


def _disorder(table: Table) -> list[Problem]:
    back = np.flatnonzero(np.diff(table.epoch_s) < 0) + 1
    if not back.size:
        return []
    reversed_file = back.size == table.epoch_s.size - 1
    return [
        Problem(
            where=at_lines(table.where, table.lines[back]),
            found="the newest row first" if reversed_file else f"{utc_text(table.epoch_s[back[0]])} after a later time",
            allowed="rows in order of time",
            advice="Sort the rows by time, and check that no row was pasted into the wrong place.",
        )
    ]


def _on_the_step(table: Table, step: int) -> tuple[Table, list[Problem], list[str]]:
    """Stamps within a sixth of the step (10 min for hours) of a whole step are set on it; others are refused."""
    whole = (table.epoch_s + step // 2) // step * step
    beside = np.abs(table.epoch_s - whole)
    wrong = beside > step // 6
    problems, notes = [], []
    if wrong.any():
        first = int(np.flatnonzero(wrong)[0])
        problems.append(
            Problem(
                where=at_lines(f"{table.where}, time,", table.lines[wrong]),
                found=f"{utc_text(table.epoch_s[first])}, {beside[first] / 60:g} min beside the step",
                allowed=f"times within {step / 360:g} min of every {step // 60} min",
                advice="Give one row on every full step; leave special reports between them out.",
            )
        )
    if beside.any() and not wrong.any():
        notes.append(f"times: {int((beside > 0).sum())} stamps, up to {beside.max() / 60:g} min off, set on the step")
    return replace(table, epoch_s=whole.astype(np.int64)), problems, notes


def _without_doubles(table: Table) -> tuple[Table, list[Problem], list[str]]:
    again = np.flatnonzero(np.diff(table.epoch_s) == 0) + 1
    if not again.size:
        return table, [], []
    same = np.ones(again.size, dtype=np.bool_)
    for values in table.values.values():
        before, after = values[again - 1], values[again]
        same &= (before == after) | (np.isnan(before) & np.isnan(after))
    problems = []
    if not same.all():
        differing = again[~same]
        problems.append(
            Problem(
                where=at_lines(table.where, table.lines[differing]),
                found=f"{utc_text(table.epoch_s[differing[0]])} a second time, with other values",
                allowed="each time once",
                advice="Keep the right row. An hour twice every autumn means a wall clock: state its zone or offset.",
            )
        )
    keep = np.setdiff1d(np.arange(table.epoch_s.size), again)
    notes = [f"times: {int(same.sum())} rows given twice with the same values, read once"] if same.any() else []
    return _taken(table, keep), problems, notes


def to_hours(table: Table) -> Hourly:
    """Whole hours, from the first that is covered throughout.

    What holds at a time is taken at the hour, rain is summed and light averaged over the hour before it. An hour of
    which a part is missing has no sum and no average: missing is not dry.
    """
    step = step_s(table)
    per = HOUR_S // step
    first_s = int(-(-(table.epoch_s[0] - step) // HOUR_S) * HOUR_S) + HOUR_S
    hours = int(table.epoch_s[-1] - first_s) // HOUR_S + 1
    if hours * per > 4 * MAX_ROWS:
        apart = f"rows from {utc_text(table.epoch_s[0])} to {utc_text(table.epoch_s[-1])}"
        raise refuse(f"{table.where}, time", apart, allowed="a century at most", advice="Look for a wrong year.")
    if hours < 1:
        none = Problem(where=table.where, found="no full hour", allowed="a day or more", advice="Give a longer file.")
        raise InputError(none)
    steps = (table.epoch_s - (first_s - HOUR_S + step)) // step
    inside = (steps >= 0) & (steps < hours * per)
    values = {
        name: _hourly(name, _spread(steps[inside], raw[inside], hours * per), per) for name, raw in table.values.items()
    }
    filled: dict[str, Bools] = {name: np.zeros(hours, dtype=np.bool_) for name in values}
    for name, marks in table.filled.items():
        if name in filled:
            flat = _spread(steps[inside], marks[inside].astype(np.float64), hours * per)
            filled[name] = np.nan_to_num(flat).reshape(hours, per).max(axis=1) > 0
    notes = (
        ()
        if per == 1
        else (f"times: rows every {step // 60} min; rain summed, light averaged, the rest taken at the hour",)
    )
    return Hourly(first_s=first_s, values=values, filled=filled, notes=notes)


def _spread(steps: Ints, values: Floats, count: int) -> Floats:
    flat = np.full(count, np.nan)
    flat[steps] = values
    return flat


def _hourly(name: str, flat: Floats, per: int) -> Floats:
    block = flat.reshape(-1, per)
    if name in SUMMED:
        total: Floats = block.sum(axis=1)
        return total
    if name in AVERAGED:
        mean: Floats = block.mean(axis=1)
        return mean
    return block[:, -1].copy()
