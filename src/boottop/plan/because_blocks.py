"""What keeps a task from another start, with the rest of the plan where it is: one rule at a time, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from boottop.plan.because_closed import Block, closed_block
from boottop.plan.network import Link, Marks, Mode, Placed, Solution
from boottop.plan.rules_draft import JobNetwork, TaskFacts

End = Literal["before", "after"]


@dataclass(frozen=True, kw_only=True)
class Board:
    """A solved job laid out for questions."""

    job: JobNetwork
    solution: Solution

    @cached_property
    def placed(self) -> Mapping[str, Placed]:
        """Where each task lies."""
        return {place.key: place for place in self.solution.placed}

    @cached_property
    def modes(self) -> Mapping[str, Mode]:
        """The mode taken for each task."""
        return {
            task.key: next(mode for mode in task.modes if mode.key == self.placed[task.key].mode)
            for task in self.job.network.tasks
        }

    @cached_property
    def into(self) -> Mapping[str, list[tuple[int, Link]]]:
        """Links that end at each task, with their number."""
        return self._by("after")

    @cached_property
    def out_of(self) -> Mapping[str, list[tuple[int, Link]]]:
        """Links that leave each task, with their number."""
        return self._by("before")

    def _by(self, end: End) -> dict[str, list[tuple[int, Link]]]:
        found: dict[str, list[tuple[int, Link]]] = {key: [] for key in self.placed}
        for number, link in enumerate(self.job.network.links):
            found[link.before if end == "before" else link.after].append((number, link))
        return found

    def facts(self, key: str) -> TaskFacts:
        """What a task is to people."""
        return self.job.facts[key]

    def capacity(self, resource: str) -> int:
        """Units of a resource, with what was hired."""
        pool = next(one for one in self.job.network.resources if one.name == resource)
        return pool.capacity + sum(units for key, units in pool.extra.items() if key in self.solution.options)

    def span(self, link: Link, before: Placed) -> tuple[int | None, int | None]:
        """First and last start that a link leaves its later task, with the earlier one at `before`."""
        pair: tuple[Marks | None, Marks | None] = link.by_mode.get(before.mode, (link.earliest, link.latest))
        at = before.start if link.from_start else before.finish
        first, last = (None if array is None else int(array[at]) for array in pair)
        return first, last

    def earliest(self, link: Link) -> int | None:
        """First start that a link leaves its later task, as the plan stands."""
        return self.span(link, self.placed[link.before])[0]


def blocks(board: Board, key: str, start: int) -> list[Block]:
    """Every rule that forbids `key` to start in slot `start` in the mode it has; empty when it could."""
    if start < 0:
        return [Block(kind="weather", rule="no weather", says="the weather file begins later")]
    mode = board.modes[key]
    finish = int(mode.finish[start])
    found = [*_waits(board, key, start)]
    if not mode.starts[start]:
        found.append(closed_block(board.job, key, mode=mode.key, start=start))
    if finish <= board.job.network.count:
        moved = Placed(key=key, mode=mode.key, start=start, finish=finish)
        found += [*_pushes(board, moved), *_days(board, moved), *_hands(board, moved)]
    return found


def _waits(board: Board, key: str, start: int) -> Iterator[Block]:
    """Links whose earlier task is not done, or whose film is not ready."""
    calendar = board.job.calendar
    for number, link in board.into[key]:
        earliest, latest = board.span(link, board.placed[link.before])
        if earliest is not None and start < earliest:
            when = calendar.hour_said(earliest, beside=start)
            met = board.job.met.get(number)
            says = link.rule if met is None else met.replace("{when}", when)
            yield Block(kind="wait", rule=link.group, says=says)
        if latest is not None and start > latest:
            until = calendar.hour_said(latest, beside=start)
            yield Block(kind="late", rule=link.group, says=f"too late after {until}: {link.rule}")


def _pushes(board: Board, moved: Placed) -> Iterator[Block]:
    """Later tasks that lie too late, or too early, if `moved` ends where it now would."""
    calendar = board.job.calendar
    for _, link in board.out_of[moved.key]:
        after = board.placed[link.after].start
        label, when = board.facts(link.after).label, calendar.hour_said(after, beside=moved.start)
        earliest, latest = board.span(link, moved)
        if latest is not None and after > latest:
            yield Block(kind="push", rule=link.group, says=f"{label} at {when} would come too late: {link.rule}")
        if earliest is not None and after < earliest:
            yield Block(kind="push", rule=link.group, says=f"{label} at {when} would come too early: {link.rule}")


def _days(board: Board, moved: Placed) -> Iterator[Block]:
    """Days that tasks share, or do not."""
    network, key = board.job.network, moved.key
    for group in network.same_day:
        if key in group.tasks:
            others = {int(group.day[board.placed[other].start]) for other in group.tasks if other != key}
            mine = {int(group.day[moved.start]), int(group.day[moved.finish - 1])}
            if len(mine | others) > 1:
                yield Block(kind="push", rule=group.group, says=group.rule)
    for apart in network.apart:
        day = int(apart.day[moved.start])
        for ours, theirs in ((apart.first, apart.second), (apart.second, apart.first)):
            if key in ours and any(int(apart.day[board.placed[other].start]) == day for other in theirs):
                yield Block(kind="push", rule=apart.group, says=apart.rule)


def _hands(board: Board, moved: Placed) -> Iterator[Block]:
    """Hands, or the crane, that are at something else."""
    for resource, units in board.modes[moved.key].uses.items():
        capacity = board.capacity(resource)
        others = [place for place in board.solution.placed if _meets(board, place, moved, resource=resource)]
        for slot in range(moved.start, moved.finish):
            busy = [place for place in others if place.start <= slot < place.finish]
            if units + sum(board.modes[place.key].uses[resource] for place in busy) > capacity:
                until = board.job.calendar.hour_said(max(place.finish for place in busy), beside=moved.start)
                work = " and ".join(board.facts(place.key).label for place in busy)
                yield Block(kind="hands", rule=f"{resource} busy", says=f"the {resource} is at {work} until {until}")
                break


def _meets(board: Board, place: Placed, moved: Placed, *, resource: str) -> bool:
    overlap = place.start < moved.finish and moved.start < place.finish
    return overlap and place.key != moved.key and resource in board.modes[place.key].uses
