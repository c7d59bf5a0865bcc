"""The fold of 10,000 events, with corrections, doubles and out of order, against a plain loop over the same events.

Run from the repository: python -m benchmarks.bench_fold
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from random import Random
from typing import TypeVar
from uuid import UUID

from boottop.job.conformance_tables import tables
from boottop.job.events import Event, Json
from boottop.job.fold import fold
from boottop.job.learn import learn
from boottop.job.next_step import board_at

COUNT, ROUNDS = 10_000, 7
AIM_S = 0.1
START = datetime(2026, 6, 2, 6, tzinfo=UTC)
PRODUCT = "hull copper"
Made = TypeVar("Made")


def main() -> None:
    """Print the table."""
    events = log(COUNT)
    table = tables()[0]
    plain_s, plain = _best(lambda: plain_fold(events))
    fold_s, state = _best(lambda: fold(events))
    learned = learn(state, table)
    now_s = int((START + timedelta(hours=12)).timestamp())
    board_s, _ = _best(lambda: board_at(state, table, now_s=now_s, learned=learned))
    assert state.events + state.struck + _corrections(events) == len({event.id for event in events})
    _say(f"{COUNT} events: {len(plain)} zones, {state.events} count, {state.struck} struck")
    _say(f"plain loop: sort, drop doubles, last value of each zone: {plain_s * 1e3:.1f} ms")
    _say(f"fold: {fold_s * 1e3:.1f} ms (aim {AIM_S * 1e3:g}), {fold_s / plain_s:.1f} times the plain loop")
    _say(f"what may be done now, from that state: {board_s * 1e3:.1f} ms")


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")


def _corrections(events: Sequence[Event]) -> int:
    return len({event.id for event in events if event.kind == "correction"})


def _best(work: Callable[[], Made]) -> tuple[float, Made]:
    found: list[tuple[float, Made]] = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        made = work()
        found.append((time.perf_counter() - start, made))
    return min(found, key=lambda one: one[0])


def plain_fold(events: Sequence[Event]) -> dict[str, dict[str, object]]:
    """What a fold cannot do without: order, each id once, the last of each kind by zone."""
    seen = {event.id: event for event in events}
    zones: dict[str, dict[str, object]] = {}
    for event in sorted(seen.values(), key=lambda event: (event.happened, event.recorded, event.id)):
        zones.setdefault(event.zone or "", {})[event.kind] = event.data
    return zones


def log(count: int) -> list[Event]:
    """A season's log of a busy yard: coats with touch tests, batches, readings; one in twenty a correction."""
    random = Random(4)
    events: list[Event] = []
    for number in range(count):
        events.append(_event(number, random, events))
    random.shuffle(events)
    return events


def _event(number: int, random: Random, before: Sequence[Event]) -> Event:
    zone = random.choice(["port side", "running gear", "pads 1"])
    kind = random.choice(["reading", "reading", "coat_started", "coat_finished", "touch_test", "batch_mixed", "note"])
    data: dict[str, Json] = {
        "reading": {"air_c": 17.5, "humidity": 0.6, "surface_c": 16.0},
        "coat_started": {"product": PRODUCT, "coat": 1 + number % 3, "people": 2},
        "coat_finished": {"product": PRODUCT, "coat": 1 + number % 3, "litres": 1.2},
        "touch_test": {"product": PRODUCT, "coat": 1 + number % 3, "verdict": "tacky"},
        "batch_mixed": {"product": PRODUCT, "litres": 1.5, "batch_c": 19.0, "kit": "K-1", "lots": {"A": "1", "B": "2"}},
        "note": {"text": "invented"},
    }[kind]  # type: ignore[assignment]
    if number % 20 == 19:
        strike = random.random() < 0.3
        kind, data = "correction", {"corrects": random.choice(before).id, "strike": "yes" if strike else "no"}
    at = START + timedelta(seconds=30 * number)
    late = timedelta(seconds=random.choice([0, 0, 5, 9000]))
    return Event(
        id=str(UUID(int=number, version=4)), kind=kind, happened=at, recorded=at + late, device="phone-1", order=number,
        who="Ana", zone=None if kind in ("batch_mixed", "note", "correction") else zone, data=data,
    )  # fmt: skip


if __name__ == "__main__":
    main()
