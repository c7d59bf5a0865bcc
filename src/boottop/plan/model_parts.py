"""Variables and constraints of the CP-SAT model of a narrowed job, one function a family.

Bounds that depend on a time are cut into pieces, a literal each: piece holds => time within it and the bound with its
constant lag. One piece is a plain precedence and costs no literal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import reduce
from math import gcd

import numpy as np
from ortools.sat.python import cp_model

from boottop.plan.model_domains import Masks, Reach, Tables
from boottop.plan.model_pieces import (
    Ints,
    Piece,
    cut,
    idle_above,
    idle_below,
    play_above,
    play_below,
)
from boottop.plan.network import Resource

Expr = cp_model.LinearExprT
Literal = cp_model.LiteralT


@dataclass(kw_only=True)
class TaskVars:
    """Variables of one task. `rows`: live modes; `holds`: the literal of each, None when it is the only one."""

    start: cp_model.IntVar
    end: Expr
    starts: Ints
    ends: Ints
    rows: list[int]
    holds: dict[int, cp_model.IntVar | None]
    length: int | None


@dataclass(frozen=True, kw_only=True)
class Mark:
    """When a helper literal is true: a time of `task` (start or end) within opens..closes, done in mode `row`."""

    literal: cp_model.IntVar
    task: int
    by_end: bool
    opens: int
    closes: int
    row: int | None = None


@dataclass(kw_only=True)
class Built:
    """The model under construction and what is needed to hint it and to read it."""

    tables: Tables
    masks: Masks
    model: cp_model.CpModel
    tasks: list[TaskVars] = field(default_factory=list)
    options: dict[str, cp_model.IntVar] = field(default_factory=dict)
    marks: list[Mark] = field(default_factory=list)
    day_literals: dict[int, dict[int, cp_model.IntVar | None]] = field(default_factory=dict)
    terms: list[tuple[int, Expr]] = field(default_factory=list)
    base: int = 0

    @property
    def unit(self) -> int:
        """The largest amount all costs are multiples of, beyond the base."""
        return reduce(gcd, (coefficient for coefficient, _ in self.terms), 0) or 1

    @property
    def cost_units(self) -> Expr:
        """Cost beyond the base, in units."""
        expressions = [expr for _, expr in self.terms]
        return cp_model.LinearExpr.weighted_sum(expressions, [number // self.unit for number, _ in self.terms])

    def literal(self, task: int, by_end: bool, *, piece: tuple[int, int], row: int | None = None) -> cp_model.IntVar:
        """A literal that holds only while the time of `task` lies within the piece (and the mode is `row`)."""
        made = self.model.new_bool_var("")
        var = self.tasks[task].end if by_end else self.tasks[task].start
        self.model.add_linear_constraint(var, piece[0], piece[1]).only_enforce_if(made)
        holds = None if row is None else self.tasks[task].holds[row]
        if holds is not None:
            self.model.add_implication(made, holds)
        self.marks.append(Mark(literal=made, task=task, by_end=by_end, opens=piece[0], closes=piece[1], row=row))
        return made


def add_task(built: Built, number: int) -> None:
    mask, finish = built.masks[number], built.tables.finish[number]
    rows = [row for row in range(len(mask)) if mask[row].any()]
    starts = np.flatnonzero(mask.any(axis=0)).astype(np.int64)
    ends = np.unique(finish[mask]).astype(np.int64)
    start = built.model.new_int_var_from_domain(cp_model.Domain.from_values(starts.tolist()), f"s{number}")
    holds: dict[int, cp_model.IntVar | None] = dict.fromkeys(rows)
    if len(rows) > 1:
        for row in rows:
            holds[row] = built.model.new_bool_var(f"m{number}_{row}")
        built.model.add_exactly_one(literal for literal in holds.values() if literal is not None)
    lags = {row: np.unique(finish[row][mask[row]] - np.flatnonzero(mask[row])) for row in rows}
    same = np.unique(np.concatenate(list(lags.values())))
    length = int(same[0]) if len(same) == 1 else None
    end: Expr = start + length if length is not None else _end_var(built, ends)
    task = TaskVars(start=start, end=end, starts=starts, ends=ends, rows=rows, holds=holds, length=length)
    built.tasks.append(task)
    for row in rows:
        _add_mode(built, number, row, lags=[int(lag) for lag in lags[row]])


def _end_var(built: Built, ends: Ints) -> cp_model.IntVar:
    return built.model.new_int_var_from_domain(cp_model.Domain.from_values(ends.tolist()), "")


def _add_mode(built: Built, number: int, row: int, *, lags: list[int]) -> None:
    task, mask = built.tasks[number], built.masks[number][row]
    holds = task.holds[row]
    mine = np.flatnonzero(mask).astype(np.int64)
    if holds is not None and len(mine) < len(task.starts):
        domain = cp_model.Domain.from_values(mine.tolist())
        built.model.add_linear_expression_in_domain(task.start, domain).only_enforce_if(holds)
    if task.length is not None:
        return
    if len(lags) == 1:
        same = built.model.add(task.end == task.start + lags[0])
        if holds is not None:
            same.only_enforce_if(holds)
        return
    finish = built.tables.finish[number][row][mine].astype(np.int64)
    pieces = cut(mine, finish, finish)
    literals = [built.literal(number, False, piece=(piece.opens, piece.closes), row=row) for piece in pieces]
    for piece, literal in zip(pieces, literals, strict=True):
        built.model.add(task.end == _value(piece, task.start)).only_enforce_if(literal)
    _one_of(built, literals, holds)


def _one_of(built: Built, literals: Sequence[cp_model.IntVar], holds: cp_model.IntVar | None) -> None:
    """Exactly one of the literals, or none of them while the mode does not hold."""
    if holds is None:
        built.model.add_exactly_one(literals)
    else:
        built.model.add_exactly_one([*literals, ~holds])


def _value(piece: Piece, var: Expr) -> Expr:
    return var + piece.value if piece.lag else piece.value


def add_options(built: Built) -> None:
    network = built.tables.network
    for option in network.options:
        built.options[option.key] = built.model.new_bool_var(f"o_{option.key}")
    for option in network.options:
        for other in option.excludes:
            built.model.add_bool_or([~built.options[option.key], ~built.options[other]])
    for task, task_vars in zip(network.tasks, built.tasks, strict=True):
        for row in task_vars.rows:
            holds = task_vars.holds[row]
            clause = [] if holds is None else [~holds]
            for key in task.modes[row].needs:
                built.model.add_bool_or([*clause, built.options[key]])
            for key in task.modes[row].without:
                built.model.add_bool_or([*clause, ~built.options[key]])


@dataclass(frozen=True, kw_only=True)
class Side:
    """One side of a link as a function of one time of the task before, for all its modes or for one."""

    task: int
    by_end: bool
    row: int | None
    times: Ints
    bound: Ints


def add_link(built: Built, reach: Reach) -> None:
    allowed = built.tasks[reach.after].starts
    for above, table in ((True, reach.low), (False, reach.high)):
        bound = table[built.masks[reach.before]].astype(np.int64)
        if (idle_above if above else idle_below)(bound, allowed):
            continue
        sides = _sides(built, reach.before, table.astype(np.int64))
        add_bound(built, sides, above=above, target=(built.tasks[reach.after].start, allowed))


def _sides(built: Built, number: int, table: Ints) -> list[Side]:
    """The bound by finish or by start where all modes agree on it, else mode by mode."""
    mask, finish = built.masks[number], built.tables.finish[number].astype(np.int64)
    slots = np.broadcast_to(np.arange(mask.shape[1], dtype=np.int64), mask.shape)
    for by_end, clock in ((True, finish), (False, slots)):
        merged = _merge(clock[mask], table[mask])
        if merged is not None:
            return [Side(task=number, by_end=by_end, row=None, times=merged[0], bound=merged[1])]
    rows = built.tasks[number].rows
    return [
        Side(task=number, by_end=False, row=row, times=slots[row][mask[row]], bound=table[row][mask[row]])
        for row in rows
    ]


def _merge(times: Ints, bound: Ints) -> tuple[Ints, Ints] | None:
    unique, first = np.unique(times, return_index=True)
    agreed = bound[first]
    return (unique, agreed) if bool((agreed[np.searchsorted(unique, times)] == bound).all()) else None


def add_bound(built: Built, sides: Sequence[Side], *, above: bool, target: tuple[Expr, Ints]) -> None:
    """`target` at or above (or at or below) the bound, cut into pieces."""
    var, allowed = target
    whole = len(sides) == 1
    for side in sides:
        play = play_above(side.bound, allowed) if above else play_below(side.bound, allowed)
        pieces = cut(side.times, *play)
        clock = built.tasks[side.task].end if side.by_end else built.tasks[side.task].start
        holds = None if side.row is None else built.tasks[side.task].holds[side.row]
        if len(pieces) == 1:
            value = _value(pieces[0], clock)
            only = built.model.add(var >= value if above else var <= value)
            if holds is not None:
                only.only_enforce_if(holds)
            continue
        literals = [built.literal(side.task, side.by_end, piece=(p.opens, p.closes), row=side.row) for p in pieces]
        for piece, literal in zip(pieces, literals, strict=True):
            value = _value(piece, clock)
            built.model.add(var >= value if above else var <= value).only_enforce_if(literal)
        _one_of(built, literals, holds)
        if whole:
            lag = int((play[1] - side.times).min() if above else (play[0] - side.times).max())
            if abs(lag) < built.tables.network.count:
                built.model.add(var >= clock + lag if above else var <= clock + lag)


def add_days(built: Built) -> None:
    for number, group in enumerate(built.tables.groups):
        task, days = group.tasks[0], group.days[0]
        live = np.unique(days[built.masks[task]]).tolist()
        literals: dict[int, cp_model.IntVar | None] = dict.fromkeys(live)
        if len(live) > 1:
            for day in live:
                slots = np.flatnonzero(group.group.day == day)
                literal = built.literal(task, False, piece=(int(slots[0]), int(slots[-1])))
                literals[day] = literal
                for other in group.tasks[1:]:
                    start = built.tasks[other].start
                    built.model.add_linear_constraint(start, slots[0], slots[-1]).only_enforce_if(literal)
            built.model.add_exactly_one(literal for literal in literals.values() if literal is not None)
        for other in group.tasks:
            built.day_literals.setdefault(other, literals)
        built.day_literals.setdefault(-1 - number, literals)


def add_apart(built: Built) -> None:
    for apart in built.tables.network.apart:
        sides = []
        for keys in (apart.first, apart.second):
            by_day = [_days_of(built, built.tables.index[key], apart.day) for key in keys]
            distinct = list({id(literals): literals for literals in by_day}.values())
            sides.append(distinct)
        for one in sides[0]:
            for two in sides[1]:
                for day in one.keys() & two.keys():
                    pair = [literal for literal in (one[day], two[day]) if literal is not None]
                    built.model.add_bool_or([~literal for literal in pair])


def _days_of(built: Built, task: int, day: Ints) -> dict[int, cp_model.IntVar | None]:
    """A literal for each day the task may start on, shared with its day group where it has one."""
    if task not in built.day_literals:
        live = np.unique(day[built.tasks[task].starts]).tolist()
        literals: dict[int, cp_model.IntVar | None] = dict.fromkeys(live)
        if len(live) > 1:
            for number in live:
                slots = np.flatnonzero(day == number)
                literals[number] = built.literal(task, False, piece=(int(slots[0]), int(slots[-1])))
            built.model.add_exactly_one(literal for literal in literals.values() if literal is not None)
        built.day_literals[task] = literals
    return built.day_literals[task]


def add_resource(built: Built, resource: Resource) -> None:
    intervals: list[cp_model.IntervalVar] = []
    demands: list[int] = []
    for number, task in enumerate(built.tasks):
        modes = built.tables.network.tasks[number].modes
        units = {row: modes[row].uses.get(resource.name, 0) for row in task.rows}
        if len(set(units.values())) == 1:
            if units[task.rows[0]] and task.length != 0:
                intervals.append(_interval(built, task, None))
                demands.append(units[task.rows[0]])
            continue
        for row, unit in units.items():
            if unit:
                intervals.append(_interval(built, task, task.holds[row]))
                demands.append(unit)
    if intervals:
        built.model.add_cumulative(intervals, demands, _capacity(built, resource))


def _interval(built: Built, task: TaskVars, holds: cp_model.IntVar | None) -> cp_model.IntervalVar:
    size: Expr = task.length if task.length is not None else built.model.new_int_var(0, built.tables.network.count, "")
    if holds is None:
        return built.model.new_interval_var(task.start, size, task.end, "")
    return built.model.new_optional_interval_var(task.start, size, task.end, holds, "")


def _capacity(built: Built, resource: Resource) -> Expr:
    extra = {key: units for key, units in resource.extra.items() if key in built.options and units}
    if not extra:
        return resource.capacity
    total = resource.capacity + sum(units * built.options[key] for key, units in extra.items())
    if len(extra) == 1:
        return total
    least = resource.capacity + sum(min(units, 0) for units in extra.values())
    pool = built.model.new_int_var(least, resource.capacity + sum(max(units, 0) for units in extra.values()), "")
    built.model.add(pool == total)
    return pool
