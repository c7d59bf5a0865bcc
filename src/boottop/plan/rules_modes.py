"""How long a piece of work takes by how many hands, and the ways of doing it that are worth looking at."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR
from boottop.plan.calendar import all_open
from boottop.plan.inputs import Crew, PlanInput
from boottop.plan.network import Mode
from boottop.plan.rules_cover import Cover
from boottop.plan.rules_draft import Closer, Draft, Part, TaskFacts
from boottop.plan.rules_drying import WETTING
from boottop.plan.tasks import TASK_KINDS, Needs

Bools = NDArray[np.bool_]
Marks = NDArray[np.int32]
T = TypeVar("T", bound=np.generic)

COAT_PEOPLE_MAX = 3
"""More than three people rolling one side get in each other's way: no faster (common practice, no source)."""

OPEN, TENT, HELPER = "open", "tent", "helper"


@dataclass(frozen=True, kw_only=True)
class Work:
    """One piece of work on one zone. `set_up`: the fixed hours count (once a task, not once a zone)."""

    key: str
    kind: str
    zone: str | None
    area_m2: float = 0.0
    set_up: bool = True
    coat: int | None = None
    product: str | None = None
    covers: tuple[Cover, ...] = ()
    weather: Needs | None = None

    @property
    def needs(self) -> Needs:
        """What it needs of the weather: as its kind, unless the job says otherwise."""
        return self.weather or TASK_KINDS[self.kind].weather


@dataclass(frozen=True, kw_only=True)
class Hands:
    """How many people, the options that takes, and the slots that each work then lasts."""

    people: int
    needs: tuple[str, ...]
    slots: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Way:
    """Hands under one cover: what closes each work, and the slots it so leaves open."""

    key: str
    hands: Hands
    needs: tuple[str, ...]
    without: tuple[str, ...]
    closers: tuple[tuple[Closer, ...], ...]
    open: tuple[Bools, ...]


def work_slots(crew: Crew, work: Work, people: int) -> int:
    """Slots one work lasts for `people`: set-up plus area over rate, rounded up, one at least."""
    key = TASK_KINDS[work.kind].work_key or ""
    hours = crew.fixed_h.get(key, 0.0) if work.set_up else 0.0
    if (rate_m2_h := crew.rates_m2_h.get(key)) is not None:
        hours += work.area_m2 / (rate_m2_h * people)
    return max(1, slots_up(hours))


def hands_for(inputs: PlanInput, works: Sequence[Work], *, most: int) -> list[Hands]:
    """Numbers of people worth looking at, fewest first: one more only where that is faster."""
    crew, found = inputs.crew, list[Hands]()
    for people in range(1, min(most, crew.people + inputs.hire.helper_people) + 1):
        slots = tuple(work_slots(crew, work, people) for work in works)
        if not found or sum(slots) < sum(found[-1].slots):
            found.append(Hands(people=people, needs=() if people <= crew.people else (HELPER,), slots=slots))
    return found


def _hands(draft: Draft, works: Sequence[Work], *, most: int) -> list[Hands]:
    """As `hands_for`, once for works of the same kinds and areas."""
    crew, helpers = draft.inputs.crew, draft.inputs.hire.helper_people
    sizes = tuple((work.kind, work.area_m2, work.set_up) for work in works)

    def make() -> tuple[list[Hands], Crew]:  # the crew is kept, so that no other takes its identity
        return hands_for(draft.inputs, works, most=most), crew

    return draft.shared.once(("hands", id(crew), helpers, most, sizes), make)[0]


def labour_minor(inputs: PlanInput, people: int, slots: int) -> int:
    """What the crew's hours cost, minor units: the crew's own people only, a hired helper's price covers his."""
    person_slots = min(people, inputs.crew.people) * slots
    return (2 * person_slots * inputs.crew.hour_cost_minor + SLOTS_PER_HOUR) // (2 * SLOTS_PER_HOUR)


def crew_closers(draft: Draft) -> tuple[Closer, ...]:
    """What closes a slot to the crew whatever the work."""
    return (
        Closer(says="outside the crew's hours", opens="the crew's hours begin", open=draft.calendar.hours),
        Closer(says="too dark to work", opens="it is light enough", open=draft.calendar.light),
    )


def weather_closers(draft: Draft, needs: Needs, covers: Sequence[Cover], *, tent: bool) -> tuple[Closer, ...]:
    """What the weather closes to work that can pause, in the open or with the tent hired."""
    if needs == "nothing":
        return ()
    if needs == "dry_surface":
        chosen = [cover for cover in covers if (cover.key == TENT) == tent] or list(covers)
        return tuple(
            Closer(says="the surface is wet", opens="the surface is dry", open=cover.dry(), weather=True)
            for cover in chosen
        )
    rain = draft.climate.rain_mm > 0.0
    if tent and draft.tent_span is not None:
        rain = rain.copy()
        rain[slice(*draft.tent_span)] = False
    return (Closer(says="it rains", opens="the rain is over", open=~rain, weather=True),)


def crew_task(
    draft: Draft,
    key: str,
    *,
    label: str,
    works: Sequence[Work],
    hands: Sequence[Hands] | None = None,
    late: bool = False,
) -> str:
    """Lay down works that the crew does one after the other and may leave overnight; gives the task's key."""
    if hands is None:
        hands = _hands(draft, works, most=draft.inputs.crew.people + draft.inputs.hire.helper_people)
    ways = [way for choice in hands for way in _ways(draft, works, choice)]
    facts = TaskFacts(
        key=key,
        label=label,
        parts=_paused_parts(works, ways),
        closers={way.key: way.closers[0] for way in ways},
        people={way.key: way.hands.people for way in ways},
    )
    return draft.add(facts, tuple(_paused_mode(draft, way) for way in ways), f"working hours: {label}", late=late)


