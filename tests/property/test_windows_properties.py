"""What must hold for windows in any weather: bounds, monotonicity, nothing out of nothing."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from boottop.climate.climate import Climate
from boottop.windows.build import zone_windows
from boottop.windows.windows import Band, Rule, ZoneWindows
from tests.coating.made import BARRIER, COPPER_EPOXY
from tests.windows.windows_made import climate, naive_marks, zone

SHEETS = (COPPER_EPOXY, BARRIER)
LANES = 5
SEEDS = st.integers(min_value=0, max_value=10_000)
DURATIONS = st.integers(min_value=1, max_value=24)


def _skies(seed: int, *, warmer_k: float = 0.0) -> Climate:
    """Four to six days of any weather between frost and heat, with showers, two patches and five lanes."""
    rng = np.random.default_rng(seed)
    slot = np.arange(96 * int(rng.integers(4, 7)))
    mean_c, swing_k = rng.uniform(3.0, 28.0), rng.uniform(0.0, 9.0)
    air = mean_c + swing_k * np.sin(2.0 * np.pi * (slot / 96.0 - 0.4)) + np.cumsum(rng.normal(0.0, 0.1, slot.size))
    lanes = air + rng.normal(0.0, 1.0, (LANES, 1))
    surface = np.stack([lanes, lanes + 8.0 * np.clip(np.sin(2.0 * np.pi * (slot / 96.0 - 0.3)), -0.2, 1.0)])
    dew = lanes.min() - rng.uniform(-8.0, 6.0) + np.cumsum(rng.normal(0.0, 0.05, slot.size))
    dew = np.minimum(np.broadcast_to(dew, lanes.shape), lanes)
    rain = np.where(rng.random(slot.size) < rng.uniform(0.0, 0.03), 0.2, 0.0)
    doubt = (rng.lognormal(0.0, 0.13, LANES), rng.normal(0.0, 5000.0, LANES))
    return climate(
        surface + warmer_k, air_c=lanes, dew_c=dew, rain_mm=rain, wind_m_s=float(rng.uniform(0.0, 5.0)), doubt=doubt
    )


@lru_cache(maxsize=64)
def _windows(seed: int, which: int, *, under_tent: bool = False) -> ZoneWindows:
    return zone_windows(_skies(seed), zone("bilge", "topsides"), SHEETS[which], under_tent=under_tent)


def _bands(windows: ZoneWindows) -> dict[str, Band]:
    return {
        name: getattr(windows, name) for name in ("ready", "overcoat_until", "rain_safe", "stands_safe", "immersion")
    }


def _edges(windows: ZoneWindows) -> list[NDArray[np.int32]]:
    return [marks for band in _bands(windows).values() for marks in (band.early, band.middle, band.late)]


@settings(max_examples=25, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]))
def test_a_later_finish_is_never_ready_earlier_and_bands_keep_their_order(seed: int, which: int) -> None:
    windows = _windows(seed, which)
    for band in _bands(windows).values():
        assert (band.early <= band.middle).all()
        assert (band.middle <= band.late).all()
    for marks in _edges(windows):
        assert (np.diff(marks) >= 0).all()
        assert marks[-1] == windows.grid.beyond
        assert marks.dtype == np.int32


@settings(max_examples=25, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]))
def test_states_lie_between_the_finish_and_the_end_of_the_weather(seed: int, which: int) -> None:
    windows = _windows(seed, which)
    finish = np.arange(windows.grid.count + 1)
    for name, band in _bands(windows).items():
        least = finish if name == "overcoat_until" else np.minimum(finish + 1, windows.grid.beyond)
        assert (band.early >= least).all()
        assert (band.late <= windows.grid.beyond).all()


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]), warmer_k=st.floats(min_value=0.1, max_value=12.0))
def test_a_hotter_hull_is_never_ready_later(seed: int, which: int, warmer_k: float) -> None:
    patches = zone("bilge", "topsides")
    cool = zone_windows(_skies(seed), patches, SHEETS[which])
    hot = zone_windows(_skies(seed, warmer_k=warmer_k), patches, SHEETS[which])
    for name, band in _bands(cool).items():
        assert (getattr(hot, name).late <= band.late).all()
        assert (getattr(hot, name).early <= band.early).all()


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]))
def test_the_drying_clock_only_ever_delays(seed: int, which: int) -> None:
    """Against a product that is the same but free of water."""
    sheet = SHEETS[which]
    wet, dry = (
        zone_windows(_skies(seed), zone("bilge", "topsides"), replace(sheet, water_based=based))
        for based in (True, False)
    )
    for name, band in _bands(dry).items():
        assert (getattr(wet, name).late >= band.late).all()
    for name in ("stands_safe", "overcoat_until"):
        assert (getattr(wet, name).middle == getattr(dry, name).middle).all()
    assert not dry.drying_decides.any()


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_no_rain_no_rain_rule(seed: int) -> None:
    hull = _skies(seed)
    dry = replace(hull, rain_mm=np.zeros_like(hull.rain_mm))
    for windows in (zone_windows(dry, zone("bilge", "topsides"), COPPER_EPOXY), _windows(seed, 0, under_tent=True)):
        assert not (windows.rule == Rule.RAIN).any()
        reasons = [windows.why_not(slot, 4) for slot in range(0, windows.grid.count, 7)]
        assert Rule.RAIN_BEFORE_SAFE not in {reason.rule for reason in reasons if reason is not None}


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]), duration=DURATIONS)
def test_a_longer_coat_has_no_start_that_a_shorter_has_not(seed: int, which: int, duration: int) -> None:
    for under_tent in (False, True):
        windows = _windows(seed, which, under_tent=under_tent)
        short, long = windows.may_apply(duration), windows.may_apply(duration + 1)
        assert not (long & ~short).any()
        assert (windows.slack(duration + 1) <= windows.slack(duration)).all()
        assert not windows.slack(duration)[~short].any()


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]), duration=DURATIONS)
def test_every_start_is_open_or_has_a_reason_that_holds(seed: int, which: int, duration: int) -> None:
    windows = _windows(seed, which)
    may = windows.may_apply(duration)
    for slot in range(0, windows.grid.count, 5):
        why = windows.why_not(slot, duration)
        assert (why is None) == bool(may[slot])
        if why is not None and why.rule == Rule.RAIN_BEFORE_SAFE:
            assert why.had < why.needed


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, which=st.sampled_from([0, 1]), lost_h=st.integers(min_value=1, max_value=40))
def test_weather_cut_off_at_the_front_only_moves_the_marks(seed: int, which: int, lost_h: int) -> None:
    """What came before a finish does not matter to it: a clock has no memory and no clock face."""
    hull, patches, lost = _skies(seed), zone("bilge", "topsides"), 4 * lost_h
    late = replace(
        hull,
        grid=replace(hull.grid, start=hull.grid.time_of(lost), count=hull.grid.count - lost),
        surface_c=hull.surface_c[:, :, lost:],
        air_c=hull.air_c[:, lost:],
        dew_c=hull.dew_c[:, lost:],
        wind_m_s=hull.wind_m_s[:, lost:],
        rain_mm=hull.rain_mm[lost:],
        rh=hull.rh[lost:],
        wet=hull.wet[:, lost:],
        sun_elevation_deg=hull.sun_elevation_deg[lost:],
    )
    whole, cut = (zone_windows(one, patches, SHEETS[which]) for one in (hull, late))
    for ours, theirs in zip(_edges(whole), _edges(cut), strict=True):
        assert np.abs(ours[lost:] - theirs - lost).max() <= 1
    assert (whole.rule[lost:] == cut.rule).all()


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_two_pointers_give_what_a_plain_loop_gives(seed: int) -> None:
    """One lane, a sheet whose range spans the weather, cure alone: equal to the slot, both ways of rounding."""
    hull = _skies(seed)
    alone = replace(
        hull,
        patches=(("port", "bilge"),),
        surface_c=hull.surface_c[:1, :1],
        air_c=hull.air_c[:1],
        dew_c=hull.dew_c[:1],
        wind_m_s=hull.wind_m_s[:1],
        time_factor=np.ones(1),
        energy_shift_j_mol=np.zeros(1),
        convection_factor=np.ones(1),
    )
    sheet = replace(BARRIER, limits=replace(BARRIER.limits, surface_min_c=-60.0))
    cold = replace(
        BARRIER.tacky, temperature_c=(-60.0, *BARRIER.tacky.temperature_c), hours=(900.0, *BARRIER.tacky.hours)
    )
    windows = zone_windows(alone, zone("bilge"), replace(sheet, tacky=cold))
    slow = naive_marks(alone.surface_c[0, 0], cold)
    assert np.abs(windows.ready.middle - np.array(slow)).max() <= 1
    until = naive_marks(alone.surface_c[0, 0], sheet.overcoat_max, not_after=True)
    assert np.abs(windows.overcoat_until.middle - np.array(until)).max() <= 1


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, at_least=st.integers(min_value=1, max_value=12))
def test_open_spans_hold_just_the_open_slots(seed: int, at_least: int) -> None:
    windows = _windows(seed, 0)
    spans = windows.open_spans()
    inside = np.zeros(windows.grid.count, dtype=np.bool_)
    for first, last in spans:
        inside[first:last] = True
    assert (inside == (windows.rule == Rule.OPEN)).all()
    assert all(end < start for (_, end), (start, _) in pairwise(spans))
    assert set(windows.open_spans(at_least=at_least)) == {span for span in spans if span[1] - span[0] >= at_least}
