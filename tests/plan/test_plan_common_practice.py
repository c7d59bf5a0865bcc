"""The rule of thumb of the trade: two people in fair weather are afloat about a week after the first coat.

Common practice, no source: two people, fair mild weather, one side a day, 72 h before the stands move, pads and gear in
one day, 48 h before launching: about a week from the first coat, nine days at most.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from boottop.climate.climate import Climate
from boottop.coating.sheet import ProductSheet, Times
from boottop.measure.hull import Hull
from boottop.plan.inputs import PlanInput, WindowKey
from boottop.plan.make import make_plan
from boottop.plan.plan import Plan
from boottop.windows.build import zone_windows
from boottop.windows.windows import ZoneWindows
from tests.plan import jobs


def mild(boat: Hull) -> Climate:
    """Fair mild weather: 15 degC at night, 20 degC in the afternoon, a steady dew point of 9 degC, a light wind."""
    base = jobs.Sky().climate(boat)
    _, minute = jobs.grid().local(jobs.PLACE)
    air_c = (17.5 + 2.5 * np.cos(2.0 * np.pi * (minute - 15 * 60) / 1440.0)).astype(np.float32)
    return replace(
        base,
        air_c=air_c[None, :],
        dew_c=np.full_like(base.dew_c, 9.0),
        surface_c=np.broadcast_to(air_c, base.surface_c.shape).astype(np.float32),
        rh=np.full(base.grid.count, 0.6),
    )


def one(hours: float) -> Times:
    """A time of the sheet at 20 degC and at 10 degC, where it takes twice as long."""
    return Times(temperature_c=(10.0, 20.0), hours=(2.0 * hours, hours))


def ordinary() -> ProductSheet:
    """Tacky in 50 minutes, stands after 72 h and afloat after 48 h at the 17.5 degC of these days."""
    slower = 2.0 ** ((20.0 - 17.5) / 10.0)  # near enough to Arrhenius between 15 and 20 degC
    return replace(
        jobs.sheet(),
        tacky=one(50.0 / 60.0),
        overcoat_max=one(10.0),
        rain_safe=one(3.0),
        stands_safe=one(72.0 / slower),
        immersion=one(48.0 / slower),
    )


@pytest.fixture(scope="module")
def fair() -> Plan:
    boat = jobs.hull()
    job = jobs.with_wishes(jobs.inputs(), sides="side_a_day")
    job = replace(job, systems=(replace(job.systems[0], sheet=ordinary()),))
    climate = mild(boat)
    return make_plan(job, boat, windows=_windows(job, boat, climate), climate=climate, time_limit_s=30.0)


def _windows(job: PlanInput, boat: Hull, climate: Climate) -> dict[WindowKey, ZoneWindows]:
    sheet = job.systems[0].sheet
    return {
        WindowKey(zone.name, sheet.name, False): zone_windows(climate, zone, sheet)
        for zone in boat.zones
        if zone.coated
    }


def test_afloat_about_a_week_after_the_first_coat(fair: Plan) -> None:
    assert fair.status == "optimal"
    assert fair.launch is not None
    first = min(task.start for task in fair.tasks if task.kind == "coat")
    assert timedelta(days=6) <= fair.launch - first <= timedelta(days=9)


def test_four_coats_of_a_side_in_one_working_day(fair: Plan) -> None:
    for side in ("port side", "starboard side"):
        coats = [task for task in fair.tasks if task.kind == "coat" and task.zone == side]
        assert [task.coat for task in coats] == [1, 2, 3, 4]
        assert coats[-1].end - coats[0].start <= timedelta(hours=10)


def test_each_side_has_its_own_day_and_pads_and_gear_can_share_one(fair: Plan) -> None:
    days = {
        zone: {
            task.start.astimezone(jobs.PLACE).date() for task in fair.tasks if task.zone == zone and task.kind == "coat"
        }
        for zone in ("port side", "starboard side", "running gear", "pads 1")
    }
    assert all(len(found) == 1 for found in days.values())
    assert days["port side"] != days["starboard side"]


def test_stands_wait_three_days_and_the_launch_two(fair: Plan) -> None:
    by_key = {task.key: task for task in fair.tasks}
    sides = max(by_key[f"coat/{side}/4"].end for side in ("port side", "starboard side"))
    assert timedelta(hours=71) <= by_key["move_stands"].start - sides
    assert fair.launch is not None
    assert timedelta(hours=47) <= fair.launch - by_key["coat/pads 1/4"].end
