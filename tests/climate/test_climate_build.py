"""The whole way from weather and place to the hull's climate."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.build import backing_of, hull_climate
from boottop.climate.climate import Climate
from boottop.climate.draws import make_draws
from boottop.climate.slots import grid_for
from boottop.climate.weather import Site, Weather
from boottop.measure.hull import Layer, View, Zone, ZoneKind
from tests.climate.made import GRP, SITE, START, marked, patch, two_sides, weather, zone


def _climate(
    table: Weather | None = None, *, site: Site = SITE, zones: list[Zone] | None = None, lanes: int = 1,
    tent: bool = False,
) -> Climate:  # fmt: skip
    used = weather() if table is None else table
    grid = grid_for(used)
    return hull_climate(
        used, site, two_sides() if zones is None else zones, grid=grid, draws=make_draws(lanes, 3), tent=tent
    )


def _clear() -> Weather:
    return weather(days=4, cloud=0.0, dew_c=4.0, wind_m_s=1.5)


def test_shapes_and_layout_are_those_of_the_contract() -> None:
    made = _climate(lanes=20)
    assert made.patches[0] == ("port", "topsides")
    assert made.rows("starboard") == [3, 4, 5]
    assert made.surface_c.shape == made.absorbed_w_m2.shape == (6, 20, 384)
    assert made.air_c.shape == made.dew_c.shape == made.wind_m_s.shape == (20, 384)
    assert made.wet.shape == (6, 384)
    assert made.dry_after.shape == (6, 385)
    for array in (made.surface_c, made.absorbed_w_m2, made.air_c, made.dew_c, made.wind_m_s, made.dry_after):
        assert array.flags.c_contiguous
    assert made.surface_c.dtype == np.float32
    assert all(np.isfinite(array).all() for array in (made.surface_c, made.absorbed_w_m2, made.rh))


def test_central_lane_does_not_depend_on_how_many_there_are() -> None:
    one, many = _climate(lanes=1), _climate(lanes=33)
    np.testing.assert_allclose(one.surface_c[:, 0], many.surface_c[:, 0], atol=2e-3)
    np.testing.assert_array_equal(one.wet, many.wet)
    np.testing.assert_array_equal(one.dry_after, many.dry_after)


def test_sunny_side_is_warm_in_its_half_of_the_day() -> None:
    """Bow north: starboard looks east. Peaks lie hours apart and well over the air, as owners know."""
    made = _climate(_clear())
    port, starboard = made.surface_c[0, 0, 96:192], made.surface_c[3, 0, 96:192]
    assert 28 <= int(np.argmax(starboard)) <= 44
    assert 60 <= int(np.argmax(port)) <= 74
    assert (starboard - made.air_c[0, 96:192]).max() > 8.0


def test_boat_turned_round_has_her_sides_swapped() -> None:
    north, south = _climate(_clear()), _climate(_clear(), site=replace(SITE, bow_deg=180.0))
    np.testing.assert_allclose(north.surface_c[:3], south.surface_c[3:], atol=1e-3)


def test_clear_night_sky_cools_the_topsides_below_the_air_and_more_than_the_bilge() -> None:
    made = _climate(_clear(), site=replace(SITE, cabin_closed=False))
    night = slice(96 + 8, 96 + 16)
    below_air = made.air_c[0, night] - made.surface_c[:2, 0, night]
    assert (below_air[0] > below_air[1]).all()
    assert (below_air[0] > 0.3).all()


def test_lead_keel_lags_behind_the_skin() -> None:
    made = _climate(_clear())
    skin, keel = made.surface_c[:2, 0, 96:192], made.surface_c[2, 0, 96:192]
    assert np.ptp(keel) < 0.7 * np.ptp(skin[0])
    assert (keel[:20] > skin[0, :20] + 0.5).all()


def test_both_faces_of_a_lead_keel_are_nearly_alike() -> None:
    """Lead carries the sun of one face to the other: they part by a few degrees where the skin's sides part by 20."""
    made = _climate(_clear())
    apart = np.abs(made.surface_c[:3, 0] - made.surface_c[3:, 0]).max(axis=1)
    assert apart[2] < 3.0 < 10.0 < apart[0]


