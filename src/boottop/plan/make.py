"""From a job and its windows to a plan a person can follow: network, solver, words, bill."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta

from boottop.base.clock import SLOTS_PER_HOUR
from boottop.base.errors import BoottopError
from boottop.climate.climate import Climate
from boottop.measure.hull import Hull
from boottop.plan.because import because
from boottop.plan.because_blocks import Board
from boottop.plan.because_unused import unused
from boottop.plan.calendar import said
from boottop.plan.early import preparation_early
from boottop.plan.evaluate import network_violations
from boottop.plan.inputs import PlanInput, WindowKey
from boottop.plan.make_begun import solved
from boottop.plan.network import Placed, Solution
from boottop.plan.plan import CostLine, Plan, PlannedTask, Status, TaskState
from boottop.plan.progress import Progress
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork, PastPart
from boottop.plan.rules_modes import HELPER, TENT
from boottop.plan.rules_progress import Begun
from boottop.plan.ways_out import Trial, why_none
from boottop.windows.windows import ZoneWindows


def make_plan(  # noqa: PLR0913 - one argument a room, and the state of the work
    inputs: PlanInput,
    hull: Hull,
    *,
    windows: Mapping[WindowKey, ZoneWindows],
    climate: Climate,
    time_limit_s: float,
    on_first: Callable[[Plan], None] | None = None,
    tent_climate: Climate | None = None,
    progress: Progress | None = None,
) -> Plan:
    """The cheapest plan, then the earliest afloat, then the one with most weather to spare.

    With `progress` what was done stands as it was done, with its cost, and only what is still to come is planned.
    `on_first` is given the first plan that keeps every rule, before it is improved. Where no plan exists the result
    says why and what would make one. InputError when the job itself is wrong.
    """
    told: list[Solution] = []

    def lay(begun: Begun | None) -> JobNetwork:
        return network_for(
            inputs, hull, windows=windows, climate=climate, tent_climate=tent_climate, begun=begun
        )  # fmt: skip

    def first(job: JobNetwork, solution: Solution, /) -> None:
        if on_first is not None and not told:
            told.append(solution)
            on_first(_plan_of(job, solution, climate=climate, words=False))

    found = solved(lay, progress, time_limit_s=time_limit_s, told=first)
    if found.solution.placed:
        return _plan_of(found.job, found.solution, climate=climate)
    trial = Trial(
        job=found.job, hull=hull, windows=windows, climate=climate, tent_climate=tent_climate,
        time_limit_s=time_limit_s, begun=found.begun,
    )  # fmt: skip
    return _no_plan(trial, found.solution, climate=climate)


def _plan_of(job: JobNetwork, solution: Solution, *, climate: Climate, words: bool = True) -> Plan:
    """The plan of a solution; without `words` (the reasons of each start, the idle hours) it is ready at once."""
    board = preparation_early(Board(job=job, solution=solution))
    if broken := network_violations(job.network, board.solution):
        raise BoottopError("the plan broke its rules while its preparation was moved forward: " + "; ".join(broken))
    tasks = [line for place in board.solution.placed for line in _lines(board, place, words=words)]
    tasks += _drying(board)
    by_key = {task.key: task for task in tasks}
    return Plan(
        status=_status(solution),
        tasks=tuple(sorted(tasks, key=lambda task: (task.start, task.end, task.key))),
        options=solution.options,
        cost_minor=solution.cost_minor,
        cost_lines=_bill(board),
        currency=job.inputs.currency,
        haul_out=by_key["haul_out"].start,
        launch=by_key["launch"].start,
        reasons=(),
        ways_out=(),
        report=solution.report,
        findings=_findings(board, climate),
        unused=unused(board) if words else (),
    )


def _status(solution: Solution) -> Status:
    for status in ("optimal", "feasible", "infeasible"):
        if solution.status == status:
            return status
    return "unknown"


def _no_plan(trial: Trial, solution: Solution, *, climate: Climate) -> Plan:
    status = _status(solution)
    reasons, ways = why_none(trial) if status == "infeasible" else (_not_found(solution), ())
    return Plan(
        status=status,
        tasks=(),
        options=(),
        cost_minor=None,
        cost_lines=(),
        currency=trial.job.inputs.currency,
        haul_out=None,
        launch=None,
        reasons=reasons,
        ways_out=ways,
        report=solution.report,
        findings=(*trial.job.findings, *climate.notes),
    )


def _not_found(solution: Solution) -> tuple[str, ...]:
    return (
        f"Neither a plan nor a proof that there is none was found in {solution.report.total_s:.0f} s. Give more time.",
    )


def _lines(board: Board, place: Placed, *, words: bool) -> list[PlannedTask]:
    """The lines of one task of the solver; what follows within it is done straight after."""
    facts, grid = board.facts(place.key), board.job.calendar.grid
    slack = board.modes[place.key].slack
    past = [_happened(board, place, part) for part in facts.past]
    if facts.pinned:
        return past
    lines: list[PlannedTask] = []
    for part, first, end in facts.spans(place.mode, place.start):
        why = _why(board, place.key) if words and not lines else ""
        lines.append(
            PlannedTask(
                key=part.key,
                kind=part.kind,
                zone=part.zone,
                coat=part.coat,
                product=part.product,
                start=grid.time_of(first),
                end=grid.time_of(end),
                people=facts.people[place.mode],
                mode=place.mode,
                because="straight after what comes before it" if lines else why,
                under_tent=_sheltered(board, first),
                slack_h=None if slack is None or part.coat is None else int(slack[place.start]) / SLOTS_PER_HOUR,
            )
        )
    return past + lines


def _why(board: Board, key: str) -> str:
    """What binds a start; first what made the task necessary, where that was no rule of the sheet's plain way."""
    says, needed = because(board, key), board.job.why.get(key, "")
    return says if not needed or needed in says else f"{needed}; {says}"


