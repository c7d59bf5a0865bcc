"""Lanes: a central one, and the doubts drawn evenly over their ranges."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from boottop.climate.draws import Draws, make_draws


def test_lane_0_is_central() -> None:
    drawn = make_draws(32, 5)
    for field in fields(Draws):
        expected = 0.0 if "shift" in field.name else 1.0
        assert getattr(drawn, field.name)[0] == expected


def test_same_seed_same_lanes_other_seed_others() -> None:
    one, again, other = make_draws(16, 5), make_draws(16, 5), make_draws(16, 6)
    np.testing.assert_array_equal(one.air_shift_k, again.air_shift_k)
    assert not np.array_equal(one.air_shift_k, other.air_shift_k)


@pytest.mark.parametrize("lanes", [1, 2, 32, 64])
def test_as_many_lanes_as_asked(lanes: int) -> None:
    drawn = make_draws(lanes, 0)
    assert drawn.lanes == lanes
    assert all(getattr(drawn, field.name).shape == (lanes,) for field in fields(Draws))


def test_each_lane_has_its_own_stratum() -> None:
    """Latin hypercube: sorted, the shares of the normal lie one in each of 63 equal strata."""
    from scipy.special import ndtr

    shift = make_draws(64, 11).air_shift_k[1:] / (1.5 / 1.6449)
    strata = np.floor(ndtr(np.sort(shift)) * 63.0 + 1e-9).astype(int)
    np.testing.assert_array_equal(strata[1:-1], np.arange(1, 62))


def test_ranges_hold_nine_lanes_of_ten() -> None:
    drawn = make_draws(256, 2)
    for values, low, high in (
        (drawn.shelter_factor, 1 / 1.8, 1.8),
        (drawn.convection_factor, 1 / 1.3, 1.3),
        (drawn.air_shift_k, -1.5, 1.5),
        (drawn.irradiance_factor, 0.75, 1.25),
        (drawn.time_factor, 0.8, 1.25),
        (drawn.sky_shift_w_m2, -15.0, 15.0),
    ):
        inside = ((values >= low) & (values <= high)).mean()
        assert inside == pytest.approx(0.9, abs=0.02)


def test_the_sky_s_doubt_left_the_other_draws_as_they_were() -> None:
    """Pinned: plans of before stay comparable, lane by lane."""
    drawn = make_draws(32, 20)
    assert float(drawn.air_shift_k[1:].sum().round(6)) == 0.31348
    assert float(drawn.time_factor[5].round(9)) == 1.074223822