@pytest.mark.parametrize(
    ("kind", "view", "material", "thickness_m", "expected_m", "cabin"),
    [
        ("side", "bilge", "grp", 0.012, 0.012, True),
        ("side", "bilge", "steel", 0.006, 0.006, True),
        ("side", "keel", "lead", 0.15, 0.075, False),
        ("side", "bottom", "lead", 0.15, 0.15, False),
        ("side", "keel", "timber", 0.06, 0.06, False),
        ("gear", "open", "bronze", 0.02, 0.01, False),
    ],
)
def test_what_lies_behind(
    *, kind: ZoneKind, view: View, material: str, thickness_m: float, expected_m: float, cabin: bool
) -> None:
    piece = patch(view, layers=(Layer(material=material, thickness_m=thickness_m),))
    backing = backing_of(replace(zone("port", piece), kind=kind), piece)
    assert backing.layers[0].thickness_m == expected_m
    assert (backing.inside_w_m2k > 0.0) == cabin


def test_gear_has_no_cabin_behind_it() -> None:
    """The same bronze plate, as a side's skin and as gear: only the first feels the boat's warmth at night."""
    bronze = (Layer(material="bronze", thickness_m=0.01),)
    hung = zone("port", patch("open", layers=bronze))
    gear = replace(hung, name="gear", kind="gear")
    made = _climate(_clear(), zones=[hung, gear])
    night = slice(96 + 4, 96 + 20)
    assert (made.surface_c[0, 0, night] > made.surface_c[1, 0, night] + 0.3).all()


def test_darker_hull_is_warmer_by_day_only() -> None:
    black, white = (_climate(_clear(), site=replace(SITE, hull_absorptance=a)) for a in (0.95, 0.25))
    difference = black.surface_c[:2, 0] - white.surface_c[:2, 0]
    assert difference.max() > 4.0
    assert difference.min() > -0.01


def test_weather_before_the_grid_is_the_run_in() -> None:
    """A grid that starts on the third day gives what the whole grid gives there, to what two days leave over."""
    table = weather(days=6)
    whole = _climate(table)
    later = hull_climate(
        table, SITE, two_sides(), grid=grid_for(table, start=START + timedelta(days=3)), draws=make_draws(1, 3)
    )
    np.testing.assert_allclose(later.surface_c, whole.surface_c[:, :, 288:], atol=0.15)
    np.testing.assert_array_equal(later.grid.epoch_s(), whole.grid.epoch_s()[288:])
    np.testing.assert_allclose(later.dry_after, whole.dry_after[:, 288:] - 288, atol=1)


def test_estimates_and_filled_hours_are_marked() -> None:
    guessed = _climate()
    np.testing.assert_array_equal(guessed.estimated, guessed.sun_elevation_deg > 0.0)
    known = weather(ghi_w_m2=0.0, longwave_w_m2=300.0)
    assert not _climate(known).estimated.any()
    assert np.flatnonzero(_climate(marked(known, "air_c", [5])).estimated).tolist() == list(range(16, 24))
    assert np.flatnonzero(_climate(marked(known, "rain_mm", [5])).estimated).tolist() == list(range(16, 20))
    assert any("temperature range" in note for note in guessed.notes)


def test_longwave_of_the_file_is_used() -> None:
    dim, bright = (_climate(weather(longwave_w_m2=sky)) for sky in (220.0, 340.0))
    assert (bright.surface_c[0, 0] > dim.surface_c[0, 0] + 1.0).all()
    assert not any("long-wave" in note for note in dim.notes)


