"""Pots that are open and litres that are left, worked out by hand."""

from __future__ import annotations

import pytest

from boottop.job.stock import pot_life_min
from tests.job.small_board import COATED, PAINT, Line, board, log, seconds, system, table

MIXED: Line = (7.0, "batch_mixed", {"product": PAINT, "litres": 2.0, "batch_c": 15.0})


def test_a_pot_at_fifteen_degrees_lasts_between_those_of_the_sheet() -> None:
    """90 min at 10 degC and 60 at 20: 75 at 15, of which three quarters are good to use; stirred every ten minutes."""
    (pot,) = board(log(MIXED), 7.5).batches
    assert (pot.gone_s, pot.use_by_s) == (seconds(8.25), seconds(7.0) + 3375)
    assert (pot.stir_s, pot.measured, pot.batch_c) == (seconds(7.5), True, 15.0)
    assert board(log(MIXED), 7.51).batches[0].stir_s == seconds(7.0) + 40 * 60


@pytest.mark.parametrize(("batch_c", "minutes"), [(-5.0, 90.0), (10.0, 90.0), (12.5, 82.5), (20.0, 60.0), (35.0, 60.0)])
def test_outside_the_sheet_the_end_value_holds(batch_c: float, minutes: float) -> None:
    assert pot_life_min(((10.0, 90.0), (20.0, 60.0)), batch_c) == minutes


def test_a_pot_that_was_not_measured_is_as_warm_as_the_warmest_surface_or_twenty() -> None:
    unmeasured: Line = (7.0, "batch_mixed", {"product": PAINT, "litres": 2.0})
    (mild,) = board(log(unmeasured), 7.5).batches
    assert (mild.batch_c, mild.measured) == (20.0, False)
    (hot,) = board(log(unmeasured), 7.5, table(system(surface_c=(31.0,) * 192))).batches
    assert hot.batch_c == 31.0


def test_a_pot_that_is_used_up_counts_no_more() -> None:
    events = log(MIXED, (7.75, "batch_done", {}))
    done = [events[0], type(events[1])(**{**vars(events[1]), "zone": None, "data": {"batch": events[0].id}})]
    assert board(done, 8.0).batches == ()
    assert board(done, 8.0).litres[0].in_pots_l == 0.0


def test_litres_bought_mixed_left_and_needed() -> None:
    """Six bought, three coats of 1.5 planned; the first took 1.8, so the two to come are reckoned at 1.8 each."""
    (litres,) = board(log(MIXED, *COATED), 8.0).litres
    assert (litres.bought_l, litres.mixed_l, litres.in_pots_l, litres.left_l) == (6.0, 2.0, 2.0, 4.0)
    assert litres.used_ratio == pytest.approx(1.2)
    assert litres.needed_l == pytest.approx(3.6)
    assert litres.enough
    (fresh,) = board([], 8.0).litres
    assert (fresh.used_ratio, fresh.needed_l, fresh.enough) == (1.0, 4.5, True)
    thick = log(MIXED, (7.5, "coat_finished", {"litres": 9.0}))
    (held,) = board(thick, 8.0).litres
    assert (held.used_ratio, held.needed_l, held.enough) == (2.0, 6.0, True)
    (short,) = board(thick, 8.0, table(stock=())).litres
    assert not short.enough
