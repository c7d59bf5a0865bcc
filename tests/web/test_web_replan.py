"""Planning anew at the desk: the log and newer weather go in; what moved, why, and what closes sooner comes out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.base.money import format_money
from boottop.begun import begun_from, days_for, hired_by, learned_windows, no_plan_yet, since_haul
from boottop.board_table import board_table
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.files.weather import load_weather
from boottop.job.board import BoardTable
from boottop.job.events import Event, Json
from boottop.job.fold import fold
from boottop.job.learn import learn
from boottop.job.slots import HAIR, mark_after
from boottop.plan.inputs import WindowKey
from boottop.plan.plan import Plan, PlannedTask
from boottop.store.documents import JOB_SHEET
from boottop.store.store import Store
from boottop.web.desk import Board, Desk
from boottop.web.house import House
from boottop.web.kept_plan import plan_of_values, plan_values
from boottop.web.new_jobs import make_demo
from boottop.web.papers import SHEET
from boottop.workflow import plan_for, weather_span
from tests.demo_job import DemoJob
from tests.log_of_plan import event, log_of
from tests.web.serving import Running, running

PORT = "coat/port side"
COPPER = "Demo copper epoxy A"


@dataclass(kw_only=True)
class Sky:
    """The weather file, with rain from one time to another on top, and an issue time."""

    first: datetime | None = None
    last: datetime | None = None
    issued: datetime | None = None

    def __call__(self, job: Job, now: datetime) -> Weather:
        assert job.weather is not None
        start, end = weather_span(job, days_for(job, now))
        weather = replace(load_weather(job.weather, site=job.site, start=start, end=end), issued=self.issued)
        if self.first is None or self.last is None:
            return weather
        rain_mm = weather.rain_mm.copy()
        hours = [int((when - weather.start) / timedelta(hours=1)) for when in (self.first, self.last)]
        rain_mm[:, hours[0] + 1 : hours[1] + 1] = 0.6
        return replace(weather, rain_mm=rain_mm)


@dataclass(kw_only=True)
class Yard:
    """A running server with the demonstration planned, and its sky."""

    server: Running
    sky: Sky
    plan: Plan

    @property
    def store(self) -> Store:
        return self.server.house.store

    def log(self, events: Sequence[Event]) -> None:
        """Write events down."""
        self.store.append(self.server.job, events, now=self.server.house.now())

    def again(self, at: datetime) -> tuple[Plan, Board]:
        """Plan anew at a moment."""
        desk = self.server.house.desk
        assert desk.begin(self.server.job, now=at)
        standing = desk.wait(self.server.job, 120.0)
        assert standing.state == "ready", standing.problems
        results, board = desk.results(self.server.job), desk.board(self.server.job)
        assert results is not None
        assert results.planned is not None
        assert board is not None
        return results.planned.plan, board


def task_of(plan: Plan, key: str) -> PlannedTask:
    """The task of a key."""
    return next(task for task in plan.tasks if task.key == key)


def port_first(house: House) -> str:
    """The demonstration, port side first: either side first costs the same, and the story below needs one."""
    job, documents = make_demo(house), house.store.documents
    sheet = documents.get(job, kind=JOB_SHEET, name=SHEET)
    text = sheet.text.replace('first_side = "either"', 'first_side = "port"')
    assert text != sheet.text
    documents.put(job, text, kind=JOB_SHEET, name=SHEET, now=house.now())
    return job


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    sky = Sky()
    folder: Path = tmp_path_factory.mktemp("replan")
    with running(folder, weather=sky) as server:
        server.job = port_first(server.house)
        found = Yard(server=server, sky=sky, plan=None)  # type: ignore[arg-type]  # planned below
        earliest = server.house.desk.ashore(server.job).job.plan.wishes.earliest_haul
        found.plan, board = found.again(earliest)
        assert board.changes == ()
        assert board.table.weather_age_h is None
        yield found


def test_the_day_as_planned_then_rain_then_a_slow_film(yard: Yard) -> None:
    """One job in the order of its day: as planned nothing changes; rain and late work say what they move, and why."""
    hull = yard.server.house.desk.ashore(yard.server.job).hull
    at = task_of(yard.plan, f"{PORT}/2").end
    yard.log(log_of(yard.plan, hull, at))
    again, board = yard.again(at)
    assert (again.launch, again.cost_minor) == (yard.plan.launch, yard.plan.cost_minor)
    assert board.changes == ("The plan stands as it was.",)

    yard.sky.first, yard.sky.last = at + timedelta(hours=1), at + timedelta(hours=9)
    yard.sky.issued = at - timedelta(hours=3)
    wet, board = yard.again(at)
    assert board.table.weather_age_h == 3.0
    more = (wet.cost_minor or 0) - (yard.plan.cost_minor or 0)
    assert board.changes[:2] == (
        "Launch: as before, Fri 13 May 13:00.",
        f"Cost: {format_money(wet.cost_minor or 0, 'USD')} instead of {format_money(319500, 'USD')}, "
        f"{format_money(more, 'USD')} more.",
    )
    assert board.table.cost_minor == wet.cost_minor
    closed = [text for text in board.changes if text.startswith("Port side, coat 3: ")]
    assert len(closed) == 1
    assert "is gone (rain); the next opens Thu 28 Apr" in closed[0]
    assert any(text.startswith("Abrade, port side: new, ") for text in board.changes)
    assert (wet.cost_minor or 0) > (yard.plan.cost_minor or 0)
    assert "cannot follow before the last is too hard to bond" in task_of(wet, "abrade/port side/again").because

    yard.sky.first = yard.sky.last = None
    finished = task_of(again, f"{PORT}/2").end
    touches = [finished + timedelta(hours=hours) for hours in (2.0, 2.5)]
    touch: dict[str, Json] = {"product": COPPER, "coat": 2}
    yard.log([
        event("touch_test", touches[0], "port side", **touch, verdict="wet"),
        event("touch_test", touches[1], "port side", **touch, verdict="tacky"),
    ])  # fmt: skip
    slow, board = yard.again(touches[1] + timedelta(minutes=5))
    assert touches[1] <= task_of(slow, f"{PORT}/3").start < touches[1] + timedelta(minutes=30)
    assert any("slower than the sheet today" in text for text in board.changes)
    assert not [task for task in slow.tasks if task.key.endswith("/again")]


def test_a_server_begun_anew_goes_on_from_the_plan_that_was_followed(yard: Yard) -> None:
    """What is hired, and the times of the old plan, come from the kept board document."""
    house = yard.server.house
    before = house.desk.board(yard.server.job)
    assert before is not None
    anew = Desk(house.store, house.cabinet, ledger=house.ledger, hub=house.hub, weather=yard.sky)
    kept = anew.board(yard.server.job)
    assert kept is not None
    assert kept.plan == before.plan
    assert (kept.version, kept.changes) == (before.version, before.changes)
    assert anew.results(yard.server.job) is None
    at = datetime.fromtimestamp(before.table.made_s, tz=UTC) + timedelta(minutes=1)
    assert anew.begin(yard.server.job, now=at)
    assert anew.wait(yard.server.job, 120.0).state == "ready"
    after = anew.board(yard.server.job)
    assert after is not None
    assert after.plan is not None
    assert before.plan is not None
    assert after.plan.options == before.plan.options
    assert after.changes == ("The plan stands as it was.",)
    anew.close()


def test_a_plan_is_kept_to_the_last_word(demo: DemoJob) -> None:
    plan = replace(demo.plan, options=("tent", "helper"))
    assert plan_of_values(json.loads(json.dumps(plan_values(plan)))) == plan


def test_work_that_is_behind_is_named(yard: Yard) -> None:
    late = task_of(yard.plan, "coat/starboard side/1").end + timedelta(days=1)
    _, board = yard.again(late)
    assert any("is not written down as done" in text for text in board.changes)


def test_a_phone_whose_clock_is_ahead_does_not_stop_the_plan(demo: DemoJob) -> None:
    """What stands in the log has happened, whatever the time beside it; nothing of it goes on after now."""
    first = min((task for task in demo.plan.tasks if task.kind == "coat"), key=lambda task: task.end)
    now = first.end - timedelta(hours=3)
    begun = begun_from(demo.ashore, demo.outlook, fold(log_of(demo.plan, demo.ashore.hull, first.end)), at=now)
    planned = plan_for(demo.ashore, begun.outlook, progress=begun.progress, time_limit_s=60.0)
    assert planned.check.faults == ()
    assert planned.plan.status == "optimal"
    coat = task_of(planned.plan, first.key)
    assert (coat.state, coat.end <= now + timedelta(minutes=15)) == ("done", True)
    assert all(task.start >= now for task in planned.plan.tasks if task.state == "to do")


def slow_film(demo: DemoJob, wet_h: float) -> list[Event]:
    """The port side's first coat, wet to the touch for long."""
    coat = task_of(demo.plan, f"{PORT}/1")
    wet = event("touch_test", coat.end + timedelta(hours=wet_h), "port side", product=COPPER, coat=1, verdict="wet")
    return [*log_of(demo.plan, demo.ashore.hull, coat.end), wet]


