"""One zone at one moment: how far it has come, and what the air and the film are like there now."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from boottop.climate.moist import dew_point_c
from boottop.job.board import BoardSystem, BoardTable, BoardZone
from boottop.job.learned import Learned
from boottop.job.slots import Film, slot_at, time_after
from boottop.job.state import Coat, Rain, State, ZoneState

READING_HOLDS_S = 3600
"""For how long a reading at the work goes before the weather: an hour (common practice, no source)."""


def nothing_done(zone: str) -> ZoneState:
    """The state of a zone of which nothing was written down."""
    return ZoneState(
        zone=zone, stripped_s=None, abraded_s=None, masked_s=None, wiped_s=None, activated_s=None, coats=(), taken_off=0
    )


@dataclass(frozen=True, kw_only=True)
class Situation:
    """A zone of the table with the state of the job at a moment and what was learned."""

    state: State
    table: BoardTable
    zone: BoardZone
    now_s: int
    learned: Learned

    @cached_property
    def done(self) -> ZoneState:
        """What was written down of the zone."""
        return self.state.zone(self.zone.name) or nothing_done(self.zone.name)

    @cached_property
    def place(self) -> int | None:
        """Number of the outermost system of which a coat was begun, None before the first coat."""
        begun = {coat.product for coat in self.done.coats if _begun(coat)}
        numbers = [number for number, system in enumerate(self.zone.systems) if system.product in begun]
        return numbers[-1] if numbers else None

    @cached_property
    def last(self) -> Coat | None:
        """The finished coat with the highest number of the outermost system begun, None without one."""
        finished = [coat for coat in self._coats() if coat.finished_s is not None]
        return max(finished, key=lambda coat: coat.coat) if finished else None

    @cached_property
    def open_coat(self) -> Coat | None:
        """The coat that was started and not finished, None without one."""
        above = self.last.coat if self.last is not None else 0
        started = [coat for coat in self._coats() if coat.finished_s is None and coat.coat > above and _begun(coat)]
        return max(started, key=lambda coat: coat.coat) if started else None

    def _coats(self) -> list[Coat]:
        if self.place is None:
            return []
        product = self.zone.systems[self.place].product
        return [coat for coat in self.done.coats if coat.product == product]

    @cached_property
    def film_complete(self) -> bool:
        """Whether the last coat of the last system is on."""
        systems = self.zone.systems
        return self.place == len(systems) - 1 and self.last is not None and self.last.coat >= systems[-1].coats

    @cached_property
    def due(self) -> BoardSystem:
        """The system whose coat comes next; the last one when all are on."""
        if self.place is None:
            return self.zone.systems[0]
        complete = self.last is not None and self.last.coat >= self.zone.systems[self.place].coats
        return self.zone.systems[min(self.place + complete, len(self.zone.systems) - 1)]

    def film(self, system: BoardSystem) -> Film:
        """A system here, with what was learned of its film and of this surface."""
        table, name = self.table, self.zone.name
        bias_k = [self.learned.bias_k(name, table.start_s + slot * table.slot_s) for slot in range(table.count)]
        return Film(table=table, system=system, factor=self.learned.factor(system.product), bias_k=bias_k)

    def reached_s(self, what: str) -> int | None:
        """When the last finished coat is "rain_safe", "stands_safe" or fit for "immersion", None where not known."""
        if self.last is None or self.last.finished_s is None or self.place is None:
            return None
        system = self.zone.systems[self.place]
        factor = max(1.0, self.learned.factor(system.product))
        return time_after(self.table, getattr(system, what), self.last.finished_s, factor=factor)

    def sandable_s(self) -> int | None:
        """When the last finished coat may be sanded: when it bears a stand or the water, whichever comes first."""
        times = [at_s for what in ("stands_safe", "immersion") if (at_s := self.reached_s(what)) is not None]
        return min(times) if times else None

    def sheltered(self) -> bool:
        """Whether the tent stands over the zone now."""
        roof, slot = self.due.sheltered, slot_at(self.table, self.now_s)
        return len(roof) == 2 and slot is not None and roof[0] <= slot < roof[1]

    def rained_on(self) -> bool:
        """Whether rain of the log fell on the last coat before it was rain-safe: some of it while no tent stood over
        the zone. Where it is not known when the film is rain-safe, never."""
        safe_s = self.reached_s("rain_safe")
        if safe_s is None or self.last is None or self.last.finished_s is None:
            return False
        return any(self._falls(rain, self.last.finished_s, until_s=safe_s) for rain in self.state.rain)

    def _falls(self, rain: Rain, from_s: int, *, until_s: int) -> bool:
        if rain.began_s >= until_s or (rain.ended_s is not None and rain.ended_s <= from_s):
            return False
        ended_s = max(self.now_s, rain.began_s) if rain.ended_s is None else rain.ended_s
        first_s, last_s = max(rain.began_s, from_s), min(ended_s, until_s)
        roof = [self.table.start_s + mark * self.table.slot_s for mark in self.due.sheltered]
        return len(roof) != 2 or first_s < roof[0] or last_s > roof[1]

    def spotted(self) -> bool:
        """Whether the spots of such rain are still to be sanded: nothing was done to the coat since."""
        finished_s = None if self.last is None else self.last.finished_s
        if finished_s is None or self.open_coat is not None or not self.rained_on():
            return False
        abraded_s, activated_s = self.done.abraded_s, self.done.activated_s if self.film_complete else None
        sanded = abraded_s is not None and abraded_s > finished_s
        return not sanded and not (activated_s is not None and activated_s >= finished_s)

    @cached_property
    def margin(self) -> tuple[float | None, str]:
        """Surface above dew point now, K, and where it comes from: a reading of the last hour, else the weather."""
        slot = slot_at(self.table, self.now_s)
        bias_k = self.learned.bias_k(self.zone.name, self.now_s)
        read = self._reading()
        if read is None:
            return (None if slot is None else self.due.margin_k[slot] + bias_k), "weather"
        surface_c, dew_c = read
        if surface_c is None:
            if slot is None:
                return None, "weather"
            surface_c = self.due.surface_c[slot] + bias_k
        return surface_c - dew_c, "reading"

    def _reading(self) -> tuple[float | None, float] | None:
        """Surface (None where not read) and dew point of the last hour's readings, None without air and humidity."""
        air: tuple[float, float] | None = None
        surface_c: float | None = None
        for one in self.state.readings:
            if one.zone not in (None, self.zone.name) or not 0 <= self.now_s - one.at_s <= READING_HOLDS_S:
                continue
            if one.air_c is not None and one.humidity is not None and one.humidity > 0.0:
                air = (one.air_c, one.humidity)
            if one.surface_c is not None:
                surface_c = one.surface_c
        return None if air is None else (surface_c, float(dew_point_c(*air)))


def _begun(coat: Coat) -> bool:
    return coat.started_s is not None or coat.finished_s is not None