@pytest.mark.parametrize(("cover", "tent"), [("shed", False), ("open", True)])
def test_roof_keeps_off_rain_sun_wind_and_sky(cover: str, tent: bool) -> None:
    site = replace(SITE, cover="shed" if cover == "shed" else "open")
    made = _climate(weather(rain_mm=1.0, cloud=0.0), site=site, tent=tent)
    out = _climate(weather(rain_mm=1.0, cloud=0.0))
    assert out.wet.mean() > 0.9
    assert not made.wet.any()
    assert made.rain_mm.sum() == 0.0
    assert made.absorbed_w_m2.max() < 0.2 * out.absorbed_w_m2.max()
    assert made.wind_m_s.max() < 0.11 * out.wind_m_s.max()
    assert np.abs(made.surface_c - made.air_c).max() < 8.0
    assert any("assumed" in note for note in made.notes)


def test_tent_warms_in_the_sun_and_dries_its_air() -> None:
    tent, out = _climate(_clear(), tent=True), _climate(_clear())
    assert 2.0 < (tent.air_c - out.air_c).max() < 6.0
    assert (tent.air_c - out.air_c).min() >= 0.0
    assert (tent.rh <= out.rh + 1e-12).all()


def test_sheltered_yard_has_less_wind_and_no_low_sun() -> None:
    sheltered, out = _climate(_clear(), site=replace(SITE, cover="sheltered")), _climate(_clear())
    np.testing.assert_allclose(sheltered.wind_m_s, 0.5 * out.wind_m_s, rtol=1e-6)
    low = (out.sun_elevation_deg > 5.0) & (out.sun_elevation_deg < 14.0)
    assert (sheltered.absorbed_w_m2[:, 0, low] <= out.absorbed_w_m2[:, 0, low]).all()
    assert sheltered.absorbed_w_m2[:, 0, low].max() < 0.3 * out.absorbed_w_m2[:, 0, low].max()


def test_members_become_lanes_in_turn() -> None:
    hour = np.arange(97)
    members = np.stack([np.full(hour.size, 10.0 + 5.0 * member) for member in range(3)])
    table = weather(air_c=members)
    made = _climate(table, lanes=7)
    np.testing.assert_allclose(made.air_c[0], 10.0)
    assert (np.abs(made.air_c[[1, 4], 5] - 15.0) < 2.5).all()
    assert (np.abs(made.air_c[[2, 5], 5] - 20.0) < 2.5).all()
    assert any("only the first 2 of 3" in note for note in _climate(table, lanes=2).notes)


def test_grass_stays_cooler_than_gravel_and_warms_the_bottom_less() -> None:
    gravel, grass = (_climate(_clear(), site=replace(SITE, ground=ground)) for ground in ("gravel", "grass"))
    assert gravel.surface_c[1, 0, 140] > grass.surface_c[1, 0, 140] + 0.2


def test_unknown_layer_is_refused_with_the_names_there_are() -> None:
    strange = zone("port", patch("bilge", layers=(*GRP, Layer(material="papier mache", thickness_m=0.01))))
    with pytest.raises(InputError, match=r"'papier mache'; allowed: more than 0 mm of one of aluminium, balsa"):
        _climate(zones=[strange])


def test_sky_is_doubted_in_the_lanes_less_where_it_was_measured_and_not_under_a_roof() -> None:
    zones, table = two_sides(), _clear()
    none = make_draws(1, 1)
    only = replace(none, **{name: np.repeat(getattr(none, name), 3) for name in vars(none)})
    doubted = replace(only, sky_shift_w_m2=np.array([0.0, -15.0, 15.0]))
    given = replace(table, longwave_w_m2=np.full_like(table.air_c, 300.0))

    def spread_k(weather_: Weather, *, tent: bool = False) -> float:
        made = hull_climate(weather_, SITE, zones, grid=grid_for(weather_), draws=doubted, tent=tent)
        cold, middle, warm = made.surface_c[0, 1], made.surface_c[0, 0], made.surface_c[0, 2]
        assert tent or (cold < middle).all()
        return float((warm - cold).mean())

    guessed, measured = spread_k(table), spread_k(given)
    assert 0.4 < guessed < 1.5
    assert measured == pytest.approx(0.4 * guessed, rel=0.1)
    assert spread_k(table, tent=True) == pytest.approx(0.0, abs=1e-4)
