"""Why each task starts when it does: the rule that binds it, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from boottop.plan.because_blocks import Board, blocks
from boottop.plan.because_closed import Block, closed_block, closed_says, shut_by
from boottop.plan.because_days import one_day_coats, room_on
from boottop.plan.calendar import day_said
from boottop.windows.windows import NOT_WEATHER, Rule

FREE = "nothing presses"


def because(board: Board, key: str) -> str:
    """The sentence on what binds the start of a task.

    Asked in this order: what it waited for to the very slot; what forbids the slot before; where that is only night
    or a shut window, what forbids the last slot before it that was open. A task that could lie elsewhere says so.
    """
    if key == _first(board):
        return _haul_out(board, key)
    says = _tight(board, key) or _pressed(board, key)
    if board.facts(key).covers and board.facts(key).parts[-1].coat is not None:
        says += _open_until(board, key)
    return says


def _tight(board: Board, key: str) -> str:
    """What the task waited for, to the slot."""
    start = board.placed[key].start
    if not any(board.earliest(link) == start for _, link in board.into[key]):
        return ""
    waited = [block.says for block in blocks(board, key, start - 1) if block.kind == "wait"]
    return " and ".join(dict.fromkeys(waited[:2]))


def _pressed(board: Board, key: str) -> str:
    """What forbids the slot before; past a night or a shut window, the last slot that was open."""
    start, starts = board.placed[key].start, board.modes[key].starts
    if 0 < start == board.job.from_slot:
        return f"nothing forbids it from now on, {board.job.calendar.local(start):%H:%M}"
    before = blocks(board, key, start - 1)
    if not before:
        return _free(board, key)
    if starts[start - 1]:
        return _said_of(before[0])
    opened = _opened(board, key, before)
    earlier = np.flatnonzero(starts[: start - 1])
    opened += _shut_between(board, key, int(earlier[-1]) if earlier.size else board.placed[_first(board)].finish)
    if not earlier.size:
        return f"{opened}; there is no open moment before it"
    last = _last_free(board, key, earlier)
    further = what_forbids(board, key, last)
    if further is None:
        return f"{_free(board, key)} ({opened})"
    if further.kind == "day":
        return f"{opened}; {further.says}"
    when = board.job.calendar.hour_said(last, beside=start)
    too_early = " is still too early" if further.kind == "wait" else ""
    return f"{opened}; {when}{too_early}: {further.says}"


def _first(board: Board) -> str:
    return board.job.network.money.first


def _shut_between(board: Board, key: str, last: int) -> str:
    """What the weather shut in the working hours between the last open slot and the start, where it shut any."""
    place = board.placed[key]
    for slot in range(place.start - 1, last, -1):
        if board.modes[key].starts[slot]:
            break
        block = closed_block(board.job, key, mode=place.mode, start=slot)
        if block.kind == "weather":
            day = day_said(board.job.calendar.local(slot).date())
            return "" if slot == place.start - 1 else f" ({day}: {block.says})"
    return ""


def _last_free(board: Board, key: str, earlier: NDArray[np.int64]) -> int:
    """The last open slot before a start; for the first work of a day's run of coats the first of that slot's day at
    which neither work before it nor hands stood in the way: the fair question is what that day still had room for."""
    last, day = int(earlier[-1]), board.job.calendar.day
    if not _run_of(board, key):
        return last
    for slot in earlier[day[earlier] == day[last]].tolist():
        if not any(block.kind in ("wait", "hands") for block in blocks(board, key, slot)):
            return int(slot)
    return last


def _run_of(board: Board, key: str) -> tuple[str, ...]:
    """The coats that must share a day, for the task that opens their run; none for any other task."""
    part = board.facts(key).parts[-1]
    return one_day_coats(board.job, part.zone or "") if part.kind == "wipe" or part.coat == 1 else ()


def what_forbids(board: Board, key: str, start: int) -> Block | None:
    """The first thing that forbids a start; for the first coat of a day's run (or its wipe), too little day left."""
    found = blocks(board, key, start)
    if not found or found[0].kind == "wait":
        return found[0] if found else None
    return _too_little_day(board, key, start) or found[0]