@pytest.fixture(scope="module")
def table(demo: DemoJob) -> BoardTable:
    return board_table(demo.ashore, demo.outlook, no_plan_yet(demo.ashore), made=demo.outlook.grid.start)


def test_board_and_plan_read_one_clock(demo: DemoJob, table: BoardTable) -> None:
    """The board multiplies the lags of its table; the plan's windows hold the very same marks."""
    coat = task_of(demo.plan, f"{PORT}/1")
    surface_c = float(table.zones[0].systems[0].surface_c[demo.outlook.grid.mark_at_or_before(coat.end)])
    read = event("reading", coat.end, "port side", surface_c=surface_c - 4.0)
    learned = learn(fold([*slow_film(demo, 3.0), read]), table)
    factor = learned.factor(COPPER)
    assert factor > 1.0
    zone = next(zone for zone in table.zones if zone.name == "port side")
    system = next(system for system in zone.systems if system.product == COPPER)
    windows = learned_windows(demo.ashore, demo.outlook, learned)[WindowKey("port side", COPPER, False)]
    for marks, band, by in (
        (system.ready, windows.ready.late, factor),
        (system.rain_safe, windows.rain_safe.late, max(1.0, factor)),
        (system.stands_safe, windows.stands_safe.late, max(1.0, factor)),
        (system.immersion, windows.immersion.late, max(1.0, factor)),
    ):
        assert [mark_after(marks, mark, factor=by) for mark in range(table.count + 1)] == band.tolist()
    until = [
        last if last > table.count else min(table.beyond, mark + int((last - mark) * factor + HAIR))
        for mark, last in enumerate(system.overcoat_until)
    ]
    assert until == windows.overcoat_until.early.tolist()
    colder = np.array(system.margin_k) + np.array(
        [learned.bias_k("port side", int(start_s)) for start_s in demo.outlook.grid.epoch_s()]
    )
    plain = demo.outlook.windows[WindowKey("port side", COPPER, False)]
    shut = (plain.rule == 0) & (windows.rule != 0)
    assert shut.any()
    assert (colder[shut] < system.dew_margin_k + 0.05).all()


