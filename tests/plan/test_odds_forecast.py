"""A crew that has only its forecast: right forecasts cost nothing, wrong ones cost coats."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.plan.odds_forecast import Blind, Forecasted, blind_of, known_days, walk_forecast
from boottop.plan.odds_names import POLICIES, Policy
from boottop.plan.odds_order import order_of
from boottop.plan.odds_program import Choice, Drafted, Pool, draft_program
from boottop.plan.odds_walk import DONE, Placements, scenarios, walk_placed
from boottop.windows.windows import Rule
from tests.plan import jobs
from tests.plan.odds_jobs import job_under, random_sky

STARTS = np.arange(0, 5 * 96, 24, dtype=np.int32)


def told(sky: jobs.Sky, policy: Policy, *, skill: float) -> tuple[Forecasted, Placements, Blind, Drafted]:
    """The walk by forecast beside the walk of those who know."""
    job = job_under(sky, jobs.inputs(people=3))
    pool = Pool(count=job.network.count)
    drafted = draft_program(job, order_of(job, jobs.hull(), policy=policy, first="port"), Choice(people=3), pool=pool)
    coat_minor = {"port side": 700, "starboard side": 700}
    known = known_days(job, skill=skill, seed=4)
    blind = blind_of(job, drafted, pool=pool, known=known, coat_minor=coat_minor)
    assert blind is not None
    program, case = drafted.with_pool(pool.rows()), scenarios(STARTS, slots=14 * 96)
    return walk_forecast(program, blind, case), walk_placed(program, case), blind, drafted


@pytest.mark.parametrize("policy", POLICIES)
def test_fair_weather_needs_no_forecast(policy: Policy) -> None:
    by_forecast, knowing, _, _ = told(jobs.Sky(tacky_h=0.5), policy, skill=0.0)
    assert np.array_equal(by_forecast.status, knowing.status)
    done = knowing.status == DONE
    assert done.any()
    assert np.all(by_forecast.launch[done] >= knowing.finish[done, -1])
    assert not by_forecast.spoilt.any()


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("policy", POLICIES)
def test_a_forecast_that_is_always_right_spoils_nothing(policy: Policy, seed: int) -> None:
    by_forecast, _, _, _ = told(random_sky(seed), policy, skill=1.0)
    assert not by_forecast.spoilt.any()
    assert not by_forecast.cost_minor.any()


def test_worse_forecasts_spoil_more_coats_and_cost_more() -> None:
    spoilt, cost = [], []
    for skill in (1.0, 0.6, 0.0):
        walks = [told(random_sky(seed), "side_a_day", skill=skill)[0] for seed in range(6)]
        spoilt.append(sum(int(one.spoilt.sum()) for one in walks))
        cost.append(sum(int(one.cost_minor.sum()) for one in walks))
    assert spoilt[0] == 0 < spoilt[1] < spoilt[2]
    assert cost[0] == 0 < cost[1] < cost[2]


def test_a_shower_after_a_fair_day_costs_the_coats_begun_and_the_sanding() -> None:
    """Persistence: Wednesday was fair, so Thursday is taken to be; at 15:00 it rains on what was rolled."""
    sky = jobs.Sky(tacky_h=0.5, immersion_h=24.0, stands_h=24.0)
    for day in (0, 1):
        sky.rains(day)
    sky.rains(3, "15:00", "18:00")
    for day in range(4, 9):
        sky.closes(Rule.DEW_MARGIN, day, first="00:00", last="12:00")
    by_forecast, knowing, blind, drafted = told(sky, "side_a_day", skill=0.0)
    first = by_forecast.spoilt[0]
    assert first >= 1
    assert by_forecast.launch[0] > knowing.finish[0, -1] or by_forecast.status[0] != DONE
    least = min(int(paid) for paid, coat in zip(blind.paid, blind.coat, strict=True) if coat)
    assert by_forecast.cost_minor[0] >= first * least
    assert len(drafted.keys) == blind.coat.size


def test_the_same_days_are_right_for_every_option_and_piece() -> None:
    job = job_under(jobs.Sky(), jobs.inputs())
    assert np.array_equal(known_days(job, skill=0.5, seed=9), known_days(job, skill=0.5, seed=9))
    assert not np.array_equal(known_days(job, skill=0.5, seed=9), known_days(job, skill=0.5, seed=10))
    assert known_days(job, skill=1.0, seed=9).all()
