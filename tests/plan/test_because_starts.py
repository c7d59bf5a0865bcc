"""Every start has its reason, and the reason is the rule that really binds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from boottop.plan.because import because
from boottop.plan.because_blocks import Board, blocks
from boottop.plan.because_closed import closed_block
from boottop.plan.because_days import one_day_coats, room_on
from boottop.plan.because_unused import unused
from boottop.plan.early import EARLY_KINDS, preparation_early
from boottop.plan.evaluate import network_violations
from boottop.plan.inputs import PlanInput
from boottop.plan.model import solve
from boottop.plan.network import Placed
from boottop.plan.rules import network_for
from boottop.windows.windows import Rule
from tests.plan import jobs


def solved(job: PlanInput | None = None, sky: jobs.Sky | None = None) -> Board:
    job, sky, boat = job or jobs.with_wishes(jobs.inputs(), sides="side_a_day"), sky or jobs.Sky(), jobs.hull()
    network = network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    solution = solve(network.network, time_limit_s=20.0, workers=1, secondary=False)
    assert solution.status == "optimal"
    return preparation_early(Board(job=network, solution=solution))


def hauled_first_thing() -> PlanInput:
    """The small job, one side a day, with a single lift slot for the haul-out."""
    slots = (jobs.local(0, "09:00"), *(slot for slot in jobs.inputs().yard.lift_slots if slot > jobs.local(6)))
    return jobs.with_wishes(jobs.with_yard(jobs.inputs(), lift_slots=slots), sides="side_a_day")


def moved(board: Board, key: str, start: int) -> Board:
    """The same plan with one task put elsewhere, whether that keeps the rules or not."""
    mode = board.modes[key]
    place = Placed(key=key, mode=mode.key, start=start, finish=int(mode.finish[start]))
    others = tuple(one for one in board.solution.placed if one.key != key)
    return Board(job=board.job, solution=replace(board.solution, placed=(*others, place)))


def test_nothing_forbids_a_plan_to_be_as_it_is() -> None:
    board = solved(sky=jobs.Sky().rains(1, "15:00").closes(Rule.DEW_MARGIN, 3, last="09:00"))
    assert {key: blocks(board, key, place.start) for key, place in board.placed.items()} == {
        key: [] for key in board.placed
    }


def test_preparation_is_done_as_soon_as_it_can_be_at_no_cost() -> None:
    job, boat, sky = hauled_first_thing(), jobs.hull(), jobs.Sky()
    network = network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    board = Board(job=network, solution=solve(network.network, time_limit_s=20.0, workers=1))
    early = preparation_early(board)
    assert network_violations(network.network, early.solution) == []
    for key, place in early.placed.items():
        if board.facts(key).kind in EARLY_KINDS:
            assert place.start <= board.placed[key].start
            assert blocks(early, key, place.start - 1)
        else:
            assert place == board.placed[key]
    assert early.placed["abrade/port side"].start < jobs.slots(0, "14:00", "15:00").start


def test_every_task_has_a_sentence() -> None:
    board = solved()
    assert all(len(because(board, key)) > 15 for key in board.placed)


def test_a_coat_waits_for_the_last_to_be_tacky() -> None:
    board = solved()
    key = "coat/port side/2"
    tacky = board.placed["coat/port side/1"].finish + 3
    at = moved(board, key, tacky)
    says = because(at, key)
    assert says.startswith(f"coat 1, port side is tacky at {at.job.calendar.local(tacky):%H:%M} (cautious edge)")
    assert says.endswith("; the air stays within the sheet's limits all day")


def test_the_window_that_shuts_later_that_day_is_named() -> None:
    board = solved(sky=jobs.Sky().closes(Rule.HUMIDITY, 1, first="17:00"))
    day_two = [key for key in board.placed if key.startswith("coat") and key.endswith("/1")
               and board.job.calendar.day[board.placed[key].start] == board.job.calendar.day[96]]  # fmt: skip
    assert day_two
    assert "until 17:00 (air too humid (91 %, limit 85 %))" in because(board, day_two[0])


def test_the_first_slot_far_enough_above_the_dew_point() -> None:
    sky = jobs.Sky()
    for day in range(jobs.DAYS):
        sky.closes(Rule.DEW_MARGIN, day, last="09:00")
    board = solved(sky=sky)
    opens = "the first open moment (until then too close to the dew point (2.1 K, needs 3 K) at 08:45)"
    assert any(because(board, key).startswith(opens) for key in board.placed if key.startswith("wipe/"))


def test_hands_that_are_busy_are_named_with_their_work() -> None:
    board = solved()
    busy = [key for key in board.placed if because(board, key).startswith("the crew is at ")]
    assert busy
    for key in busy:
        until = board.job.calendar.local(board.placed[key].start).strftime("%H:%M")
        assert f"until {until}" in because(board, key)


def test_the_crane_has_no_earlier_slot() -> None:
    board = solved(hauled_first_thing())
    assert because(board, "launch").startswith("the crane lifts at ")
    assert "is still too early: " in because(board, "launch")
    assert because(board, "haul_out").startswith("the first lift slot from the earliest date asked for")


def test_rain_that_put_the_coats_off_a_day_is_told() -> None:
    sky = jobs.Sky().rains(1, "12:00", "16:00")
    board = solved(jobs.with_wishes(hauled_first_thing(), sides="one_day"), sky)
    first = min((key for key in board.placed if key.startswith("wipe/")), key=lambda key: board.placed[key].start)
    assert "Tue 2 Jun" in because(board, first)
    assert "of 4 coats only" in because(board, first)
    assert "rain" in because(board, first)


def test_a_task_that_nothing_presses_says_how_far_it_could_go() -> None:
    board = solved()
    place = board.placed["activate/hull"]
    late = moved(board, "activate/hull", place.start + 8)
    says = because(late, "activate/hull")
    if blocks(late, "activate/hull", place.start + 7):
        assert "until" in says
    else:
        assert says.startswith("nothing presses: any start from ")


def test_room_on_a_day_counts_the_coats_that_fit() -> None:
    board = solved(sky=jobs.Sky(rain_safe_h=2.0).rains(2, "14:00"))
    coats = one_day_coats(board.job, "port side")
    assert len(coats) == 4
    day_two = jobs.slots(2, "08:00", "09:00").start
    room = room_on(board.job, coats, start=day_two, options=())
    # one hour a coat, three quarters until tacky, rain-safe two hours before the rain at 14:00
    assert (room.coats, room.wanted) == (2, 4)
    assert room.stopped == "coat 3, possible from 11:30: rain 1.5 h after the coat, rain-safe only after 2 h"
    assert room_on(board.job, coats, start=day_two + 96, options=()).coats == 4


def test_idle_hours_are_the_working_hours_in_which_nobody_works() -> None:
    board = solved(sky=jobs.Sky().closes(Rule.DEW_MARGIN, 1, last="10:00"))
    calendar, grid = board.job.calendar, board.job.calendar.grid
    idle = np.zeros(grid.count, dtype=np.bool_)
    for one in unused(board):
        first, end = grid.mark_at_or_after(one.start), grid.mark_at_or_before(one.end)
        assert not idle[first:end].any(), "no hour is told twice"
        idle[first:end] = True
        assert one.because
        assert one.start < one.end
    busy = np.zeros(grid.count, dtype=np.bool_)
    for key, place in board.placed.items():
        busy[place.start : place.finish] |= bool(board.job.facts[key].people[place.mode])
    busy[: board.placed["haul_out"].finish] = True
    busy[board.placed["launch"].start :] = True
    assert np.array_equal(idle, calendar.crew & ~busy)


def test_idle_hours_by_dew_carry_their_numbers_hour_by_hour() -> None:
    sky = jobs.Sky()
    sky.closes(Rule.DEW_MARGIN, 1, last="10:00")
    sky.closes(Rule.DEW_MARGIN, 0)
    board = solved(sky=sky)
    dew = [one for one in unused(board) if one.unit == "K"]
    assert dew
    assert all((one.needed, one.had) == (3.0, 2.1) for one in dew)
    assert all(one.because.startswith("too close to the dew point (2.1 K, needs 3 K) at ") for one in dew)
    assert all((one.end - one.start).total_seconds() <= 3600 for one in dew)


def test_idle_days_of_cure_say_which_film_is_awaited() -> None:
    waiting = [one for one in unused(solved()) if one.waits == "move_stands"]
    assert waiting
    assert all("bears a stand at" in one.because for one in waiting)


def test_every_closed_slot_of_every_task_has_a_reason_to_the_last_one_known() -> None:
    sky = jobs.Sky(rain_safe_h=5.0).rains(1, "12:00", "16:00").closes(Rule.SURFACE_COLD, 3)
    job = jobs.with_tent(jobs.inputs(), jobs.local(4, "10:00"), jobs.local(6, "15:30"))
    job = jobs.with_crew(job, hours=jobs.every_day("00:00", "00:00"))
    boat = jobs.hull()
    network = network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    for task in network.network.tasks:
        for mode in task.modes:
            for slot in np.flatnonzero(~mode.starts).tolist():
                assert closed_block(network, task.key, mode=mode.key, start=slot).says
