"""A random but lifelike job for benchmarks: one boat, synthetic weather, tent and helper on offer.

Weather is hourly diurnal temperature with autocorrelated noise and Markov rain; cure rate is
exp(0.055 (T - 20)) times a humidity factor, integrated on a 15-minute grid. Invented figures, demonstration only.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boottop.plan.network import (
    Apart,
    Link,
    Marks,
    Mode,
    Money,
    Network,
    Option,
    Resource,
    SameDay,
    Task,
)

DAY = 96
HOUR = 4


@dataclass(frozen=True, kw_only=True)
class Boat:
    """Size of the job. `zones` hull zones; the last but one is running gear, the last the stand pads."""

    days: int = 14
    zones: int = 4
    coats: int = 4
    crew: int = 2
    barriers: int = 0
    seed: int = 1
    mildness_c: float = 14.0
    rain_chance: float = 0.03


@dataclass(kw_only=True)
class _Site:
    """Weather and calendar on the grid."""

    count: int
    temperature_c: NDArray[np.float64]
    humidity: NDArray[np.float64]
    rain: NDArray[np.bool_]
    working: NDArray[np.bool_]
    day: NDArray[np.int64]


@dataclass(kw_only=True)
class _Job:
    """The network under construction."""

    boat: Boat
    site: _Site
    tasks: list[Task] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    same_day: list[SameDay] = field(default_factory=list)

    def plain(self, before: str, after: str, lag: int = 0, *, longest: int | None = None) -> None:
        marks = np.arange(self.site.count + 1)
        earliest = np.minimum(marks + lag, self.site.count + 1).astype(np.int32)
        latest = None if longest is None else np.minimum(marks + longest, self.site.count + 1).astype(np.int32)
        name = f"{before} -> {after}"
        group = name if longest is None else f"too long: {after}"
        self.links.append(Link(before=before, after=after, earliest=earliest, latest=latest, rule=name, group=group))

    def windowed(self, before: str, after: str, arrays: tuple[Marks | None, Marks | None]) -> None:
        """Waiting and longest time as two links, so that each has its own reason."""
        zone = before.split()[0]
        for earliest, latest, name in ((arrays[0], None, "film of"), (None, arrays[1], "longest overcoat time:")):
            if earliest is not None or latest is not None:
                self.links.append(
                    Link(
                        before=before,
                        after=after,
                        earliest=earliest,
                        latest=latest,
                        rule=f"{name} {before}, {after} next",
                        group=f"{name} {zone}",
                    )
                )


def boat_network(boat: Boat) -> Network:
    """The whole job of one boat as a network."""
    site = _site(boat)
    job = _Job(boat=boat, site=site)
    _shore(job)
    zones = [f"zone{number}" for number in range(boat.zones)]
    for number, zone in enumerate(zones):
        _zone(job, zone, 10 + 4 * (number % 3) if number < boat.zones - 2 else 4, shade_c=0.8 * number)
    _ending(job, zones)
    slots = np.arange(site.count + 1)
    late_from = 8 * DAY
    by_finish = 45_00 * (slots // DAY) + 80_00 * np.maximum(0, (slots - late_from) // DAY)
    by_start = -45_00 * (slots // DAY)
    return Network(
        count=site.count,
        tasks=tuple(job.tasks),
        links=tuple(job.links),
        same_day=tuple(job.same_day),
        resources=(
            Resource(name="crew", capacity=boat.crew, extra={"helper": 1}),
            Resource(name="crane", capacity=1),
        ),
        options=(Option(key="tent", cost_minor=260_00), Option(key="helper", cost_minor=180_00)),
        money=Money(first="haul", last="launch", by_start=by_start, by_finish=by_finish),
        apart=(),
    )


def apart_sides(network: Network) -> Network:
    """The same job with the first two zones kept on different days."""
    from dataclasses import replace

    first, second = (tuple(t.key for t in network.tasks if t.key.startswith(f"zone{n} coat")) for n in (0, 1))
    day = network.same_day[0].day
    return replace(network, apart=(Apart(first=first, second=second, day=day, rule="one side a day", group="sides"),))


def _site(boat: Boat) -> _Site:
    random = np.random.default_rng(boat.seed)
    hours = boat.days * 24
    noise = np.zeros(hours)
    for hour in range(1, hours):
        noise[hour] = 0.95 * noise[hour - 1] + random.normal(0, 0.6)
    clock = np.arange(hours) % 24
    temperature = boat.mildness_c + 5 * np.sin((clock - 9) / 24 * 2 * np.pi) + noise
    humidity = np.clip(0.72 - 0.16 * np.sin((clock - 9) / 24 * 2 * np.pi) + 0.02 * noise, 0.3, 1.0)
    rain = np.zeros(hours, np.bool_)
    for hour in range(1, hours):
        rain[hour] = random.random() < (0.7 if rain[hour - 1] else boat.rain_chance)
    count = boat.days * DAY
    fine = np.arange(count) / HOUR
    quarter = np.arange(count) % DAY
    day = np.arange(count) // DAY
    return _Site(
        count=count,
        temperature_c=np.interp(fine, np.arange(hours), temperature),
        humidity=np.interp(fine, np.arange(hours), humidity),
        rain=np.repeat(rain, HOUR),
        working=(quarter >= 8 * HOUR) & (quarter < 19 * HOUR),
        day=day.astype(np.int64),
    )


def _clock(site: _Site, hours: float, shade_c: float) -> Marks:
    """Mark at which a film finished at each mark has had `hours` of cure at 20 degC."""
    rate = np.exp(0.055 * (site.temperature_c - shade_c - 20)) * (1.2 - 0.5 * site.humidity)
    done = np.concatenate(([0.0], np.cumsum(rate / HOUR)))
    marks = np.searchsorted(done, done + hours, "left")
    return np.where(marks > site.count, site.count + 1, marks).astype(np.int32)


def _whole(site: _Site, length: int) -> tuple[NDArray[np.bool_], Marks]:
    """Starts from which `length` slots lie in working hours, and where they end."""
    slots = np.arange(site.count)
    ends = slots + length
    open_before = np.concatenate(([0], np.cumsum(site.working)))
    fits = (ends <= site.count) & (open_before[np.minimum(ends, site.count)] - open_before[slots] == length)
    return fits, np.where(ends <= site.count, ends, site.count + 1).astype(np.int32)


def _broken(site: _Site, length: int) -> tuple[NDArray[np.bool_], Marks]:
    """Starts in working hours of a task that stops overnight, and where it ends."""
    worked = np.concatenate(([0], np.cumsum(site.working)))
    need = worked[:-1] + length
    ends = np.searchsorted(worked, need, "left")
    return site.working & (ends <= site.count), np.where(ends <= site.count, ends, site.count + 1).astype(np.int32)


def _task(job: _Job, key: str, length: int, *, broken: bool = False) -> None:
    modes = []
    for people in range(1, job.boat.crew + 2):
        starts, finish = (_broken if broken else _whole)(job.site, -(-length // people))
        needs = ("helper",) if people > job.boat.crew else ()
        cost = 500 * people * (-(-length // people))
        modes.append(
            Mode(key=f"{people}", starts=starts, finish=finish, uses={"crew": people}, needs=needs, cost_minor=cost)
        )
    job.tasks.append(Task(key=key, modes=tuple(modes), group="crew hours"))


def _coat(job: _Job, key: str, length: int, *, rain_safe: Marks) -> None:
    site = job.site
    modes = []
    wet = np.concatenate(([0], np.cumsum(site.rain | (site.humidity > 0.86))))
    rain = np.concatenate(([0], np.cumsum(site.rain)))
    for people in range(1, job.boat.crew + 2):
        slots = -(-length // people)
        fits, finish = _whole(site, slots)
        ends = np.minimum(finish, site.count)
        safe = np.minimum(rain_safe[ends], site.count)
        dry = fits & (wet[ends] == wet[:-1]) & (rain[safe] == rain[ends])
        needs = ("helper",) if people > job.boat.crew else ()
        cost, uses = 500 * people * slots, {"crew": people}
        for name, starts, extra, barred in (("open", dry, (), ("tent",)), ("tent", fits, ("tent",), ())):
            modes.append(
                Mode(
                    key=f"{people} {name}",
                    starts=starts,
                    finish=finish,
                    uses=uses,
                    cost_minor=cost,
                    needs=(*needs, *extra),
                    without=barred,
                    slack=_run_left(starts) if name == "open" else None,
                )
            )
    job.tasks.append(Task(key=key, modes=tuple(modes), group=f"weather: {key.split()[0]}"))


def _run_left(starts: NDArray[np.bool_]) -> Marks:
    """Slots for which the starts stay open after each."""
    left = np.zeros(len(starts), np.int32)
    for slot in range(len(starts) - 2, -1, -1):
        left[slot] = left[slot + 1] + 1 if starts[slot] and starts[slot + 1] else 0
    return left


def _shore(job: _Job) -> None:
    site = job.site
    quarter = np.arange(site.count) % DAY
    lift = np.isin(quarter, [9 * HOUR, 14 * HOUR]) & (site.day % 7 < 5)
    finish = np.minimum(np.arange(site.count) + 4, site.count + 1).astype(np.int32)
    early = lift & (site.day < 7)
    for key, starts in (("haul", early), ("launch", lift)):
        modes = (Mode(key="crane", starts=starts, finish=finish, uses={"crane": 1}),)
        job.tasks.append(Task(key=key, modes=modes, group="lift slots"))
    _task(job, "wash", 8)
    _task(job, "mask", 6)
    job.plain("haul", "wash", longest=8)


def _zone(job: _Job, zone: str, length: int, *, shade_c: float) -> None:
    site, boat = job.site, job.boat
    _task(job, f"{zone} strip", 4 * length, broken=True)
    _task(job, f"{zone} abrade", length, broken=True)
    _task(job, f"{zone} wipe", max(2, length // 4))
    job.plain("wash", f"{zone} strip")
    job.plain(f"{zone} strip", f"{zone} abrade", 24)
    job.plain(f"{zone} abrade", f"{zone} wipe")
    ready, late = _clock(site, 0.8, shade_c), _clock(site, 6.0, shade_c)
    safe = _clock(site, 1.0, shade_c)
    before = f"{zone} wipe"
    for coat in range(boat.barriers):
        key = f"{zone} barrier{coat + 1}"
        _coat(job, key, length, rain_safe=safe)
        job.windowed(before, key, (_clock(site, 4.0, shade_c), _clock(site, 60.0, shade_c)))
        before = key
    for coat in range(boat.coats):
        key = f"{zone} coat{coat + 1}"
        _coat(job, key, length, rain_safe=safe)
        if coat == 0 and not boat.barriers:
            job.plain(before, key, 2, longest=24)
        elif coat == 0:
            job.windowed(before, key, (_clock(site, 3.0, shade_c), _clock(site, 30.0, shade_c)))
        else:
            job.windowed(before, key, (ready, late))
        before = key
    keys = tuple(f"{zone} coat{coat + 1}" for coat in range(boat.coats))
    job.same_day.append(SameDay(tasks=keys, day=site.day, rule="all coats in one day", group=f"one day: {zone}"))


def _ending(job: _Job, zones: list[str]) -> None:
    site, boat = job.site, job.boat
    starts, finish = _whole(site, 8)
    job.tasks.append(Task(key="stands", modes=(Mode(key="yard", starts=starts, finish=finish),)))
    _task(job, "sand", 12)
    last = f"coat{boat.coats}"
    job.plain("wash", "mask")
    for zone in zones:
        job.plain("mask", f"{zone} coat1")
    for number, zone in enumerate(zones[:-1]):
        job.windowed(f"{zone} {last}", "stands", (_clock(site, 36.0, 0.8 * number), None))
    job.plain("stands", f"{zones[-1]} strip")
    for number, zone in enumerate(zones):
        job.windowed(f"{zone} {last}", "sand", (_clock(site, 30.0, 0.8 * number), None))
        job.windowed(f"{zone} {last}", "launch", (_clock(site, 34.0, 0.8 * number), None))
    job.plain("sand", "launch", longest=2 * DAY)
