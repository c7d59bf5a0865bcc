"""Ways to spoil a sound plan, each of which one rule of the checker must notice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from boottop.coating.sheet import Times
from boottop.plan.checker import Evidence
from boottop.plan.checker_facts import QUARTER, quarters
from boottop.plan.plan import PlannedTask
from tests.demo_job import with_tasks
from tests.plan.carried_out import carried_out

HOUR = timedelta(hours=1)
COAT = "coat/port side/1"
LAST = "coat/port side/4"
Spoil = Callable[[Evidence], Evidence]


@dataclass(frozen=True, kw_only=True)
class Mutant:
    """One spoilt plan: what was done to it, and what the fault must say (task and limit), as a pattern."""

    name: str
    spoil: Spoil
    says: str


def task_of(evidence: Evidence, key: str) -> PlannedTask:
    """The task of a key."""
    return next(task for task in evidence.plan.tasks if task.key == key)


def changed(evidence: Evidence, pick: Callable[[PlannedTask], bool], **fields: object) -> Evidence:
    """Some tasks with other fields."""

    def change(task: PlannedTask) -> PlannedTask:
        return replace(task, **fields) if pick(task) else task  # type: ignore[arg-type]  # fields by name

    return replace(evidence, plan=with_tasks(evidence.plan, change))


def dropped(evidence: Evidence, pick: Callable[[PlannedTask], bool]) -> Evidence:
    """Some tasks left out."""
    return replace(evidence, plan=with_tasks(evidence.plan, lambda task: None if pick(task) else task))


def put_at(evidence: Evidence, key: str, start: datetime) -> Evidence:
    """A task at another time, as long as before."""
    task = task_of(evidence, key)
    return changed(evidence, lambda one: one.key == key, start=start, end=start + (task.end - task.start))


def shifted(key: str, by: timedelta) -> Spoil:
    """Move one task."""
    return lambda evidence: put_at(evidence, key, task_of(evidence, key).start + by)


def at_three_in_the_morning(key: str) -> Spoil:
    """Move one task into the night of its day, 3 o'clock in New York in summer."""
    return lambda evidence: put_at(evidence, key, task_of(evidence, key).start.replace(hour=7))


def kind_shifted(kind: str, by: timedelta) -> Spoil:
    """Move every task of a kind."""

    def spoil(evidence: Evidence) -> Evidence:
        for task in evidence.all_of(kind):
            evidence = put_at(evidence, task.key, task.start + by)
        return evidence

    return spoil


def shown_by(evidence: Evidence, holds: Callable[[datetime], bool]) -> datetime:
    """First quarter of an hour after the haul-out of which something holds; its start."""
    start = task_of(evidence, "haul_out").end
    return next(when for when in quarters(start, evidence.climate.grid.end - 12 * HOUR) if holds(when)) - QUARTER / 2


def into(holds: Callable[[Evidence, datetime], bool]) -> Spoil:
    """Move the first coat of the port side to the first time of which something holds."""
    return lambda evidence: put_at(evidence, COAT, shown_by(evidence, lambda when: holds(evidence, when)))


def rains(evidence: Evidence, when: datetime) -> bool:
    """It rains in the quarter of an hour around this time."""
    return evidence.sky.rain_mm(when - QUARTER / 2, when + QUARTER / 2) > 0.1


def skins(evidence: Evidence, when: datetime) -> tuple[float, float]:
    """Coldest and warmest patch of the port side."""
    skin = evidence.skin(task_of(evidence, COAT))
    temperatures = [skin.surface_c(row, when) for row in skin.rows]
    return min(temperatures), max(temperatures)


def in_the_rain(key: str) -> Spoil:
    """Move a task to the first rain in the forenoon."""

    def wet_morning(evidence: Evidence, when: datetime) -> bool:
        return 12 <= when.hour < 16 and rains(evidence, when)

    return lambda evidence: put_at(evidence, key, shown_by(evidence, lambda when: wet_morning(evidence, when)))


def cold(evidence: Evidence, when: datetime) -> bool:
    """The port side is well below the least temperature of the sheet."""
    return skins(evidence, when)[0] < evidence.system(task_of(evidence, COAT)).sheet.limits.surface_min_c - 1.0


def near_dew(evidence: Evidence, when: datetime) -> bool:
    """The port side is too near the dew point."""
    return skins(evidence, when)[0] - evidence.sky.dew_c(when) < 1.5


def humid(evidence: Evidence, when: datetime) -> bool:
    """The air is more humid than the sheet allows."""
    return evidence.sky.humidity(when) > 0.9


def cold_air(evidence: Evidence, when: datetime) -> bool:
    """The air is colder than the sheet allows."""
    return evidence.sky.air_c(when) < 7.0


def before_rain(evidence: Evidence) -> Evidence:
    """The coat ends dry, a quarter of an hour before the rain."""
    task = task_of(evidence, COAT)
    length = task.end - task.start

    def dry_then_rain(when: datetime) -> bool:
        end = when + length + QUARTER / 2
        return evidence.sky.rain_mm(when - QUARTER / 2, end) == 0.0 and rains(evidence, end + 1.5 * QUARTER)

    return put_at(evidence, COAT, shown_by(evidence, dry_then_rain))


