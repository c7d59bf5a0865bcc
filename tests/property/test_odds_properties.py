"""What must hold of any study, whatever the weather."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.plan.choose_pick import upper_limit
from boottop.plan.odds_program import first_reaching, next_start
from boottop.plan.odds_result import Question, place_odds
from boottop.plan.odds_table import Starts, year_draws
from boottop.plan.odds_walk import DONE
from boottop.plan.odds_ways import Option, Outcomes, Way, draft_ways, walk_way, ways_for
from tests.plan import jobs
from tests.plan.odds_jobs import job_under, random_sky

STARTS = np.arange(0, 5 * 96, 48, dtype=np.int32)


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 10_000), people=st.integers(1, 3))
def test_walks_keep_their_bounds(seed: int, people: int) -> None:
    job = job_under(random_sky(seed), jobs.inputs(people=people))
    readies, pool = draft_ways({None: job}, jobs.hull(), ways_for([Option(people=people)], "either"))
    for ready in readies:
        short, long = (walk_way(ready, pool, STARTS, slots=days * 96) for days in (9, 14))
        done = short.status == DONE
        assert np.all(long.launch[done] == short.launch[done]), "a longer horizon changes no launch within the shorter"
        assert np.all(short.launch[done] <= STARTS[done] + 9 * 96)
        assert np.all(short.haul[done] >= STARTS[done])
        days = ready.drafted.program.day
        waited = days[short.launch[done] - 1] - days[STARTS[done]]
        assert np.all(short.lost[done].sum(axis=1) <= waited), "no day is lost twice"
        assert not short.lost[~done].any()


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_later_start_is_never_afloat_before_an_earlier_one_of_the_same_haul_out(seed: int) -> None:
    job = job_under(random_sky(seed), jobs.inputs(people=2))
    readies, pool = draft_ways({None: job}, jobs.hull(), ways_for([Option(people=2)], "either", firsts=("port",)))
    for ready in readies:
        found = walk_way(ready, pool, STARTS, slots=14 * 96)
        for one, other in zip(range(STARTS.size - 1), range(1, STARTS.size), strict=True):
            if found.status[one] == found.status[other] == DONE and found.haul[one] == found.haul[other]:
                assert found.launch[one] == found.launch[other]


@given(st.lists(st.booleans(), min_size=1, max_size=60), st.integers(1, 5))
def test_next_start_is_the_first_admissible_one(open_: list[bool], slots: int) -> None:
    starts = np.array(open_)
    finish = np.minimum(np.arange(starts.size) + slots, starts.size + 1).astype(np.int32)
    found = next_start(starts, finish)
    for mark in range(starts.size + 2):
        later = [slot for slot in range(mark, starts.size) if open_[slot] and finish[slot] <= starts.size]
        assert found[mark] == (later[0] if later else starts.size + 1)


@given(st.lists(st.integers(0, 30), min_size=2, max_size=31))
def test_first_reaching_is_the_inverse_of_a_rising_row(values: list[int]) -> None:
    row = np.sort(np.array(values, dtype=np.int32))
    found = first_reaching(row)
    for mark in range(row.size):
        places = np.flatnonzero(row >= mark)
        assert found[mark] == (places[0] if places.size else row.size - 1)


@given(st.integers(1, 300), st.data())
def test_upper_limit_lies_above_the_share_and_falls_with_members(members: int, data: st.DataObject) -> None:
    late = data.draw(st.integers(0, members))
    limit = upper_limit(late, members)
    assert late / members <= limit <= 1.0
    assert upper_limit(late, members + 1) <= limit


@settings(max_examples=30, deadline=None)
@given(
    days=st.lists(st.integers(-1, 35), min_size=2, max_size=40),
    seed=st.integers(0, 5),
)
def test_chances_rise_with_the_days_and_add_up_with_never(days: list[int], seed: int) -> None:
    table = np.array([days], dtype=np.int16)
    count = len(days)
    none = np.zeros((1, count, 9), np.int16)
    cost = np.full((1, count), 100, np.int64)
    outcomes = Outcomes(
        days=table, ashore=table, cost_minor=cost, lost=none, forecast_days=table, forecast_ashore=table,
        forecast_cost_minor=cost, spoilt=np.zeros_like(table),
    )  # fmt: skip
    starts = Starts(week=np.arange(count) % 3, year=2000 + np.arange(count) % 4, outcomes=outcomes, horizon_days=35)
    way = Way(option=Option(people=2), policy="together", first="port")
    question = Question(within=(5, 10, 20, 35), target_days=20, week=0, seed=seed)
    (option,) = place_odds("yard", starts, (way,), question=question).options
    for row in option.best.weeks:
        chances = [row.within[limit].value for limit in sorted(row.within)]
        assert chances == sorted(chances)
        assert abs(chances[-1] + row.never.value - 1.0) < 1e-12
        for one in (*row.within.values(), row.never):
            assert one.low is None or 0.0 <= one.low <= one.high <= 1.0  # type: ignore[operator] # both or none
    assert sum(row.never.starts for row in option.best.weeks) == count
    assert year_draws(4, seed=seed).sum(axis=1).tolist() == [4] * 1000
