"""ASTM D4414-95(2020) section 7, tooth steps of notch gauges (read in a copy): 13 um to 150, 25 to 250, 50 to 750, 125
above; the film lies between the last wetted and the first dry tooth."""

from __future__ import annotations

import pytest

from boottop.record.readings import comb_reading, comb_step_um


@pytest.mark.parametrize(
    ("tooth_um", "step_um"),
    [(0, 13), (137, 13), (150, 25), (225, 25), (250, 50), (700, 50), (750, 125), (2000, 125)],
)
def test_steps(tooth_um: float, step_um: float) -> None:
    assert comb_step_um(tooth_um) == step_um


def test_the_film_lies_between_the_teeth() -> None:
    read = comb_reading(100.0, 125.0, zone="port side")
    assert (read.low_um, read.high_um, read.middle_um) == (100.0, 125.0, 112.5)
    assert read.layer == "wet"


def test_the_doubt_of_a_step_is_that_of_an_even_spread_and_of_the_gauge() -> None:
    read = comb_reading(100.0, 125.0, zone="port side")
    assert read.sd_um == pytest.approx((25.0**2 / 12.0 + (0.05 * 112.5) ** 2) ** 0.5)
