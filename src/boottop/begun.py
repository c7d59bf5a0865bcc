"""A job that has begun, between log and plan: what was done, what thumb and thermometer taught, the windows with it.

Page and command line plan anew through here, so that both read the same numbers as the board.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.climate.blend import Observation, blend
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.job.board import BoardTable
from boottop.job.events import Event
from boottop.job.learn import learn
from boottop.job.learned import Learned
from boottop.job.settle import settle
from boottop.job.situation import Situation
from boottop.job.state import Coat, State, ZoneState
from boottop.job.step_film import last_touch
from boottop.plan.calendar import said
from boottop.plan.corrected import corrected
from boottop.plan.inputs import WindowKey
from boottop.plan.network import SolverReport
from boottop.plan.plan import Plan
from boottop.plan.progress import Deed, Progress, Touch
from boottop.plan.rules_modes import TENT
from boottop.plan.tasks import COAT_KIND
from boottop.windows.windows import ZoneWindows
from boottop.workflow import HORIZON_DAYS, Ashore, Outlook, Planned

if TYPE_CHECKING:
    from boottop.plan.checker import CheckReport

LONGEST_DAYS = 60
TOUCHES: Mapping[str, Touch] = {"wet": "wet", "tacky": "tacky", "past tacky": "past tacky"}


@dataclass(frozen=True, kw_only=True)
class Begun:
    """How far a job has come at a moment: `progress` for the plan (None for one that lies in weather long past and was
    never begun), what was `learned`, and the `outlook` corrected by it."""

    at: datetime
    progress: Progress | None
    learned: Learned
    outlook: Outlook


def since_haul(ashore: Ashore, state: State) -> Ashore:
    """The job with its days beginning no later than the haul-out that is in the log."""
    first = min((one for one in (state.hauled_s, state.washed_s) if one is not None), default=None)
    wishes = ashore.job.plan.wishes
    if first is None or _utc(first) >= wishes.earliest_haul:
        return ashore
    plan = replace(ashore.job.plan, wishes=replace(wishes, earliest_haul=_utc(first)))
    return Ashore(replace(ashore.job, plan=plan))


def days_for(job: Job, at: datetime) -> int:
    """Days to look at from the earliest haul-out, so that from now on there are as many again; of a job whose days
    are long past only the usual ones."""
    gone = (at - job.plan.wishes.earliest_haul) / timedelta(days=1)
    if gone > LONGEST_DAYS:
        return HORIZON_DAYS
    return HORIZON_DAYS + max(0, int(np.floor(gone)))


def hired_by(job: Job, options: Sequence[str], *, state: State, at: datetime) -> tuple[str, ...]:
    """Of the options of the last plan those that are paid for by now: the tent once it is up, the helper once she is
    ashore."""
    up = job.plan.hire.tent_from is not None and job.plan.hire.tent_from <= at
    ashore = state.hauled_s is not None
    return tuple(option for option in options if (up if option == TENT else ashore))


def with_readings(weather: Weather, events: Iterable[Event], *, now: datetime) -> Weather:
    """The weather corrected by the readings of air and humidity that stand in the log."""
    observations = [
        Observation(time=event.happened, air_c=float(air_c), rh=_share(event.data.get("humidity")))
        for event in settle(events).events
        if event.kind == "reading" and event.happened <= now
        and isinstance(air_c := event.data.get("air_c"), int | float)
    ]  # fmt: skip
    return blend(weather, observations, now=now).weather if observations else weather


def _share(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and value > 0 else None


def begun_from(
    ashore: Ashore,
    outlook: Outlook,
    state: State,
    *,
    at: datetime,
    hired: Sequence[str] = (),
    before: Plan | None = None,
) -> Begun:
    """Everything that planning anew takes from the log, at a moment; `hired`: options paid for already; `before`: the
    plan followed so far."""
    from boottop.board_table import board_table

    if state.launched_s is not None:
        raise InputError(_afloat(ashore, _utc(state.launched_s)))
    table = board_table(ashore, outlook, no_plan_yet(ashore, hired), made=at)
    learned = learn(state, table)
    progress = Progress(
        at=at,
        deeds=tuple(_by_now(deed, at) for deed in _deeds(ashore, state, table, learned)),
        hired=tuple(hired),
        before=before,
        film=tuple((clock.product, clock.factor) for clock in learned.clocks),
    )
    over = at >= outlook.grid.end
    if over and progress.deeds:
        raise InputError(_too_late(ashore, outlook.grid.end))
    return Begun(
        at=at,
        progress=None if over else progress,
        learned=learned,
        outlook=replace(outlook, windows=learned_windows(ashore, outlook, learned)),
    )


def _afloat(ashore: Ashore, launched: datetime) -> Problem:
    return Problem(
        where="log",
        found=f"launched on {said(launched.astimezone(ZoneInfo(ashore.job.plan.yard.zone_name)))}",
        allowed="a boat ashore",
        advice="There is nothing left to plan. If she was not launched, strike that event from the log.",
    )


def _too_late(ashore: Ashore, end: datetime) -> Problem:
    return Problem(
        where="weather",
        found=f"known until {said(end.astimezone(ZoneInfo(ashore.job.plan.yard.zone_name)))}, which is past",
        allowed="weather that reaches beyond now, for a job that has begun",
        advice="Bring in a newer weather file, or take the file out of the sheet so that the open services are asked.",
    )


def no_plan_yet(ashore: Ashore, hired: Sequence[str] = ()) -> Planned:
    """A plan without tasks, for a board that is asked before there is one."""
    report = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, branches=0, variables=0)
    plan = Plan(
        status="unknown", tasks=(), options=tuple(hired), cost_minor=None, cost_lines=(),
        currency=ashore.job.plan.currency, haul_out=None, launch=None, reasons=(), ways_out=(), report=report,
    )  # fmt: skip
    return Planned(plan=plan, check=_nothing_checked())


def _nothing_checked() -> CheckReport:
    from boottop.plan.checker import CheckReport

    return CheckReport(checked=(), faults=())


def learned_windows(ashore: Ashore, outlook: Outlook, learned: Learned) -> Mapping[WindowKey, ZoneWindows]:
    """The windows with each product's clock and each zone's surface as they were learned: what the board reckons."""
    margins = {system.sheet.name: system.sheet.limits.dew_margin_k for system in ashore.job.plan.systems}
    bias_k = {
        one.zone: np.array([learned.bias_k(one.zone, int(start_s)) for start_s in outlook.grid.epoch_s()])
        for one in learned.surfaces
    }
    level = np.zeros(outlook.grid.count)
    return {
        key: corrected(
            windows,
            factor=learned.factor(key.product),
            bias_k=bias_k.get(key.zone, level),
            dew_margin_k=margins[key.product],
        )
        for key, windows in outlook.windows.items()
    }


def _utc(epoch_s: int) -> datetime:
    return datetime.fromtimestamp(epoch_s, tz=UTC)


def _deeds(ashore: Ashore, state: State, table: BoardTable, learned: Learned) -> Iterator[Deed]:  # noqa: PLR0917 log, then what reads it
    for kind, at_s in (("haul_out", state.hauled_s), ("wash", state.washed_s), ("launch", state.launched_s)):
        if at_s is not None:
            yield Deed(kind=kind, end=_utc(at_s))
    if (moved := _stands_moved(ashore, state)) is not None:
        yield Deed(kind="move_stands", end=moved)
    for job in ashore.job.plan.extra_jobs:
        told = [work.at_s for work in state.work if same_work(work.name, job.name)]
        if told:
            yield Deed(kind="extra", name=job.name, end=_utc(max(told)))
    now_s = table.made_s
    for zone in table.zones:
        if (done := state.zone(zone.name)) is not None:
            place = Situation(state=state, table=table, zone=zone, now_s=now_s, learned=learned)
            yield from _zone_deeds(ashore, done, place)


def _by_now(deed: Deed, at: datetime) -> Deed:
    """A deed of the log lies behind us, even where a phone's clock is ahead and says otherwise."""
    start, end, touched = (None if when is None else min(when, at) for when in (deed.start, deed.end, deed.touched))
    if start is not None and end is not None and start >= end:
        start = None
    return replace(deed, start=start, end=end, touched=touched)


