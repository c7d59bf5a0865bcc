"""What newer weather closes: for the coat each zone waits for, when its window now opens or shuts, and the rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from boottop.job.board import BoardSystem, BoardTable, BoardZone
from boottop.job.learned import Learned
from boottop.job.situation import Situation
from boottop.job.slots import coat_starts, opening, rules_of, slot_at, time_after
from boottop.job.state import State
from boottop.plan.calendar import said
from boottop.windows.windows import RULE_TEXT, Rule

SOON_S = 2 * 86_400
SHIFT_S = 900


@dataclass(frozen=True, kw_only=True)
class _Next:
    """The next coat of a zone under one table: its first span of starts, None where there is none."""

    place: Situation
    system: BoardSystem
    span: tuple[int, int] | None

    def closes(self, at_s: int) -> str:
        """The rule that shuts a coat begun at a time."""
        film, slot = self.place.film(self.system), slot_at(self.place.table, at_s)
        if slot is None:
            return RULE_TEXT[Rule.NO_WEATHER]
        shut = [rule for rule in rules_of(film)[slot : slot + film.slots] if rule]
        return RULE_TEXT[Rule(shut[0])] if shut else RULE_TEXT[Rule.RAIN_BEFORE_SAFE]


def closings(
    before: BoardTable, after: BoardTable, *, state: State, learned: Learned, now_s: int
) -> tuple[str, ...]:  # fmt: skip
    """Sentences on windows of the next two days that open later, shut sooner, or are gone, a zone each."""
    old = {zone.name: zone for zone in before.zones}
    moved = {one.stand_set for one in state.stands}
    found: list[str] = []
    for zone in after.zones:
        hidden = zone.waits_for_stands is not None and zone.waits_for_stands not in moved
        if zone.name in old and zone.systems and not hidden:
            pair = [
                _next(table, place, state=state, learned=learned, now_s=now_s)
                for table, place in ((before, old[zone.name]), (after, zone))
            ]
            if pair[0] is not None and pair[1] is not None:
                found += _said_of(pair[0], pair[1], ZoneInfo(after.zone_name))
    return tuple(found)


def _next(table: BoardTable, zone: BoardZone, *, state: State, learned: Learned, now_s: int) -> _Next | None:
    if not zone.systems:
        return None
    place = Situation(state=state, table=table, zone=zone, now_s=now_s, learned=learned)
    if place.film_complete:
        return None
    from_s, last = now_s, place.last
    if last is not None and last.finished_s is not None and last.product == place.due.product:
        ready_s = time_after(table, place.due.ready, last.finished_s, factor=learned.factor(last.product))
        from_s = now_s if ready_s is None else max(now_s, ready_s)
    return _Next(place=place, system=place.due, span=opening(table, coat_starts(place.film(place.due)), from_s))


def _said_of(old: _Next, new: _Next, zone: ZoneInfo) -> Iterator[str]:
    """One sentence where the window of a coat has become smaller."""
    place = new.place
    if old.span is None or old.span[0] > place.now_s + SOON_S or old.system.product != new.system.product:
        return
    last = place.last
    number = last.coat + 1 if last is not None and last.product == new.system.product else 1
    label, (first_s, until_s) = f"{_capital(place.zone.name)}, coat {number}", old.span
    if new.span is None or new.span[0] > until_s:
        then = "none is left in the known weather" if new.span is None else f"the next opens {_when(new.span[0], zone)}"
        yield f"{label}: the window of {_when(first_s, zone)} is gone ({new.closes(first_s)}); {then}."
    elif new.span[1] <= until_s - SHIFT_S:
        closes_s = new.span[1] + SHIFT_S
        yield (
            f"{label}: the last start is {_when(new.span[1], zone)} instead of {_when(until_s, zone)}: "
            f"{new.closes(closes_s)}."
        )
    elif new.span[0] >= first_s + SHIFT_S:
        yield (
            f"{label}: the window opens {_when(new.span[0], zone)} instead of {_when(first_s, zone)}: "
            f"{new.closes(first_s)}."
        )


def _capital(name: str) -> str:
    return f"{name[:1].upper()}{name[1:]}"


def _when(at_s: int, zone: ZoneInfo) -> str:
    return said(datetime.fromtimestamp(at_s, tz=UTC).astimezone(zone))