def sheet_changed(product: str, **fields: object) -> Spoil:
    """Judge the plan by another data sheet."""

    def spoil(evidence: Evidence) -> Evidence:
        systems = tuple(
            replace(system, sheet=replace(system.sheet, **fields)) if system.sheet.name == product else system  # type: ignore[arg-type]  # fields by name
            for system in evidence.inputs.systems
        )
        return replace(evidence, inputs=replace(evidence.inputs, systems=systems))

    return spoil


def straight_after(key: str, before: str) -> Spoil:
    """Start a task the moment another ends."""
    return lambda evidence: put_at(evidence, key, task_of(evidence, before).end)


def launched(hours_after: float, key: str) -> Spoil:
    """Launch so many hours after a task ends, the plan's own launch with it."""

    def spoil(evidence: Evidence) -> Evidence:
        start = task_of(evidence, key).end + hours_after * HOUR
        moved = put_at(evidence, "launch", start)
        return replace(moved, plan=replace(moved.plan, launch=start))

    return spoil


def billed(by_minor: int, *, cost_too: bool) -> Spoil:
    """Falsify the first line of the bill, and the cost with it or not."""

    def spoil(evidence: Evidence) -> Evidence:
        first, *others = evidence.plan.cost_lines
        lines = (replace(first, amount_minor=first.amount_minor + by_minor), *others)
        assert evidence.plan.cost_minor is not None
        cost = evidence.plan.cost_minor + (by_minor if cost_too else 0)
        return replace(evidence, plan=replace(evidence.plan, cost_lines=lines, cost_minor=cost))

    return spoil


def yard_closed_on(kind: str) -> Spoil:
    """Judge the plan with a holiday on the day of a task."""

    def spoil(evidence: Evidence) -> Evidence:
        day = evidence.all_of(kind)[0].start.date()
        return replace(evidence, inputs=replace(evidence.inputs, yard=replace(evidence.inputs.yard, closed=(day,))))

    return spoil


def no_time_at_all(key: str) -> Spoil:
    """Leave a quarter of an hour for a task."""
    return lambda evidence: changed(evidence, lambda task: task.key == key, end=task_of(evidence, key).start + QUARTER)


def crowded(kind: str, people: int) -> Spoil:
    """More hands at the tasks of one kind."""
    return lambda evidence: changed(evidence, lambda task: task.kind == kind, people=people)


def without(pick: Callable[[PlannedTask], bool]) -> Spoil:
    """Leave tasks out."""
    return lambda evidence: dropped(evidence, pick)


def tented(*, hired: bool) -> Spoil:
    """The first coat of the port side under a tent: one not hired, or one taken down before."""

    def spoil(evidence: Evidence) -> Evidence:
        task = task_of(evidence, COAT)
        hire = replace(evidence.inputs.hire, tent_from=task.start - 24 * HOUR, tent_to=task.start + QUARTER)
        spoilt = changed(evidence, lambda one: one.key == COAT, under_tent=True)
        options = ("tent",) if hired else ()
        return replace(spoilt, plan=replace(spoilt.plan, options=options), inputs=replace(evidence.inputs, hire=hire))

    return spoil


def cheaper_than_hire(evidence: Evidence) -> Evidence:
    """A tent taken that costs more than the whole bill."""
    assert evidence.plan.cost_minor is not None
    hire = replace(evidence.inputs.hire, tent_cost_minor=evidence.plan.cost_minor)
    return replace(evidence, plan=replace(evidence.plan, options=("tent",)), inputs=replace(evidence.inputs, hire=hire))


def unnamed_primer(evidence: Evidence) -> Evidence:
    """The primer without named zones: it then goes on metal gear alone."""
    systems = tuple(
        replace(system, zones=()) if system.role == "primer" else system for system in evidence.inputs.systems
    )
    return replace(evidence, inputs=replace(evidence.inputs, systems=systems))


def in_a_shed(evidence: Evidence) -> Evidence:
    """The first coat while it rains, but under a roof."""
    return replace(into(rains)(evidence), roofed=True)


def halfway(evidence: Evidence) -> Evidence:
    """The same plan when the port side is coated and nothing of the starboard side."""
    at = task_of(evidence, LAST).end + HOUR
    return replace(evidence, progress=carried_out(evidence.plan, at))


def unsaid(key: str) -> Spoil:
    """Halfway, one task was not written down."""

    def spoil(evidence: Evidence) -> Evidence:
        begun, task = halfway(evidence), task_of(evidence, key)
        assert begun.progress is not None
        place = (task.kind, task.zone, task.coat)
        deeds = tuple(deed for deed in begun.progress.deeds if deed.place != place)
        return replace(begun, progress=replace(begun.progress, deeds=deeds))

    return spoil


def left_out_though_done(key: str) -> Spoil:
    """Halfway, one task that was done is not in the plan."""
    return lambda evidence: dropped(halfway(evidence), lambda task: task.key == key)


SHORT = Times(temperature_c=(-20.0, 60.0), hours=(0.3, 0.2))
A_DAY = Times(temperature_c=(-20.0, 60.0), hours=(24.0, 12.0))
COPPER = "Demo copper epoxy A"
