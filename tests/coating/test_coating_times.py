"""A sheet's table of times, read at any temperature."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.coating.sheet import Times
from boottop.coating.times import activation_energy_j_mol, time_at

TABLE = Times(temperature_c=(10.0, 20.0, 30.0), hours=(3.0, 1.5, 0.8))
GAS = 8.31446261815324


def _exact(energy_j_mol: float, temperature_c: tuple[float, ...], *, hours_at_20: float = 1.0) -> Times:
    kelvin = np.asarray(temperature_c) + 273.15
    hours = hours_at_20 * np.exp(energy_j_mol / GAS * (1.0 / kelvin - 1.0 / 293.15))
    return Times(temperature_c=temperature_c, hours=tuple(float(each) for each in hours))


def test_printed_times_come_out_exactly() -> None:
    hours, outside = time_at(TABLE, np.array(TABLE.temperature_c))
    np.testing.assert_allclose(hours, TABLE.hours, rtol=1e-12)
    assert not outside.any()


@pytest.mark.parametrize("energy_j_mol", [30e3, 50e3, 65e3])
def test_an_arrhenius_table_is_continued_by_its_own_law(energy_j_mol: float) -> None:
    sheet, wide = _exact(energy_j_mol, (10.0, 20.0, 30.0)), np.array([0.0, 5.0, 13.0, 26.0, 38.0])
    hours, outside = time_at(sheet, wide)
    expected = np.exp(energy_j_mol / GAS * (1.0 / (wide + 273.15) - 1.0 / 293.15))
    np.testing.assert_allclose(hours, expected, rtol=1e-10)
    assert outside.tolist() == [True, True, False, False, True]


def test_shape_is_kept() -> None:
    hours, outside = time_at(TABLE, np.full((2, 3, 4), 15.0))
    assert hours.shape == outside.shape == (2, 3, 4)


def test_one_temperature_uses_the_prior_and_says_so() -> None:
    one = Times(temperature_c=(20.0,), hours=(48.0,))
    printed, flagged = time_at(one, 20.0)
    assert printed == pytest.approx(48.0, rel=1e-12)
    assert not flagged
    hours, outside = time_at(one, 10.0)
    assert outside
    assert hours == pytest.approx(48.0 * np.exp(50_000.0 / GAS * (1 / 283.15 - 1 / 293.15)), rel=1e-12)


def test_the_sheets_own_energy_wins_outside_the_table() -> None:
    by_sheet, _ = time_at(TABLE, 0.0, energy_j_mol=0.0)
    assert by_sheet == pytest.approx(3.0, rel=1e-12)
    assert time_at(TABLE, 15.0, energy_j_mol=0.0) == time_at(TABLE, 15.0)


def test_a_missing_temperature_is_flagged_not_guessed() -> None:
    hours, outside = time_at(TABLE, np.array([np.nan, 20.0]))
    assert np.isnan(hours[0])
    assert outside.tolist() == [True, False]


@pytest.mark.parametrize(
    ("temperatures_c", "basis", "sd_j_mol"),
    [((20.0,), "prior", 8000.0), ((10.0, 20.0), "two_temperatures", 10_000.0), ((10.0, 20.0, 30.0), "fitted", 5000.0)],
)
def test_doubt_of_the_energy(temperatures_c: tuple[float, ...], basis: str, sd_j_mol: float) -> None:
    """+-10 and +-5 kJ/mol for a sheet rounded by 10 %: an own study, printed to whole kJ/mol in steps of 5."""
    energy = activation_energy_j_mol(_exact(55e3, temperatures_c))
    assert energy.basis == basis
    assert energy.sd_j_mol == pytest.approx(sd_j_mol, abs=500.0)
    assert energy.j_mol == pytest.approx(50e3 if basis == "prior" else 55e3, rel=1e-9)


@pytest.mark.parametrize(
    ("temperature_c", "hours"),
    [((), ()), ((20.0, 10.0), (1.0, 2.0)), ((10.0, 20.0), (1.0,)), ((10.0,), (0.0,)), ((-300.0,), (1.0,))],
)
def test_a_broken_table_is_refused(temperature_c: tuple[float, ...], hours: tuple[float, ...]) -> None:
    with pytest.raises(InputError, match=r"table of times: found .* allowed: one time above zero"):
        Times(temperature_c=temperature_c, hours=hours)
