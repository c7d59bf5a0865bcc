"""What state each zone is in at every time: by the log as far as it goes, by the plan from there on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from boottop.job.board import BoardSystem, BoardTable, BoardTask, BoardZone
from boottop.job.state import State
from boottop.plan.tasks import COAT_KIND
from boottop.record.film import begun_s

ROLE_OF = {kind: role for role, kind in COAT_KIND.items()}
PREPARING = {"strip": "s-strip", "abrade": "s-sand", "wipe": "s-clean", "activate": "s-bare"}


@dataclass(frozen=True, kw_only=True)
class Step:
    """From `at_s` on the zone looks like `look` (a key of hull_looks.STATES), with so many coats on it."""

    at_s: int
    look: str
    coats: int


@dataclass(frozen=True, kw_only=True)
class FilmStep:
    """From `at_s` on there is this much dry film, um, and which share that is of what the sheets ask for."""

    at_s: int
    dry_um: float
    share: float


@dataclass(frozen=True, kw_only=True)
class ZoneTimes:
    """One zone over time. `coats_due`: how many coats it gets in all; `log_until_s`: from where on the plan speaks."""

    steps: tuple[Step, ...]
    film: tuple[FilmStep, ...]
    coats_due: int


@dataclass(frozen=True, kw_only=True)
class _Work:
    """One piece of work on the zone; `end_s` None: begun and not written down as finished."""

    kind: str
    start_s: int
    end_s: int | None
    system: BoardSystem | None = None
    coat: int = 0
    litres: float | None = None


def zone_times(table: BoardTable, zone: BoardZone, state: State, *, dry_film_um: Mapping[str, float]) -> ZoneTimes:
    """The zone's states in order of time, and its film. `dry_film_um`: of one coat, by product.

    What the log has counts as it was written down; of the plan only what lies after the log's last entry and is not in
    the log. Where a coat hardens beyond the weather that is known, it stays fresh: no promise is made.
    """
    work = sorted(_work(table, zone, state), key=lambda one: (one.start_s, one.coat))
    due = sum(system.coats for system in zone.systems)
    steps: list[Step] = [Step(at_s=table.start_s, look="s-none", coats=0)]
    if zone.waits_for_stands is not None:
        moved = _stands_moved_s(table, zone.waits_for_stands, state)
        steps = [Step(at_s=table.start_s, look="s-pads", coats=0)]
        if moved is not None:
            steps.append(Step(at_s=moved, look="s-none", coats=0))
    on = 0
    for one in work:
        made = list(_steps(table, one, on, left=due))
        steps = [step for step in steps if step.at_s < made[0].at_s] + made if made else steps
        on += one.system is not None and one.end_s is not None
    return ZoneTimes(steps=tuple(steps), film=tuple(_film(work, zone, dry_film_um)), coats_due=due)


def at(steps: Sequence[Step], time_s: int) -> Step:
    """The step that holds at a time; the first before it."""
    return next((step for step in reversed(steps) if step.at_s <= time_s), steps[0])


def film_at(film: Sequence[FilmStep], time_s: int) -> FilmStep | None:
    """The film at a time, None before the first coat."""
    return next((step for step in reversed(film) if step.at_s <= time_s), None)


def _work(table: BoardTable, zone: BoardZone, state: State) -> Iterator[_Work]:
    known = state.zone(zone.name)
    written: set[tuple[str, int]] = set()
    if known is not None:
        times = {
            "strip": known.stripped_s, "abrade": known.abraded_s, "wipe": known.wiped_s, "activate": known.activated_s,
        }  # fmt: skip
        for kind, done_s in times.items():
            if done_s is not None:
                yield _Work(kind=kind, start_s=done_s, end_s=done_s)
        for coat in known.coats:
            system = next((one for one in zone.systems if one.product == coat.product), None)
            begin = begun_s(coat)
            if system is None or begin is None:
                continue
            written.add((system.role, coat.coat))
            yield _Work(
                kind="coat", start_s=begin, end_s=coat.finished_s, system=system, coat=coat.coat, litres=coat.litres
            )
    after = state.latest_s if state.latest_s is not None else table.start_s - 1
    for task in table.tasks:
        if _is_of(task, zone) and task.end_s > after:
            yield from _planned(task, zone, written)


def _is_of(task: BoardTask, zone: BoardZone) -> bool:
    """Whether a task of the plan works on the zone; what is done to the whole boat is done to her sides."""
    return task.zone == zone.name or (task.zone is None and zone.kind == "side" and task.kind in PREPARING)


def _planned(task: BoardTask, zone: BoardZone, written: set[tuple[str, int]]) -> Iterator[_Work]:
    if task.kind in PREPARING:
        yield _Work(kind=task.kind, start_s=task.end_s, end_s=task.end_s)
        return
    role = ROLE_OF.get(task.kind)
    system = next((one for one in zone.systems if one.role == role), None)
    number = task.coat or 1
    if system is not None and (system.role, number) not in written:
        yield _Work(kind="coat", start_s=task.start_s, end_s=task.end_s, system=system, coat=number)


def _stands_moved_s(table: BoardTable, stand_set: int, state: State) -> int | None:
    """When the stands of a set come off, by the log or else by the plan (which moves all sets at once)."""
    logged = next((one.at_s for one in state.stands if one.stand_set == stand_set), None)
    if logged is not None:
        return logged
    return next((task.end_s for task in table.tasks if task.kind == "move_stands"), None)


def _steps(table: BoardTable, work: _Work, on: int, *, left: int) -> Iterator[Step]:
    """What one piece of work makes of the zone, now and as time goes by."""
    if work.system is None:
        yield Step(at_s=work.start_s, look=PREPARING[work.kind], coats=on)
        return
    yield Step(at_s=work.start_s, look="s-wet", coats=on)
    if work.end_s is None:
        return
    if work.end_s > work.start_s:
        yield Step(at_s=work.end_s, look="s-wet", coats=on + 1)
    system, last = work.system, on + 1 >= left
    ready_s = _reached_s(table, system.ready, work.end_s)
    if ready_s is None:
        return
    yield Step(at_s=ready_s, look="s-hard" if last else "s-next", coats=on + 1)
    later = _reached_s(table, system.immersion if last else system.overcoat_until, work.end_s)
    if later is not None:
        yield Step(at_s=max(later, ready_s), look="s-done" if last else "s-late", coats=on + 1)


def _reached_s(table: BoardTable, marks: Sequence[int], end_s: int) -> int | None:
    """Time of the mark that a coat finished at `end_s` reaches; None beyond the weather."""
    finished = min(max(ceil((end_s - table.start_s) / table.slot_s), 0), table.count)
    mark = marks[finished]
    return None if mark >= table.beyond else table.start_s + mark * table.slot_s


def _film(work: Sequence[_Work], zone: BoardZone, dry_film_um: Mapping[str, float]) -> Iterator[FilmStep]:
    """Dry film after every finished coat: as the sheet says, or in the measure of the litres written down."""
    asked_um = sum(system.coats * dry_film_um.get(system.product, 0.0) for system in zone.systems)
    dry_um = 0.0
    for one in sorted(work, key=lambda each: each.end_s or 0):
        if one.system is None or one.end_s is None or asked_um <= 0.0:
            continue
        part = 1.0
        if one.litres is not None and one.system.litres_per_coat > 0.0:
            part = one.litres / one.system.litres_per_coat
        dry_um += part * dry_film_um.get(one.system.product, 0.0)
        yield FilmStep(at_s=one.end_s, dry_um=dry_um, share=dry_um / asked_um)
