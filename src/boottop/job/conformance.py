"""Cases that hold the board in Python and the board on the phone together: events in, state and next steps out.

Made from a seed, so that both sides run the same. The order of the events in a case is that of their arrival: late,
doubled, shuffled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from random import Random

from boottop.job.board import BoardTable, BoardZone
from boottop.job.check import event_problems
from boottop.job.coding import event_dict, plain, table_dict
from boottop.job.conformance_tables import COUNT, SLOT_S, START, tables
from boottop.job.events import Event, Json
from boottop.job.fold import fold
from boottop.job.learn import learn
from boottop.job.next_step import board_at

FORMAT = 1
CASES = 30
PEOPLE = ("Ada", "Bo", "Cem")


def conformance(seed: int = 208, *, cases: int = CASES) -> dict[str, Json]:
    """The whole file: {"format", "tables", "cases"}. The seed is one whose cases come by every reason for a step.

    A case: {"name", "table" (index into tables), "events", "state", "learned", "asks"}; an ask: {"now_s", "board"}.
    Numbers are to agree to 1e-9, everything else exactly.
    """
    boards = tables()
    made: list[Json] = [_case(number, Random(seed * 1000 + number), boards) for number in range(cases)]
    return {"format": FORMAT, "tables": [table_dict(table) for table in boards], "cases": made}


def _case(number: int, random: Random, boards: Sequence[BoardTable]) -> Json:
    which = number % len(boards)
    table = boards[which]
    log = _Log(random=random, table=table, at=START + timedelta(hours=random.choice([6, 7, 8, 30, 31])))
    for zone in random.sample(table.zones, random.choice([0, 1, 1, 2, 3]) if number else 0):
        _work(log, zone, share=random.choice([0.8, 0.95, 1.0]))
    if number:
        _cut(log)
        _extras(log)
        _corrections(log)
    events = _as_it_comes(log)
    state = fold(events)
    learned = learn(state, table)
    asks: list[Json] = [
        {"now_s": now_s, "board": plain(board_at(state, table, now_s=now_s, learned=learned))}
        for now_s in _moments(log)
    ]
    return {
        "name": f"case {number}",
        "table": which,
        "events": [event_dict(event) for event in events],
        "state": plain(state),
        "learned": plain(learned),
        "asks": asks,
    }


def _cut(log: _Log) -> None:
    """The log ends somewhere in the middle of the work."""
    if log.events and log.often(0.85):
        coats = [
            event for event in log.events if event.kind in ("coat_started", "coat_finished", "touch_test", "wiped")
        ]
        log.at = log.random.choice(coats or log.events).happened
        log.events = [event for event in log.events if event.happened <= log.at]


def _moments(log: _Log) -> list[int]:
    """When the board is looked at: soon after the last coats, at a slot's edge, out of hours, past the table."""
    random, start_s = log.random, int(START.timestamp())
    last = log.at
    found = [int(last.timestamp()) + 60 * random.choice([0, 2, 15, 45, 75]) + random.randint(0, 59)]
    found.append(int(last.timestamp()) + 60 * random.choice([30, 100, 150, 400, 1500]))
    found.append(start_s + SLOT_S * random.randint(0, COUNT))
    if log.often(0.25):
        found.append(start_s + random.choice([-3600, SLOT_S * COUNT - 400, SLOT_S * COUNT + 3600]))
    return sorted(set(found))


@dataclass(kw_only=True)
class _Log:
    """A log in the making, and the moment it has come to."""

    random: Random
    table: BoardTable
    at: datetime = START + timedelta(hours=7)
    events: list[Event] = field(default_factory=list)
    orders: dict[str, int] = field(default_factory=dict)

    def uuid(self) -> str:
        digits = f"{self.random.getrandbits(128):032x}"
        return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))

    def later(self, low_min: int, high_min: int) -> None:
        self.at += timedelta(
            minutes=self.random.randint(low_min, high_min), milliseconds=self.random.randint(0, 59_999)
        )

    def write(self, kind: str, zone: str | None = None, **data: Json) -> Event:
        device = self.random.choice(("phone-1", "phone-2", "laptop"))
        order = self.orders.get(device, 0)
        self.orders[device] = order + 1
        late = timedelta(seconds=self.random.choice((0, 0, 0, 5, 400, 9000)))
        event = Event(
            id=self.uuid(),
            kind=kind,
            happened=self.at,
            recorded=self.at + late,
            device=device,
            order=order,
            who=self.random.choice(PEOPLE),
            zone=zone,
            data=data,
        )
        self.events.append(event)
        return event

    def often(self, share: float) -> bool:
        return self.random.random() < share


def _work(log: _Log, zone: BoardZone, *, share: float) -> None:
    """A zone taken some way along; not everything is written down."""
    if log.often(0.7):
        log.write("hauled_out")
        log.later(20, 60)
    if log.often(0.7):
        log.write("washed")
        log.later(40, 90)
    if zone.waits_for_stands is not None and log.often(share):
        log.write("stands_moved", stand_set=zone.waits_for_stands)
    written = {"strip": "stripped", "abrade": "abraded", "mask": "masked", "wipe": "wiped"}
    for step in zone.steps:
        if log.often(share):
            log.write(written[step], zone.name)
            log.later(5, 30)
    _coats(log, zone, share=share)


