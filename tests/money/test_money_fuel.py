"""From the state of the bottom to litres: the formulas held together, their range, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.money.fouling import CONDITIONS_UM, Growth, between_cleanings_h, roughness_um
from boottop.money.friction import in_range, karman_schoenherr, reynolds_number, rough_friction
from boottop.money.fuel import (
    FUELS,
    Drive,
    added_litres_h,
    added_resistance_n,
    burn_table,
    drive_notes,
    friction_share,
    known_speed,
    mean_added_litres_h,
    smooth_litres_h,
)

KNOT_M_S = 0.514444
BOAT = Drive(length_m=12.5, wetted_m2=45.0, cruise_m_s=8 * KNOT_M_S, burn_l_h=14.0, fuel=FUELS["diesel"])


def test_power_is_drag_times_speed_over_efficiency() -> None:
    """By hand: 0.5 rho S V^2 dCF V / 0.5, at 240 g a kilowatt-hour and 0.84 kg a litre."""
    reynolds = reynolds_number(BOAT.cruise_m_s, BOAT.length_m)
    added_cf = float(rough_friction(reynolds, 1e-3 / BOAT.length_m) - karman_schoenherr(reynolds))
    newton = 0.5 * 1025.0 * 45.0 * BOAT.cruise_m_s**2 * added_cf
    assert float(added_resistance_n(BOAT, BOAT.cruise_m_s, 1000.0)) == pytest.approx(newton, rel=1e-9)
    litres = newton * BOAT.cruise_m_s / 0.5 / 1000.0 * 0.24 / 0.84
    assert float(added_litres_h(BOAT, BOAT.cruise_m_s, 1000.0)) == pytest.approx(litres, rel=1e-9)


def test_the_burn_at_cruise_is_what_was_measured_in_its_condition() -> None:
    for um in (0.0, 100.0, 1000.0):
        drive = replace(BOAT, measured_um=um)
        burn = smooth_litres_h(drive, drive.cruise_m_s) + added_litres_h(drive, drive.cruise_m_s, um)
        assert float(burn) == pytest.approx(14.0)


def test_a_curve_is_followed_and_not_stretched() -> None:
    curve = ((5 * KNOT_M_S, 3.0), (7 * KNOT_M_S, 8.0), (9 * KNOT_M_S, 22.0))
    drive = replace(BOAT, curve=curve, measured_um=0.0)
    assert float(smooth_litres_h(drive, 6 * KNOT_M_S)) == pytest.approx(5.5)
    assert known_speed(drive, 9 * KNOT_M_S)
    assert not known_speed(drive, 9.2 * KNOT_M_S)
    assert not burn_table(drive, [9.2 * KNOT_M_S], {"x": 100.0})[0].trusted


def test_the_table_says_what_is_out_of_range() -> None:
    rows = {one.condition: one for one in burn_table(BOAT, [BOAT.cruise_m_s], CONDITIONS_UM)}
    shares = [rows[name].added_share for name in CONDITIONS_UM]
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert rows["heavy slime"].co2_kg_h == pytest.approx(rows["heavy slime"].added_l_h * 2.689, rel=1e-3)
    assert rows["heavy slime"].added_kw == pytest.approx(rows["heavy slime"].added_n * BOAT.cruise_m_s / 500.0)
    small = replace(BOAT, length_m=4.0)
    assert not burn_table(small, [small.cruise_m_s], {"heavy calcareous": 10_000.0})[0].trusted


def test_carbon_dioxide_a_litre() -> None:
    """US EPA fact sheet (read): 10 180 g a US gallon of diesel, 8 887 g of petrol."""
    assert FUELS["diesel"].co2_kg_l * 3.785412 == pytest.approx(10.180, abs=5e-4)
    assert FUELS["petrol"].co2_kg_l * 3.785412 == pytest.approx(8.887, abs=5e-4)


def test_planing_is_told_and_a_burn_too_small_is_told() -> None:
    fast = replace(BOAT, cruise_m_s=22 * KNOT_M_S, burn_l_h=90.0, planing=True)
    assert any("only the frictional part" in note for note in drive_notes(fast))
    assert not any("only the frictional part" in note for note in drive_notes(BOAT))
    thirsty = replace(BOAT, burn_l_h=1.0)
    assert friction_share(thirsty) > 1.0
    assert any("do not belong together" in note for note in drive_notes(thirsty))


def test_fouling_goes_through_its_points() -> None:
    growth = Growth(clean_um=30.0, foul_um=300.0, after_h=1680.0, worst_um=3000.0)
    assert roughness_um(growth, [0.0, 1680.0, 3360.0, 9999.0]) == pytest.approx([30.0, 300.0, 3000.0, 3000.0])
    assert roughness_um(growth, 840.0, 2.0) == pytest.approx(300.0)


def test_the_mean_over_an_interval_lies_between_its_ends() -> None:
    growth = Growth(clean_um=30.0, foul_um=300.0, after_h=1680.0, worst_um=3000.0)
    mean = mean_added_litres_h(BOAT, growth, 1680.0, pace=np.array([0.5, 1.0, 2.0]))
    ends = [float(added_litres_h(BOAT, BOAT.cruise_m_s, um)) for um in (30.0, 300.0)]
    assert ends[0] < mean[1] < ends[1]
    assert np.all(np.diff(mean) > 0.0)


@pytest.mark.parametrize(
    ("dives", "hauled", "hours"), [(0.0, 2.0, 2 * 8766.0), (4.0, 0.0, 2191.5), (1.5, 2.0, 4383.0), (0.0, 0.0, 87_660.0)]
)
def test_time_between_cleanings(dives: float, hauled: float, *, hours: float) -> None:
    found = between_cleanings_h(afloat_h_year=8766.0, cleanings_year=dives, hauled_every=hauled, horizon=10)
    assert found == pytest.approx(hours)


def test_laminar_or_rougher_than_the_layer_is_out_of_range() -> None:
    assert not bool(in_range(5e4, 1e-5))
    assert not bool(in_range(1e7, 5e-3))
    assert bool(in_range(1e7, 1e-4))
