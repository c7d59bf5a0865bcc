"""Slots of the board table that are open to a piece of work, and the times that follow from a finished coat.

Arithmetic that a phone repeats to the last digit: whole seconds, divisions rounded down or up on purpose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from boottop.job.board import BoardSystem, BoardTable
from boottop.windows.windows import Rule

HAIR = 1e-9
"""Taken off before rounding up, so that the last digit of a product of two numbers does not cost a slot."""

WATER = (Rule.NO_WEATHER, Rule.RAIN, Rule.WET_SURFACE)


@dataclass(frozen=True, kw_only=True)
class Film:
    """One coating on one zone with what was learned of it: `factor` on its times, `bias_k` by slot on its surface."""

    table: BoardTable
    system: BoardSystem
    factor: float
    bias_k: Sequence[float]

    @property
    def slots(self) -> int:
        """Slots that one coat takes."""
        return max(1, self.system.coat_slots)

    @property
    def cure_factor(self) -> float:
        """Factor on rain-safe, stands and launch: a film slower than the sheet waits longer, a faster one does not
        wait less, for a touch test says nothing of the cure right through (common practice, no source)."""
        return max(1.0, self.factor)


def rules_of(film: Film) -> list[int]:
    """The rule that closes each slot (0 open): as in the table, and too close to the dew point where the corrected
    surface is. A correction closes slots and never opens one, for the table names only the first rule that closes."""
    system = film.system
    return [
        int(Rule.DEW_MARGIN) if rule == 0 and margin_k + bias_k < system.dew_margin_k else rule
        for rule, margin_k, bias_k in zip(system.rule, system.margin_k, film.bias_k, strict=True)
    ]


def rains_on(film: Film) -> list[bool]:
    """Slots in which rain reaches the zone."""
    roof = film.system.sheltered
    return [
        mm > 0.0 and not (len(roof) == 2 and roof[0] <= slot < roof[1]) for slot, mm in enumerate(film.table.rain_mm)
    ]


def coat_starts(film: Film) -> list[bool]:
    """Slots in which a coat may start: every rule open for as long as it takes, and no rain from then until it is
    rain-safe; closed where the table does not reach that far."""
    count, slots = film.table.count, film.slots
    shut, rained = _sums([rule != 0 for rule in rules_of(film)]), _sums(rains_on(film))
    found = []
    for slot in range(count):
        end = slot + slots
        if end > count or shut[end] != shut[slot]:
            found.append(False)
            continue
        safe = mark_after(film.system.rain_safe, end, factor=film.cure_factor)
        found.append(safe <= count and rained[safe] == rained[end])
    return found


def first_coat_starts(film: Film, starts: Sequence[bool]) -> list[bool]:
    """Of the `starts` of a coat those of the first coat: with a sheet that wants all coats in one day, only those
    from which all of them fit into that day, each when the one before is tacky and not too late."""
    system, table = film.system, film.table
    if not system.one_day or system.coats < 2:
        return list(starts)
    following = _next(starts)
    return [is_open and _day_fits(film, slot, following) for slot, is_open in enumerate(starts[: table.count])]


def _day_fits(film: Film, slot: int, following: Sequence[int]) -> bool:
    system, table = film.system, film.table
    at = slot
    for _ in range(1, system.coats):
        end = at + film.slots
        gate = mark_after(system.ready, end, factor=film.factor)
        if gate > table.count:
            return False
        at = following[gate]
        last = system.overcoat_until[end]
        if at >= table.count or (last <= table.count and at > end + floor((last - end) * film.factor + HAIR)):
            return False
    return at + film.slots <= day_end(table, slot)


def day_end(table: BoardTable, slot: int) -> int:
    """The mark of the midnight that ends the day of a slot; the last mark where the table ends before."""
    return next((mark for mark in table.midnights if mark > slot), table.count)


def mark_after(marks: Sequence[int], mark: int, *, factor: float) -> int:
    """The mark of a state with its lag times `factor`, rounded up; past the end as `beyond`."""
    beyond = len(marks)
    if marks[mark] >= beyond:
        return beyond
    return min(beyond, mark + ceil((marks[mark] - mark) * factor - HAIR))


def time_after(table: BoardTable, marks: Sequence[int], at_s: int, *, factor: float, early: bool = False) -> int | None:
    """When a coat finished at `at_s` reaches a state: its own time plus the lag of the mark after it (with `early`
    before it) times `factor`, whole seconds cut off; None where the table does not know."""
    since_s = at_s - table.start_s
    if not 0 <= since_s <= table.count * table.slot_s:
        return None
    mark = since_s // table.slot_s if early else -(-since_s // table.slot_s)
    if marks[mark] > table.count:
        return None
    return at_s + floor((marks[mark] - mark) * table.slot_s * factor + HAIR)


def slot_at(table: BoardTable, at_s: int) -> int | None:
    """The slot of a time, None outside the table."""
    slot = (at_s - table.start_s) // table.slot_s
    return slot if 0 <= slot < table.count else None


def opening(table: BoardTable, starts: Sequence[bool], from_s: int) -> tuple[int, int] | None:
    """From when and until when a work may start, at `from_s` or after; None where the table knows no moment.

    Within a slot it may start where the next slot is open to it too: the work then reaches one slot further. The end
    is the last slot that is open without a break.
    """
    from_s = max(from_s, table.start_s)
    slot, inside = divmod(from_s - table.start_s, table.slot_s)
    if not (slot < table.count and starts[slot] and (not inside or (slot + 1 < table.count and starts[slot + 1]))):
        slot = slot + 1 if inside else slot
        while slot < table.count and not starts[slot]:
            slot += 1
        if slot >= table.count:
            return None
        from_s = table.start_s + slot * table.slot_s
    while slot + 1 < table.count and starts[slot + 1]:
        slot += 1
    return from_s, table.start_s + slot * table.slot_s


def following_within(flags: Sequence[bool], slots: int) -> list[bool]:
    """Slots after which, within so many, one follows that holds."""
    following = _next(flags)
    count = len(flags)
    return [following[slot + 1] < count and following[slot + 1] - slot <= slots for slot in range(count)]


def _sums(flags: Sequence[bool]) -> list[int]:
    """How many hold before each mark."""
    found, total = [0], 0
    for flag in flags:
        total += flag
        found.append(total)
    return found


def _next(flags: Sequence[bool]) -> list[int]:
    """The first slot from each mark on that holds, the number of slots where none does."""
    count = len(flags)
    found, at = [count] * (count + 1), count
    for slot in range(count - 1, -1, -1):
        at = slot if flags[slot] else at
        found[slot] = at
    return found