def same_work(written: str, name: str) -> bool:
    """Whether other work of the log is an own job of the sheet: small and capital letters and blanks do not matter."""
    return " ".join(written.split()).casefold() == " ".join(name.split()).casefold()


def _stands_moved(ashore: Ashore, state: State) -> datetime | None:
    """When the last set was moved that hides a spot; None while one stands where it stood."""
    wanted = {zone.stand_set for zone in ashore.hull.zones if zone.coated and zone.stand_set is not None}
    moved = {one.stand_set: one.at_s for one in state.stands}
    if not wanted or not wanted <= set(moved):
        return None
    return _utc(max(moved[one] for one in wanted))


def _zone_deeds(ashore: Ashore, done: ZoneState, place: Situation) -> Iterator[Deed]:
    steps = (
        ("strip", done.stripped_s), ("abrade", done.abraded_s), ("mask", done.masked_s), ("wipe", done.wiped_s),
        ("activate", done.activated_s),
    )  # fmt: skip
    for kind, at_s in steps:
        if at_s is not None:
            yield Deed(kind=kind, zone=done.zone, end=_utc(at_s))
    roles = {system.sheet.name: system.role for system in ashore.job.plan.systems}
    for coat in done.coats:
        highest = max((one.coat for one in done.coats if one.product == coat.product and one.finished_s), default=0)
        begun = coat.finished_s is not None or (coat.started_s is not None and coat.coat > highest)
        if begun and coat.product in roles:
            rained = coat is place.last and place.rained_on()
            yield _coat_deed(coat, zone=done.zone, kind=COAT_KIND[roles[coat.product]], rained=rained)


def _coat_deed(coat: Coat, *, zone: str, kind: str, rained: bool) -> Deed:
    touch = last_touch(coat)
    started = None if coat.started_s is None else _utc(coat.started_s)
    ended = None if coat.finished_s is None else _utc(coat.finished_s)
    if started is not None and ended is not None and started > ended:
        started = None
    return Deed(
        kind=kind,
        zone=zone,
        start=started,
        end=ended,
        coat=coat.coat,
        product=coat.product,
        people=coat.people,
        touch="" if touch is None else TOUCHES.get(touch.verdict, ""),
        touched=None if touch is None else _utc(touch.at_s),
        rained=rained,
    )