_PAST_SAYS: Mapping[TaskState, str] = {
    "done": "done, as written down",
    "taken as done": "taken as done, for later work was",
    "in hand": "in hand",
    "to do": "straight after what is in hand",
}


def _happened(board: Board, place: Placed, past: PastPart) -> PlannedTask:
    """A line of what was done or is in hand, at the times that were written down."""
    facts, grid, part = board.facts(place.key), board.job.calendar.grid, past.part
    mode = place.mode if place.mode in facts.people else next(iter(facts.people))
    return PlannedTask(
        key=part.key,
        kind=part.kind,
        zone=part.zone,
        coat=part.coat,
        product=part.product,
        start=past.begun or grid.time_of(past.start),
        end=past.ended or grid.time_of(past.end),
        people=past.people,
        mode=mode,
        because=_PAST_SAYS[past.state],
        under_tent=_sheltered(board, past.start),
        state=past.state,
    )


def _sheltered(board: Board, slot: int) -> bool:
    """Whether the tent stands over the boat in a slot."""
    span = board.job.tent_span
    return span is not None and TENT in board.solution.options and span[0] <= slot < span[1]


def _drying(board: Board) -> list[PlannedTask]:
    """The laminate's drying after stripping: nobody's work, shown because everything waits for it."""
    grid, found = board.job.calendar.grid, []
    for strip, (zone, by_mode) in board.job.drying.items():
        start, earliest = board.placed[strip].finish, by_mode[board.placed[strip].mode]
        found.append(
            PlannedTask(
                key=f"dry/{zone}",
                kind="dry",
                zone=zone,
                coat=None,
                product=None,
                start=grid.time_of(start),
                end=grid.time_of(int(earliest[start])),
                people=0,
                mode="",
                because=f"the hours asked for after {board.facts(strip).label}",
            )
        )
    return found


def _bill(board: Board) -> tuple[CostLine, ...]:
    """Every line of the bill; they sum to the solver's cost or it is our own fault."""
    inputs, calendar = board.job.inputs, board.job.calendar
    money, yard, hire = board.job.network.money, inputs.yard, inputs.hire
    afloat = int(calendar.day_of_mark()[board.placed[money.last].finish])
    days = afloat - int(calendar.day[board.placed[money.first].start]) + 1
    labour = sum(mode.cost_minor for mode in board.modes.values())
    lines = [
        CostLine(what="Lift out and lift in", amount_minor=2 * yard.lift_charge_minor),
        CostLine(what=f"{_days(days)} ashore", amount_minor=days * yard.day_charge_minor),
        CostLine(what=f"Labour of the crew, {_crew_hours(board):g} hours", amount_minor=labour),
    ]
    for key, what, amount in ((TENT, "Tent", hire.tent_cost_minor), (HELPER, "Helper", hire.helper_cost_minor)):
        if key in board.solution.options:
            lines.append(CostLine(what=what, amount_minor=amount))
    wanted = inputs.wishes.wanted_launch
    if wanted is not None and (late := afloat - wanted.toordinal()) > 0:
        lines.append(
            CostLine(what=f"{_days(late)} later than wanted", amount_minor=late * inputs.wishes.late_day_minor)
        )
    total = sum(line.amount_minor for line in lines)
    if total != board.solution.cost_minor:
        raise BoottopError(f"the lines of the bill sum to {total}, the plan costs {board.solution.cost_minor}")
    return tuple(lines)


def _days(count: int) -> str:
    return f"{count} day" if count == 1 else f"{count} days"


def _crew_hours(board: Board) -> float:
    """Hours that the crew's own people work, as paid."""
    slots, most = 0, board.job.inputs.crew.people
    for key, place in board.placed.items():
        facts = board.facts(key)
        slots += sum(min(past.people, most) * past.slots for past in facts.past)
        if not facts.pinned:
            slots += min(facts.people[place.mode], most) * sum(part.slots[place.mode] for part in facts.parts)
    return slots / SLOTS_PER_HOUR


def _findings(board: Board, climate: Climate) -> tuple[str, ...]:
    """What a person should know that the plan itself does not show."""
    job = board.job
    found = list(job.findings)
    if (move := board.placed.get("move_stands")) is not None and move.start >= job.from_slot:
        lead_h = job.inputs.yard.stand_lead_h
        start = job.calendar.local(move.start)
        by = said(start - timedelta(hours=lead_h))
        found.append(f"Ask the yard by {by} to move the stands on {said(start)} ({lead_h:g} h notice).")
    found += _dew(board)
    notes = [
        note
        for key, place in board.placed.items()
        if (cover := board.facts(key).covers.get(place.mode)) is not None
        for note in cover.windows_at(place.start).notes
    ]
    return tuple(dict.fromkeys([*found, *notes, *climate.notes]))


def _dew(board: Board) -> list[str]:
    """Dew on a film that is not yet rain-safe: no rule of the sheet, but it may blush or spot."""
    found = []
    for key, place in sorted(board.placed.items(), key=lambda item: item[1].start):
        facts = board.facts(key)
        cover = facts.covers.get(place.mode)
        if cover is None or facts.parts[-1].coat is None or place.finish < board.job.from_slot:
            continue
        if (mark := cover.windows_at(place.start).dew_before_safe(place.finish)) is not None:
            found.append(
                f"Dew forms on {facts.label} at {board.job.calendar.said(mark)}, before it is rain-safe: the film may "
                "blush or spot (common practice, no source)."
            )
    return found
