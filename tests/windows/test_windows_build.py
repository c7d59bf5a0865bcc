"""Zone windows as a whole: which clock rules which state, lanes to bands, notes, refusals."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from boottop.base.errors import BoottopError, InputError
from boottop.coating.sheet import Times
from boottop.coating.times import activation_energy_j_mol
from boottop.windows.build import zone_windows
from tests.coating.made import BARRIER, COPPER_EPOXY
from tests.windows.windows_made import climate, daily, naive_marks, steady, zone


def test_without_water_the_cure_clock_rules_alone() -> None:
    surface_c = daily(days=14)
    windows = zone_windows(climate(surface_c, dew_c=2.0), zone(), BARRIER)
    assert not windows.drying_decides.any()
    warm = replace(BARRIER, limits=replace(BARRIER.limits, surface_min_c=-40.0))
    plain = zone_windows(climate(surface_c + 6.0, dew_c=2.0), zone(), warm)
    for band, times in ((plain.ready, BARRIER.tacky), (plain.immersion, BARRIER.immersion)):
        assert band.middle.tolist() == naive_marks((surface_c + 6.0)[0, 0], times)
    until = naive_marks((surface_c + 6.0)[0, 0], BARRIER.overcoat_max, not_after=True)
    assert plain.overcoat_until.middle.tolist() == until


def test_in_damp_still_air_the_drying_clock_decides() -> None:
    damp = zone_windows(climate(steady(18.0), dew_c=17.0, wind_m_s=0.2), zone(), COPPER_EPOXY)
    dry = zone_windows(climate(steady(18.0), dew_c=5.0, wind_m_s=4.0), zone(), COPPER_EPOXY)
    assert damp.drying_decides[:900].all()
    assert not dry.drying_decides[:900].any()
    assert (damp.ready.middle[:900] > dry.ready.middle[:900]).all()
    assert damp.stands_safe.late.tolist() == dry.stands_safe.late.tolist()
    assert damp.overcoat_until.early.tolist() == dry.overcoat_until.early.tolist()


def test_on_a_hot_dry_day_the_window_may_shut_before_it_opens() -> None:
    hasty = replace(COPPER_EPOXY, overcoat_max=Times(temperature_c=(10.0, 20.0, 30.0), hours=(1.6, 0.8, 0.45)))
    windows = zone_windows(climate(steady(33.0), dew_c=5.0), zone(), hasty)
    assert windows.overcoat_until.early[10] < windows.ready.late[10]


def test_lanes_become_bands_by_order_statistics() -> None:
    factor = np.linspace(0.6, 1.6, 11)
    hull = climate(steady(20.0, lanes=11), doubt=(factor, np.zeros(11)))
    windows = zone_windows(hull, zone(), BARRIER, caution=0.8)
    hours = 4.0 * np.array([0.8, 1.1, 1.4])
    expected = np.ceil(4.0 * hours - 1e-6).astype(int)
    assert [int(band[0]) for band in (windows.ready.early, windows.ready.middle, windows.ready.late)] == list(expected)
    until = np.floor(4.0 * 72.0 * np.array([0.8, 1.1, 1.4]) + 1e-6).astype(int)
    band = windows.overcoat_until
    assert [int(marks[0]) for marks in (band.early, band.middle, band.late)] == list(until)


def test_more_caution_never_narrows_a_band() -> None:
    rng = np.random.default_rng(3)
    hull = climate(daily(days=10, lanes=32), doubt=(rng.lognormal(0.0, 0.15, 32), rng.normal(0.0, 5000.0, 32)))
    bands = [zone_windows(hull, zone(), COPPER_EPOXY, caution=caution).ready for caution in (0.5, 0.7, 0.9)]
    for narrow, wide in pairwise(bands):
        assert (wide.early <= narrow.early).all()
        assert (narrow.late <= wide.late).all()


def test_a_sheet_of_two_temperatures_has_the_wider_band() -> None:
    shift = np.linspace(-10_000.0, 10_000.0, 11)
    hull = climate(steady(12.0, lanes=11), doubt=(np.ones(11), shift))
    two = replace(BARRIER, tacky=Times(temperature_c=(20.0, 30.0), hours=(4.0, 2.2)))
    energy = activation_energy_j_mol(two.tacky)
    declared = replace(two, activation_energy_j_mol=energy.j_mol)
    wide, drawn = (zone_windows(hull, zone(), sheet, caution=0.9).ready for sheet in (two, declared))
    assert wide.middle[0] == drawn.middle[0]
    assert wide.late[0] - wide.early[0] > drawn.late[0] - drawn.early[0]


def test_the_worst_patch_rules_every_state() -> None:
    surface_c = np.concatenate([steady(12.0), steady(24.0)])
    both = zone_windows(climate(surface_c), zone("bilge", "topsides"), COPPER_EPOXY)
    cold = zone_windows(climate(surface_c[:1]), zone("bilge"), COPPER_EPOXY)
    hull = replace(climate(surface_c[1:], air_c=surface_c[0]), patches=(("port", "topsides"),))
    warm = zone_windows(hull, zone("topsides"), COPPER_EPOXY)
    for name in ("ready", "rain_safe", "stands_safe", "immersion"):
        assert getattr(both, name).late.tolist() == getattr(cold, name).late.tolist()
    assert both.overcoat_until.early.tolist() == warm.overcoat_until.early.tolist()
    assert both.surface_c[0] == pytest.approx(12.0)


def test_notes_say_how_far_the_sheet_was_stretched() -> None:
    cold = steady(20.0, hours=48)
    cold[0, 0, :40] = 6.0
    notes = zone_windows(climate(cold, dew_c=1.0), zone(), COPPER_EPOXY).notes
    assert notes == (
        "Tern Copper on port: stalled overnight and in the cold, below 8 degC for 10 h of 48 h (taken to cure no more "
        "at 3 degC)",
        "Tern Copper on port: times beyond the sheet's 10 to 30 degC are extrapolated (10 h colder, 0 h warmer)",
    )
    one = replace(COPPER_EPOXY, tacky=Times(temperature_c=(20.0,), hours=(0.8,)))
    assert "prints a time at one temperature only" in zone_windows(climate(steady(20.0)), zone(), one).notes[-1]
    assert zone_windows(climate(steady(20.0)), zone(), COPPER_EPOXY).notes == ()


def test_a_stalled_night_never_lengthens_the_time_for_the_next_coat() -> None:
    """Below the sheet the film may stall, but nobody may rely on it: the overcoat clock runs on."""
    cold = climate(steady(3.0, hours=400), dew_c=-5.0)
    windows = zone_windows(cold, zone(), COPPER_EPOXY)
    assert windows.ready.early[0] == windows.grid.beyond
    assert windows.overcoat_until.late[0] < windows.grid.beyond


@pytest.mark.parametrize("caution", [0.4, 0.99])
def test_caution_outside_its_range_is_refused(caution: float) -> None:
    with pytest.raises(InputError, match=r"caution: found 0\.\d+; allowed: 0.5 .* to 0.95"):
        zone_windows(climate(steady(20.0)), zone(), COPPER_EPOXY, caution=caution)


def test_a_zone_that_the_climate_does_not_know_is_our_own_fault() -> None:
    with pytest.raises(BoottopError, match="the climate has no patch of zone 'starboard'"):
        zone_windows(climate(steady(20.0)), replace(zone(), name="starboard"), COPPER_EPOXY)
