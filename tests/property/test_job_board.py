"""What may be done now, for any log and any moment: bounds, and answers that agree with each other."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.job.conformance_tables import COUNT, SLOT_S, START
from boottop.job.events import Event
from boottop.job.fold import fold
from boottop.job.learn import BIAS_MAX_K, FACTOR_BOUNDS, learn
from boottop.job.next_step import board_at
from boottop.job.nexts import BECAUSE_TEXT, COUNTDOWN_TEXT, STEP_TEXT
from boottop.job.stock import pot_life_min
from tests.job.logs import FAIR, MIXED, logs, s

MOMENTS = st.integers(-4 * SLOT_S, (COUNT + 4) * SLOT_S).map(lambda after: s(START + timedelta(seconds=after)))
TABLES = st.sampled_from([FAIR, MIXED])


@settings(max_examples=150, deadline=None)
@given(logs(), TABLES, MOMENTS)
def test_the_answers_of_the_board_agree_with_each_other(events: list[Event], table: object, now_s: int) -> None:
    table = FAIR if table is FAIR else MIXED
    state = fold(events)
    board = board_at(state, table, now_s=now_s, learned=learn(state, table))
    assert [step.zone for step in board.steps] == [zone.name for zone in table.zones]
    for step in board.steps:
        assert step.kind in STEP_TEXT
        assert step.because is None or step.because in BECAUSE_TEXT
        assert step.may_now == (step.may_from_s == now_s)
        assert step.may_from_s is None or step.may_from_s >= now_s
        assert not step.may_now or step.why_not is None, "what may be done now needs no reason against it"
        assert step.may_now or step.why_not is not None or step.kind == "done", "what may not be done has a reason"
        assert step.until_s is None or not step.may_now or step.until_s >= now_s
        assert {one.name for one in step.countdowns} <= set(COUNTDOWN_TEXT)
    assert board.rain_at_s is None or board.rain_at_s >= now_s
    for litres in board.litres:
        assert min(litres.left_l, litres.needed_l, litres.in_pots_l, litres.mixed_l) >= 0.0
        assert 0.5 <= litres.used_ratio <= 2.0
    for batch in board.batches:
        assert batch.mixed_s < batch.use_by_s < batch.gone_s
        assert batch.stir_s is None or batch.stir_s >= min(now_s, batch.mixed_s)


@settings(max_examples=150, deadline=None)
@given(logs(), TABLES, st.data())
def test_what_was_learned_stays_in_its_bounds_whatever_the_order(
    events: list[Event], table: object, data: st.DataObject
) -> None:
    table = FAIR if table is FAIR else MIXED
    learned = learn(fold(events), table)
    assert all(FACTOR_BOUNDS[0] <= clock.factor <= FACTOR_BOUNDS[1] for clock in learned.clocks)
    assert all(abs(one.bias_k) <= BIAS_MAX_K for one in learned.surfaces)
    assert learn(fold(data.draw(st.permutations(events))), table) == learned


@settings(deadline=None)
@given(st.floats(-20.0, 60.0), st.floats(-20.0, 60.0))
def test_a_warmer_pot_never_lasts_longer(one_c: float, other_c: float) -> None:
    pairs = FAIR.zones[0].systems[0].pot_life_min
    cold, warm = sorted((one_c, other_c))
    assert pot_life_min(pairs, cold) >= pot_life_min(pairs, warm) >= pairs[-1][1]
