"""The state of a job as a fold over its events: the same for every order, copy and delay of the same events."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from boottop.job.events import EVENT_KINDS, Event
from boottop.job.settle import Settled, ms, settle
from boottop.job.state import (
    Batch,
    Coat,
    Material,
    Note,
    Oddity,
    Rain,
    Reading,
    StandsMoved,
    State,
    Touch,
    WorkDone,
    ZoneState,
)

STEPS = {"abraded": "abraded_s", "masked": "masked_s", "wiped": "wiped_s", "activated": "activated_s"}


def fold(events: Iterable[Event]) -> State:
    """What the events say.

    Doubles and corrections first, see `settle`; then the events in order of (happened, recorded, id). What does not
    fit is told as an oddity and never stops the fold. The events are taken as fit, see `event_problems`; one that a
    correction has robbed of a field it needs is left out and told.
    """
    settled = settle(events)
    board = _Running()
    for event in settled.events:
        lacks = [name for name, word in EVENT_KINDS[event.kind].fields.items() if not word.endswith("?")
                 and event.data.get(name) is None]  # fmt: skip
        if lacks or (event.zone is None and EVENT_KINDS[event.kind].zoned):
            board.odd("field_lost", event)
        else:
            _TAKE[event.kind](board, event, ms(event.happened) // 1000)
    return _state(board, settled)


@dataclass(kw_only=True)
class _Coat:
    product: str
    coat: int
    started_s: int | None = None
    finished_s: int | None = None
    people: int | None = None
    litres: float | None = None
    who: str = ""
    touch: list[Touch] = field(default_factory=list)
    finish: Event | None = None


@dataclass(kw_only=True)
class _Zone:
    steps: dict[str, int] = field(default_factory=dict)
    coats: dict[tuple[str, int], _Coat] = field(default_factory=dict)
    taken_off: int = 0


@dataclass(kw_only=True)
class _Running:
    """The state in the making."""

    zones: dict[str, _Zone] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    used: list[tuple[Event, int]] = field(default_factory=list)
    rain: list[Rain] = field(default_factory=list)
    raining_s: int | None = None
    readings: list[Reading] = field(default_factory=list)
    stands: dict[int, int] = field(default_factory=dict)
    work: dict[str, int] = field(default_factory=dict)
    boat: dict[str, int] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)
    photos: int = 0
    oddities: list[Oddity] = field(default_factory=list)

    def zone(self, event: Event) -> _Zone:
        return self.zones.setdefault(event.zone or "", _Zone())

    def odd(self, kind: str, event: Event) -> None:
        product, coat = _text(event, "product"), _count(event, "coat")
        self.oddities.append(Oddity(kind=kind, event=event.id, zone=event.zone, product=product, coat=coat))


def _number(event: Event, name: str) -> float | None:
    value = event.data.get(name)
    return float(value) if isinstance(value, int | float) else None


def _count(event: Event, name: str) -> int | None:
    value = event.data.get(name)
    return int(value) if isinstance(value, int | float) else None


def _text(event: Event, name: str) -> str | None:
    value = event.data.get(name)
    return value if isinstance(value, str) else None


def _hauled(board: _Running, event: Event, at_s: int) -> None:
    board.boat[event.kind] = at_s


def _stripped(board: _Running, event: Event, at_s: int) -> None:
    zone = board.zone(event)
    zone.taken_off += len(zone.coats)
    zone.coats, zone.steps = {}, {"stripped_s": at_s}


def _prepared(board: _Running, event: Event, at_s: int) -> None:
    board.zone(event).steps[STEPS[event.kind]] = at_s


def _coat_of(board: _Running, event: Event) -> _Coat:
    product, coat = _text(event, "product") or "", _count(event, "coat") or 0
    return board.zone(event).coats.setdefault((product, coat), _Coat(product=product, coat=coat))


def _under(board: _Running, event: Event) -> _Coat | None:
    """The coat under this one, of the same product, if it was written down at all."""
    product, coat = _text(event, "product") or "", _count(event, "coat") or 0
    return board.zone(event).coats.get((product, coat - 1))


def _coat_started(board: _Running, event: Event, at_s: int) -> None:
    under, coat = _under(board, event), _coat_of(board, event)
    if under is not None and under.finished_s is None:
        board.odd("coat_on_coat", event)
    if coat.started_s is None:
        if coat.finished_s is not None:
            board.odd("coat_before_start", event)
        coat.started_s = at_s
    coat.who = event.who
    people = _count(event, "people")
    coat.people = coat.people if people is None else people


def _coat_finished(board: _Running, event: Event, at_s: int) -> None:
    under, coat = _under(board, event), _coat_of(board, event)
    if coat.coat > 1 and (under is None or under.finished_s is None):
        board.odd("coat_out_of_order", event)
    if coat.finished_s is not None:
        board.odd("coat_twice", event)
    if "launched" in board.boat:
        board.odd("coat_after_launch", event)
    coat.finish = event
    coat.finished_s, coat.who = at_s, event.who
    people, litres = _count(event, "people"), _number(event, "litres")
    coat.people = coat.people if people is None else people
    coat.litres = coat.litres if litres is None else litres


def _touched(board: _Running, event: Event, at_s: int) -> None:
    coat = _coat_of(board, event)
    if coat.finished_s is None:
        board.odd("touch_without_coat", event)
    coat.touch.append(Touch(at_s=at_s, verdict=_text(event, "verdict") or "", who=event.who))


def _mixed(board: _Running, event: Event, at_s: int) -> None:
    lots = event.data.get("lots")
    board.batches[event.id] = Batch(
        id=event.id,
        product=_text(event, "product") or "",
        mixed_s=at_s,
        litres=_number(event, "litres") or 0.0,
        batch_c=_number(event, "batch_c"),
        kit=_text(event, "kit"),
        lots={part: str(lot) for part, lot in lots.items()} if isinstance(lots, dict) else {},
        who=event.who,
        done_s=None,
        thrown_l=0.0,
    )


def _used_up(board: _Running, event: Event, at_s: int) -> None:
    board.used.append((event, at_s))


def _read(board: _Running, event: Event, at_s: int) -> None:
    names = ("air_c", "humidity", "surface_c", "wet_film_um")
    values = {name: _number(event, name) for name in names}
    board.readings.append(Reading(at_s=at_s, zone=event.zone, **values))


def _rained(board: _Running, event: Event, at_s: int) -> None:
    if _text(event, "what") == "began":
        if board.raining_s is not None:
            board.odd("rain_began_twice", event)
        else:
            board.raining_s = at_s
    elif board.raining_s is None:
        board.odd("rain_ended_alone", event)
    else:
        board.rain.append(Rain(began_s=board.raining_s, ended_s=at_s))
        board.raining_s = None


def _stands(board: _Running, event: Event, at_s: int) -> None:
    board.stands[_count(event, "stand_set") or 0] = at_s


def _other_work(board: _Running, event: Event, at_s: int) -> None:
    board.work[_text(event, "work") or ""] = at_s


def _photo(board: _Running, _event: Event, _at_s: int) -> None:
    board.photos += 1


def _note(board: _Running, event: Event, at_s: int) -> None:
    board.notes.append(Note(at_s=at_s, zone=event.zone, who=event.who, text=_text(event, "text") or ""))


_TAKE: Mapping[str, Callable[[_Running, Event, int], None]] = {
    "hauled_out": _hauled,
    "washed": _hauled,
    "launched": _hauled,
    "stripped": _stripped,
    "abraded": _prepared,
    "masked": _prepared,
    "wiped": _prepared,
    "activated": _prepared,
    "batch_mixed": _mixed,
    "batch_done": _used_up,
    "coat_started": _coat_started,
    "coat_finished": _coat_finished,
    "touch_test": _touched,
    "reading": _read,
    "rain": _rained,
    "stands_moved": _stands,
    "other_work": _other_work,
    "photo": _photo,
    "note": _note,
}
"""What each kind does to the state; corrections are applied before."""


def _use_batches(board: _Running) -> None:
    """Batches used up, once all are known: one may be written down as used before it is as mixed."""
    for event, at_s in board.used:
        batch = board.batches.get(_text(event, "batch") or "")
        if batch is None:
            board.odd("batch_lost", event)
        elif batch.done_s is not None:
            board.odd("batch_done_twice", event)
        else:
            _use(board, event, batch=batch, at_s=at_s)


def _use(board: _Running, event: Event, *, batch: Batch, at_s: int) -> None:
    thrown_l = _number(event, "thrown_l") or 0.0
    if at_s < batch.mixed_s:
        board.odd("batch_before_mixed", event)
    if thrown_l > batch.litres:
        board.odd("thrown_more", event)
    board.batches[batch.id] = Batch(
        id=batch.id,
        product=batch.product,
        mixed_s=batch.mixed_s,
        litres=batch.litres,
        batch_c=batch.batch_c,
        kit=batch.kit,
        lots=batch.lots,
        who=batch.who,
        done_s=at_s,
        thrown_l=thrown_l,
    )


def _state(board: _Running, settled: Settled) -> State:
    _use_batches(board)
    for name in sorted(board.zones):
        for coat in board.zones[name].coats.values():
            if coat.started_s is None and coat.finish is not None:
                board.odd("coat_without_start", coat.finish)
    for event in settled.lost:
        board.odd("correction_lost", event)
    for event in settled.doubled:
        board.odd("same_id", event)
    rain = tuple(board.rain)
    if board.raining_s is not None:
        rain += (Rain(began_s=board.raining_s, ended_s=None),)
    return State(
        zones=tuple(_zone_state(name, board.zones[name]) for name in sorted(board.zones)),
        batches=tuple(board.batches.values()),
        materials=_materials(board.batches.values()),
        rain=rain,
        raining=board.raining_s is not None,
        readings=tuple(board.readings),
        stands=tuple(StandsMoved(stand_set=one, at_s=board.stands[one]) for one in sorted(board.stands)),
        work=tuple(WorkDone(name=one, at_s=board.work[one]) for one in sorted(board.work)),
        hauled_s=board.boat.get("hauled_out"),
        washed_s=board.boat.get("washed"),
        launched_s=board.boat.get("launched"),
        notes=tuple(board.notes),
        photos=board.photos,
        oddities=tuple(board.oddities),
        events=len(settled.events),
        struck=len(settled.struck),
        latest_s=ms(settled.events[-1].happened) // 1000 if settled.events else None,
    )


def _zone_state(name: str, zone: _Zone) -> ZoneState:
    coats = tuple(
        Coat(
            product=one.product,
            coat=one.coat,
            started_s=one.started_s,
            finished_s=one.finished_s,
            people=one.people,
            litres=one.litres,
            who=one.who,
            touch=tuple(one.touch),
        )
        for one in zone.coats.values()
    )
    steps = {f"{step}_s": zone.steps.get(f"{step}_s") for step in ("stripped", "abraded", "masked", "wiped")}
    return ZoneState(
        zone=name, **steps, activated_s=zone.steps.get("activated_s"), coats=coats, taken_off=zone.taken_off
    )


def _materials(batches: Iterable[Batch]) -> tuple[Material, ...]:
    """Sums in order of mixing, so that every device adds the same numbers in the same order."""
    found: dict[str, Material] = {}
    for batch in batches:
        known = found.get(batch.product, Material(product=batch.product, mixed_l=0.0, thrown_l=0.0))
        found[batch.product] = Material(
            product=batch.product, mixed_l=known.mixed_l + batch.litres, thrown_l=known.thrown_l + batch.thrown_l
        )
    return tuple(found[product] for product in sorted(found))