def _coats(log: _Log, zone: BoardZone, *, share: float) -> None:
    for system in zone.systems:
        for coat in range(1, system.coats + 1):
            if not log.often(share):
                return
            _coat(log, zone.name, system.product, coat=coat, litres=system.litres_per_coat)
        if log.often(0.3):
            log.later(400, 1500)
            log.write("abraded", zone.name, grit=120)
    if log.often(0.5):
        log.later(1000, 3000)
        log.write("activated", zone.name, grit=320)
        if log.often(0.3):
            log.later(60, 600)
            log.write("launched")


def _coat(log: _Log, zone: str, product: str, *, coat: int, litres: float) -> None:
    if log.often(0.8):
        batch = (
            log.write(
                "batch_mixed", product=product, litres=round(litres * 1.1, 2), kit="K-7", lots={"A": "L1", "B": "L2"}
            )
            if log.often(0.5)
            else log.write(
                "batch_mixed", product=product, litres=round(litres * 1.1, 2), batch_c=float(log.random.randint(12, 32))
            )
        )
        log.later(2, 10)
        if log.often(0.6):
            log.write("batch_done", batch=batch.id, thrown_l=0.02)
    if log.often(0.85):
        log.write("coat_started", zone, product=product, coat=coat, people=log.random.randint(1, 3))
        log.later(15, 50)
    if log.often(0.9):
        data: dict[str, Json] = {"product": product, "coat": coat}
        if log.often(0.7):
            data["litres"] = round(litres * log.random.uniform(0.8, 1.3), 2)
        log.write("coat_finished", zone, **data)
    if log.often(0.12):
        log.later(1, 200)
        log.write("rain", what="began")
        log.later(1, 60)
        log.write("rain", what="ended")
    for verdict, share in (("wet", 0.4), ("tacky", 0.5), ("past tacky", 0.1)):
        if log.often(share):
            log.later(15, 45)
            log.write("touch_test", zone, product=product, coat=coat, verdict=verdict)
    log.later(5, 60)


def _extras(log: _Log) -> None:
    """Readings, rain, notes and photographs, some of them long after the fact."""
    random, last = log.random, log.at
    for _ in range(random.randint(0, 3)):
        log.at = last - timedelta(minutes=random.randint(0, 400))
        zone = random.choice([None, *(zone.name for zone in log.table.zones)])
        log.write("reading", zone, air_c=round(random.uniform(5, 28), 1), humidity=round(random.uniform(0.4, 0.98), 2))
        if zone is not None and log.often(0.7):
            log.write("reading", zone, surface_c=round(random.uniform(4, 32), 1), wet_film_um=125.0)
    for what in ("began", "ended"):
        if log.often(0.3):
            log.at = last - timedelta(minutes=random.randint(0, 300))
            log.write("rain", what=what)
    for work in log.random.sample(("Service seacocks", "anodes", "Ánodes", "propeller"), log.random.randint(0, 3)):
        log.write("other_work", work=work)
    if log.often(0.4):
        log.write("note", None, text="drip under the log fitting; wiped at once")
    if log.often(0.3):
        log.write("photo", log.table.zones[0].name, sha256="0f" * 32, name="port.jpg", bytes=81_234)
    log.at = last


def _corrections(log: _Log) -> None:
    """Other times, other numbers, strikes, strikes of strikes, corrections that reach nothing, and a ring."""
    if not log.events:
        return
    for _ in range(log.random.randint(0, 4)):
        target = log.random.choice(log.events)
        log.later(0, 3)
        if log.often(0.35):
            log.write("correction", None, corrects=target.id, strike="yes")
            continue
        data: dict[str, Json] = {"corrects": target.id, "strike": "no"}
        if log.often(0.6):
            earlier = target.happened - timedelta(minutes=log.random.randint(1, 45))
            data["happened"] = earlier.isoformat(timespec="seconds").replace("+00:00", "Z")
        if target.kind == "coat_finished":
            data["litres"] = log.random.choice([1.25, None])
        if target.kind == "coat_started" and log.often(0.5):
            data["coat"] = 2
        zone = log.random.choice(log.table.zones).name if target.zone is not None and log.often(0.2) else None
        log.write("correction", zone, **data)
    if log.often(0.2):
        log.write("correction", None, corrects=log.uuid(), strike="yes")
    if log.often(0.15):
        first, second = log.write("correction", corrects=log.uuid(), strike="no"), log.uuid()
        log.events[-1] = replace(first, data={**first.data, "corrects": second})
        ring = log.write("correction", corrects=first.id, strike="yes")
        log.events[-1] = replace(ring, id=second)


def _as_it_comes(log: _Log) -> list[Event]:
    """The events in order of arrival: some twice, in blocks that overtake each other."""
    events = [*log.events, *(event for event in log.events if log.often(0.15))]
    if log.often(0.6):
        log.random.shuffle(events)
    fit = [event for event in events if not event_problems(event)]
    assert len(fit) == len(events), [event_problems(event) for event in events if event not in fit]
    return fit
