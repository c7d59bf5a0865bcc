"""When the plan has the next step: of several tasks of one kind on a zone the one that lies where the step does."""

from __future__ import annotations

from boottop.job.board import BoardTable, BoardTask
from tests.job.small_board import COATED, PREPARED, ZONE, log, seconds, step, system, table

UNDER = "undercoat"


def task(kind: str, hours: float, *, zone: str | None = ZONE, coat: int | None = None) -> BoardTask:
    return BoardTask(
        key=f"{kind}/{zone}/{coat}/{hours}", kind=kind, label=kind, zone=zone, coat=coat,
        start_s=seconds(hours), end_s=seconds(hours + 0.5),
    )  # fmt: skip


PLAN = (
    task("abrade", 6.0), task("wipe", 6.75), task("primer_coat", 7.25, coat=1), task("abrade", 20.0),
    task("wipe", 21.0), task("coat", 22.0, coat=1), task("coat", 23.5, coat=2), task("launch", 45.0, zone=None),
)  # fmt: skip


def primed(*tasks: BoardTask) -> BoardTable:
    """One coat of primer under two of antifouling."""
    primer = system(product=UNDER, role="primer", coats=1)
    return table(primer, system(coats=2), tasks=tasks)


def test_abrading_and_wiping_before_the_first_coat_are_the_first_of_their_kind() -> None:
    assert step(log((5.0, "washed", {})), 5.5, primed(*PLAN)).planned_s == seconds(6.0)
    assert step(log(*PREPARED[:2]), 6.6, primed(*PLAN)).planned_s == seconds(6.75)


def test_sanding_an_undercoat_is_not_the_abrading_that_lies_behind() -> None:
    on = log(*PREPARED, (7.5, "coat_finished", {"product": UNDER}))
    found = step(on, 8.0, primed(*PLAN))
    assert (found.kind, found.planned_s) == ("sand", seconds(20.0))
    sanded = log(*PREPARED, (7.5, "coat_finished", {"product": UNDER}), (20.5, "abraded", {}))
    found = step(sanded, 20.75, primed(*PLAN))
    assert (found.kind, found.planned_s) == ("wipe", seconds(21.0))


def test_sanding_that_the_plan_does_not_know_has_no_time_in_it() -> None:
    """Rain on coat 1 of 2: the plan was made before it, and its sanding of the undercoat is long done."""
    rained = log(*COATED, (8.0, "rain", {"what": "began"}), (8.25, "rain", {"what": "ended"}))
    plan = primed(*PLAN[:3], task("abrade", 4.0), task("coat", 7.0, coat=1), task("coat", 8.75, coat=2))
    found = step(rained, 8.5, plan)
    assert (found.kind, found.because, found.planned_s) == ("sand", "rained_on", None)


def test_a_plan_without_the_last_coat_is_read_by_the_clock() -> None:
    """The log is ahead of the plan: what the plan has from the end of the coat on is still to come."""
    on = log(*PREPARED, (7.5, "coat_finished", {"product": UNDER}))
    found = step(on, 8.0, primed(task("abrade", 6.0), task("abrade", 20.0)))
    assert (found.kind, found.planned_s) == ("sand", seconds(20.0))


def test_tasks_of_the_whole_boat_are_found_wherever_the_zone_stands() -> None:
    on = log(*COATED, (8.75, "coat_finished", {"coat": 2}))
    found = step(on, 40.0, table(system(coats=2), tasks=PLAN))
    assert (found.kind, found.planned_s) == ("launch", seconds(45.0))