def _ways(draft: Draft, works: Sequence[Work], hands: Hands) -> list[Way]:
    """The hands in the open, and under the tent where that leaves other slots open, or dries the hull later."""
    name = f"{hands.people}p"
    found: list[Way] = []
    for tent in (False, True):
        closers = tuple(
            crew_closers(draft) + weather_closers(draft, work.needs, work.covers, tent=tent) for work in works
        )
        open_ = tuple(both(*(closer.open for closer in each)) for each in closers)
        found.append(
            Way(
                key=f"{name}/{TENT if tent else OPEN}",
                hands=hands,
                needs=hands.needs + ((TENT,) if tent else ()),
                without=() if tent else (TENT,),
                closers=closers,
                open=open_,
            )
        )
    outdoors, sheltered = found
    same = all(np.array_equal(one, other) for one, other in zip(outdoors.open, sheltered.open, strict=True))
    dries = draft.tent_climate is not None and any(work.kind in WETTING for work in works)
    if draft.tent_span is not None and (dries or not same):
        return found
    return [Way(key=name, hands=hands, needs=hands.needs, without=(), closers=outdoors.closers, open=outdoors.open)]


def _paused_mode(draft: Draft, way: Way) -> Mode:
    starts, finish = draft.shared.paused(list(zip(way.open, way.hands.slots, strict=True)))
    return Mode(
        key=way.key,
        starts=starts,
        finish=finish,
        uses={"crew": way.hands.people},
        cost_minor=labour_minor(draft.inputs, way.hands.people, sum(way.hands.slots)),
        needs=way.needs,
        without=way.without,
    )


def _paused_parts(works: Sequence[Work], ways: Sequence[Way]) -> tuple[Part, ...]:
    return tuple(
        Part(
            key=work.key,
            kind=work.kind,
            zone=work.zone,
            product=work.product,
            slots={way.key: way.hands.slots[index] for way in ways},
            open={way.key: way.open[index] for way in ways},
        )
        for index, work in enumerate(works)
    )


def film_task(draft: Draft, key: str, *, label: str, works: Sequence[Work]) -> str:
    """Lay down wiping, a coat, or a wipe with its coat right after it: work that runs straight through in a window."""
    ways = [
        (f"{hands.people}p" + (f"/{cover.key}" if len(works[0].covers) > 1 else ""), hands, cover)
        for hands in _hands(draft, works, most=COAT_PEOPLE_MAX)
        for cover in works[0].covers
    ]
    parts = tuple(
        Part(key=work.key, kind=work.kind, zone=work.zone, coat=work.coat, product=work.product,
             slots={name: hands.slots[index] for name, hands, _ in ways})
        for index, work in enumerate(works)
    )  # fmt: skip
    facts = TaskFacts(
        key=key,
        label=label,
        parts=parts,
        closers={name: crew_closers(draft) for name, _, _ in ways},
        people={name: hands.people for name, hands, _ in ways},
        covers={name: cover for name, _, cover in ways},
    )
    modes = tuple(_film_mode(draft, name, works=works, way=(hands, cover)) for name, hands, cover in ways)
    return draft.add(facts, modes, f"weather: {works[-1].zone}")


def _film_mode(draft: Draft, name: str, *, works: Sequence[Work], way: tuple[Hands, Cover]) -> Mode:
    hands, cover = way
    total = sum(hands.slots)
    alike = (id(cover), hands.slots, *(work.kind == "wipe" for work in works))  # the draft keeps its covers
    if alike not in draft.known_films:
        draft.known_films[alike] = _film(draft, works, way)
    starts, finish, slack = draft.known_films[alike]
    return Mode(
        key=name,
        starts=starts,
        finish=finish,
        uses={"crew": hands.people},
        cost_minor=labour_minor(draft.inputs, hands.people, total),
        needs=hands.needs + ((TENT,) if cover.key == TENT else ()),
        without=(TENT,) if cover.key == OPEN and len(works[0].covers) > 1 else (),
        slack=slack,
    )


def _film(draft: Draft, works: Sequence[Work], way: tuple[Hands, Cover]) -> tuple[Bools, Marks, Marks | None]:
    """Starts, finish and slack of work on a film under one cover, shape (slot,) each."""
    hands, cover = way
    (starts, finish), at, slack = draft.shared.straight(draft.calendar.crew, sum(hands.slots)), 0, None
    for work, slots in zip(works, hands.slots, strict=True):
        if work.kind == "wipe":
            starts = starts & later(all_open(cover.all_open(), slots), at, fill=False)
        else:
            starts = starts & later(cover.may_start(slots), at, fill=False)
            slack = later(cover.slack(slots), at, fill=0)
        at += slots
    return starts, finish, slack


def later(values: NDArray[T], slots: int, *, fill: object) -> NDArray[T]:
    """What holds `slots` slots after each slot, shape (slot,); `fill` past the end."""
    if not slots:
        return values
    moved = np.full_like(values, fill)
    moved[: values.size - slots] = values[slots:]
    return moved


def both(*open_: Bools) -> Bools:
    """Slots open in every one of the arrays, shape (slot,)."""
    return np.asarray(np.logical_and.reduce(open_), dtype=np.bool_)


def slots_up(hours: float) -> int:
    """Whole slots that hold `hours`, rounded up."""
    return math.ceil(round(hours * SLOTS_PER_HOUR, 6))