def _too_little_day(board: Board, key: str, start: int) -> Block | None:
    coats, day = _run_of(board, key), board.job.calendar.day
    if not coats or day[start] == day[board.placed[coats[-1]].start]:
        return None
    room = room_on(board.job, coats, start=start, options=board.solution.options)
    local = board.job.calendar.local(start)
    date = day_said(local.date())
    if room.coats < room.wanted:
        says = f"{date} from {local:%H:%M} on has room for {room.coats} of {room.wanted} coats only ({room.stopped})"
        return Block(kind="day", rule=f"room on {date}", says=says)
    return _shared_day(board, coats, start) or Block(
        kind="day",
        rule=f"alone on {date}",
        says=f"{date} has room for all {room.wanted} coats, but not beside the other work of that day, or to no gain",
    )


def _shared_day(board: Board, coats: tuple[str, ...], start: int) -> Block | None:
    """The rule that keeps these coats off a day because of what else is coated on it."""
    for apart in board.job.network.apart:
        for ours, theirs in ((apart.first, apart.second), (apart.second, apart.first)):
            taken = {int(apart.day[board.placed[other].start]) for other in theirs}
            if coats[0] in ours and int(apart.day[start]) in taken:
                return Block(kind="day", rule=apart.group, says=apart.rule)
    return None


def _said_of(block: Block) -> str:
    return f"any earlier, and {block.says}" if block.kind == "push" else block.says


def _opened(board: Board, key: str, before: Sequence[Block]) -> str:
    """What opened at the start of a task: hours that begin, rain that stops, a window of the sheet."""
    place, calendar = board.placed[key], board.job.calendar
    shut = shut_by(board.job, key, mode=place.mode, start=place.start - 1)
    if shut is not None:
        return f"{shut[0].opens} at {calendar.local(place.start):%H:%M}"
    weather = next(block for block in before if block.kind == "weather")
    return f"the first open moment (until then {weather.says})"


def _free(board: Board, key: str) -> str:
    """How far a task could be moved, the others staying where they are."""
    calendar = board.job.calendar
    starts = np.flatnonzero(board.modes[key].starts)
    place = int(np.searchsorted(starts, board.placed[key].start))
    first = _reach(board, key, starts[: place + 1][::-1].tolist())
    last = _reach(board, key, starts[place:].tolist())
    return f"{FREE}: any start from {calendar.said(first)} to {calendar.said(last)} keeps every rule"


def _reach(board: Board, key: str, candidates: Sequence[int]) -> int:
    """The last of the candidates, the first being where the task lies, up to which nothing forbids a start."""
    reached = candidates[0]
    for slot in candidates[1:]:
        if blocks(board, key, slot):
            break
        reached = slot
    return reached


def _open_until(board: Board, key: str) -> str:
    """How long the window stays open after a coat, on that day."""
    place, calendar = board.placed[key], board.job.calendar
    windows = board.facts(key).covers[place.mode].windows_at(place.start)
    shut = np.flatnonzero(windows.rule[place.finish :] != Rule.OPEN)
    slot = place.finish + int(shut[0]) if shut.size else board.job.network.count
    if not shut.size or calendar.local(slot).date() != calendar.local(place.start).date():
        return "; the air stays within the sheet's limits all day"
    if windows.rule[slot] in NOT_WEATHER:
        return "; the air stays within the sheet's limits till dark"
    words = closed_says(windows.closed_at(slot))
    return f"; the air stays within the sheet's limits until {calendar.local(slot):%H:%M} ({words})"


def _haul_out(board: Board, key: str) -> str:
    """Days ashore cost: why not later; and where it is the first slot, or the days are free, why not earlier."""
    calendar, money = board.job.calendar, board.job.network.money
    starts, start = np.flatnonzero(board.modes[key].starts), board.placed[key].start
    earlier, later = starts[starts < start], starts[starts > start]
    says = []
    if not earlier.size:
        says.append("the first lift slot from the earliest date asked for")
    elif money.by_start[int(earlier[-1])] > money.by_start[start]:
        says.append("each day ashore costs, so no earlier than the job needs")
    elif not blocks(board, key, int(earlier[-1])):
        says.append(f"the lift slot before it, {calendar.said(int(earlier[-1]))}, would do at the same cost")
    if later.size:
        found = blocks(board, key, int(later[0]))
        when = calendar.said(int(later[0]))
        if found:
            says.append(f"at the next lift slot, {when}, {found[0].says}")
        elif money.by_start[int(later[0])] == money.by_start[start]:
            says.append(f"the next lift slot, {when}, would do as well")
    return "; ".join(says) or "the only lift slot"