def test_afloat_there_is_nothing_to_plan(demo: DemoJob) -> None:
    assert demo.plan.launch is not None
    state = fold([event("launched", demo.plan.launch)])
    with pytest.raises(InputError, match="nothing left to plan"):
        begun_from(demo.ashore, demo.outlook, state, at=demo.plan.launch)


def test_weather_that_is_over_is_refused_once_the_job_has_begun(demo: DemoJob) -> None:
    assert demo.plan.haul_out is not None
    late = demo.outlook.grid.end + timedelta(days=400)
    assert begun_from(demo.ashore, demo.outlook, fold([]), at=late).progress is None
    with pytest.raises(InputError, match="weather that reaches beyond now"):
        begun_from(demo.ashore, demo.outlook, fold([event("hauled_out", demo.plan.haul_out)]), at=late)
    assert days_for(demo.ashore.job, late) == 21
    assert days_for(demo.ashore.job, demo.ashore.job.plan.wishes.earliest_haul + timedelta(days=12)) == 33


def test_hauled_out_before_the_date_that_was_asked_for_moves_the_first_day(demo: DemoJob) -> None:
    early = demo.ashore.job.plan.wishes.earliest_haul - timedelta(days=2)
    moved = since_haul(demo.ashore, fold([event("hauled_out", early)]))
    assert moved.job.plan.wishes.earliest_haul == early
    assert since_haul(demo.ashore, fold([])) is demo.ashore


def test_what_is_paid_for(demo: DemoJob) -> None:
    job, state = demo.ashore.job, fold([event("hauled_out", demo.plan.haul_out or demo.outlook.grid.start)])
    assert job.plan.hire.tent_from is not None
    at = job.plan.hire.tent_from
    assert hired_by(job, ("tent", "helper"), state=state, at=at) == ("tent", "helper")
    at -= timedelta(hours=1)
    assert hired_by(job, ("helper",), state=state, at=at) == ("helper",)
    assert hired_by(job, ("tent", "helper"), state=fold([]), at=at) == ()
