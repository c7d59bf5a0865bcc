"""Material balance and its doubt, and its meeting with the gauges."""

from __future__ import annotations

import pytest

from boottop.base.errors import InputError
from boottop.record.balance import balance, combined
from boottop.record.readings import FilmReading, Mean, mean_of


def gauge(*films_um: float) -> list[FilmReading]:
    """One reading a spot."""
    return [
        FilmReading(method="ultrasonic", zone="side", low_um=um, high_um=um, spot=str(number))
        for number, um in enumerate(films_um)
    ]


def test_balance_against_a_random_walk_through_the_same_doubts() -> None:
    """The first-order doubt against 20 000 draws of litres, area, loss and solids."""
    import numpy as np

    found = balance(8.0, area_m2=15.0, area_sd_m2=0.3, loss_fraction=0.12, solids_fraction=0.6, from_pot=False)
    draw = np.random.default_rng(4)
    litres, area = draw.normal(8.0, 0.4, 20_000), draw.normal(15.0, 0.3, 20_000)
    loss, solids = draw.normal(0.12, 0.05, 20_000), draw.normal(0.6, 0.012, 20_000)
    dry = 1000.0 * litres * (1.0 - loss) / area * solids
    assert found.dry_um == pytest.approx(float(dry.mean()), rel=0.005)
    assert found.dry_sd_um == pytest.approx(float(dry.std()), rel=0.03)


def test_litres_shared_out_of_the_pot_are_twice_as_doubtful() -> None:
    own = balance(8.0, area_m2=15.0, area_sd_m2=0.0, loss_fraction=0.0, solids_fraction=0.6, from_pot=False)
    pot = balance(8.0, area_m2=15.0, area_sd_m2=0.0, loss_fraction=0.0, solids_fraction=0.6, from_pot=True)
    assert pot.dry_um == own.dry_um
    assert pot.dry_sd_um > 1.5 * own.dry_sd_um


def test_no_litres_are_refused() -> None:
    with pytest.raises(InputError, match="more than 0 L"):
        balance(0.0, area_m2=15.0, area_sd_m2=0.3, loss_fraction=0.1, solids_fraction=0.6, from_pot=False)


def test_equal_doubts_give_the_plain_mean_and_root_half_of_the_doubt() -> None:
    both = combined((300.0, 20.0), Mean(mean_um=280.0, sd_um=20.0, count=9, least_um=250.0, most_um=300.0))
    assert both is not None
    assert both.dry_um == pytest.approx(290.0)
    assert both.sd_um == pytest.approx(20.0 / 2**0.5)
    assert both.agree


def test_estimates_that_differ_are_said_to_differ() -> None:
    both = combined((300.0, 10.0), Mean(mean_um=200.0, sd_um=10.0, count=9, least_um=150.0, most_um=230.0))
    assert both is not None
    assert not both.agree
    assert "find out why" in both.words


def test_nothing_known_is_no_estimate_and_one_alone_stands_alone() -> None:
    assert combined(None, None) is None
    assert (combined((300.0, 10.0), None) or pytest.fail("none")).words == "material balance alone"


def test_the_gauges_own_doubt_is_not_divided_by_the_number_of_readings() -> None:
    few, many = mean_of(gauge(*[280.0, 285.0] * 2)), mean_of(gauge(*[280.0, 285.0] * 200))
    assert few is not None
    assert many is not None
    assert many.sd_um == pytest.approx(0.05 * 282.5, rel=0.01)
    assert few.sd_um > many.sd_um


def test_readings_of_one_spot_count_once() -> None:
    one = [*gauge(200.0), FilmReading(method="ultrasonic", zone="side", low_um=300.0, high_um=300.0, spot="0")]
    both = mean_of([*one, *gauge(0.0, 250.0)[1:]])
    assert both is not None
    assert both.count == 2
    assert both.mean_um == pytest.approx(250.0)
