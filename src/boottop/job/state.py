"""The state of a job as its events have it. All times are whole epoch seconds UTC, cut off, not rounded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Touch:
    """A touch test: "wet", "tacky" or "past tacky"."""

    at_s: int
    verdict: str
    who: str


@dataclass(frozen=True, kw_only=True)
class Coat:
    """One coat of one product on one zone. `started_s`, `finished_s`: None where not written down.

    Written down twice, the first start and the last finish count: the film is as young as it may be. `touch` in order
    of time. `people`, `litres`: the last that was written down.
    """

    product: str
    coat: int
    started_s: int | None
    finished_s: int | None
    people: int | None
    litres: float | None
    who: str
    touch: tuple[Touch, ...]


@dataclass(frozen=True, kw_only=True)
class ZoneState:
    """One zone. Steps of preparation: the last time of each, None where not written down; stripping takes off coats
    and undoes what was prepared before it. `coats` in order of their first event. `taken_off`: coats stripped off."""

    zone: str
    stripped_s: int | None
    abraded_s: int | None
    masked_s: int | None
    wiped_s: int | None
    activated_s: int | None
    coats: tuple[Coat, ...]
    taken_off: int


@dataclass(frozen=True, kw_only=True)
class Batch:
    """A batch of mix; `id` is that of its event. `done_s` None: still open. `batch_c` None: not measured."""

    id: str
    product: str
    mixed_s: int
    litres: float
    batch_c: float | None
    kit: str | None
    lots: Mapping[str, str]
    who: str
    done_s: int | None
    thrown_l: float


@dataclass(frozen=True, kw_only=True)
class Material:
    """Litres of one product: mixed, and of them thrown away."""

    product: str
    mixed_l: float
    thrown_l: float


@dataclass(frozen=True, kw_only=True)
class Rain:
    """A spell of rain; `ended_s` None: it goes on."""

    began_s: int
    ended_s: int | None


@dataclass(frozen=True, kw_only=True)
class Reading:
    """What was read, None for what was not; `zone` None for the job as a whole. `humidity` is a fraction."""

    at_s: int
    zone: str | None
    air_c: float | None
    humidity: float | None
    surface_c: float | None
    wet_film_um: float | None


@dataclass(frozen=True, kw_only=True)
class StandsMoved:
    """A set of stands was moved, last at this time."""

    stand_set: int
    at_s: int


@dataclass(frozen=True, kw_only=True)
class WorkDone:
    """A piece of other work (anodes, seacocks, bearings) was done, last at this time; `name` as it was written down."""

    name: str
    at_s: int


@dataclass(frozen=True, kw_only=True)
class Note:
    """What somebody wrote down."""

    at_s: int
    zone: str | None
    who: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Oddity:
    """Something in the log that does not fit; `kind` is a key of ODDITY_TEXT, `event` the id of the event.

    Never an error: the board goes on with what it has, and a person puts it right with a correction.
    """

    kind: str
    event: str
    zone: str | None
    product: str | None
    coat: int | None


ODDITY_TEXT: Mapping[str, str] = {
    "same_id": "two different events came with one id; the one recorded first counts",
    "correction_lost": "a correction of an event that is not here (yet), or of itself by a detour",
    "coat_without_start": "finished, but its start was not written down",
    "coat_before_start": "finished before it was started",
    "coat_twice": "finished twice; the later time counts. Strike one if it is the same coat",
    "coat_out_of_order": "finished before the coat under it was",
    "coat_on_coat": "started before the coat under it was finished",
    "touch_without_coat": "touched before it was finished, or without being written down as finished",
    "batch_lost": "a batch used up that is not here (yet)",
    "batch_done_twice": "used up twice; the first time counts",
    "batch_before_mixed": "used up before it was mixed",
    "thrown_more": "more was thrown away than was mixed",
    "rain_ended_alone": "rain ended whose beginning was not written down",
    "rain_began_twice": "rain began again before it had ended; the first beginning counts",
    "coat_after_launch": "finished after the launch",
    "field_lost": "a correction took away a field that is needed; the event is left out",
}


@dataclass(frozen=True, kw_only=True)
class State:
    """All that the events say. `zones` by name, `batches` in order of mixing, `materials` by product.

    `readings`, `notes` in order of time; `stands` by set, `work` by name. `events`: how many count; `struck`: how many
    were struck; `latest_s`: when the last of them happened, None without any.
    """

    zones: tuple[ZoneState, ...]
    batches: tuple[Batch, ...]
    materials: tuple[Material, ...]
    rain: tuple[Rain, ...]
    raining: bool
    readings: tuple[Reading, ...]
    stands: tuple[StandsMoved, ...]
    work: tuple[WorkDone, ...]
    hauled_s: int | None
    washed_s: int | None
    launched_s: int | None
    notes: tuple[Note, ...]
    photos: int
    oddities: tuple[Oddity, ...]
    events: int
    struck: int
    latest_s: int | None

    def zone(self, name: str) -> ZoneState | None:
        """The state of one zone, None where nothing was written down of it."""
        return next((one for one in self.zones if one.zone == name), None)
