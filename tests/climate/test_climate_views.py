"""What patches see, against the table of the 2-D section and against geometry."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from boottop.base.clock import Grid
from boottop.climate.sun import Sun, sun_on
from boottop.climate.views import facing_of, incidence, profile_deg
from boottop.measure.hull import View
from tests.climate.made import SITE, patch

GRID = Grid(start=datetime(2023, 4, 10, tzinfo=UTC), count=96)


def _sun(elevation_deg: float, azimuth_deg: float) -> Sun:
    elevation, azimuth = np.array([elevation_deg]), np.array([azimuth_deg])
    return Sun(
        elevation_deg=elevation, azimuth_deg=azimuth, height=np.sin(np.radians(elevation)),
        outside_w_m2=np.array([1361.0]),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("view", "sky", "ground", "hull"),
    [("topsides", 0.475, 0.525, 0.0), ("bilge", 0.088, 0.896, 0.016), ("bottom", 0.012, 0.758, 0.231),
     ("keel", 0.304, 0.500, 0.195)],
)  # fmt: skip
def test_table_at_its_own_tilts(*, view: View, sky: float, ground: float, hull: float) -> None:
    """Table of the 2-D section; convex parts by their tilt alone agree with it to 0.003."""
    facing = facing_of(patch(view), SITE, _sun(45.0, 90.0))
    assert facing.f_sky_fraction == pytest.approx(sky, abs=0.003)
    assert facing.f_ground_fraction == pytest.approx(ground, abs=0.003)
    assert facing.f_hull_fraction == pytest.approx(hull, abs=0.003)


@pytest.mark.parametrize(
    ("elevation_deg", "same_side", "other_side"),
    [(20.0, 1.0, 0.09), (40.0, 1.0, 0.15), (60.0, 0.94, 0.27), (80.0, 0.76, 0.49), (50.0, 0.97, 0.21)],
)
def test_sunlit_ground_under_the_bilge(elevation_deg: float, same_side: float, other_side: float) -> None:
    """Bow north, sun abeam to starboard (east): printed rows, and halfway between two of them."""
    sun = _sun(elevation_deg, 90.0)
    assert facing_of(patch("bilge", side="starboard"), SITE, sun).ground_beam[0] == pytest.approx(same_side)
    assert facing_of(patch("bilge", side="port"), SITE, sun).ground_beam[0] == pytest.approx(other_side)


def test_profile_angle_is_steep_when_the_sun_is_ahead() -> None:
    assert profile_deg(patch("bilge"), SITE, _sun(30.0, 0.0))[0] == pytest.approx(90.0)
    assert profile_deg(patch("bilge", side="port"), SITE, _sun(30.0, 270.0))[0] == pytest.approx(30.0)
    assert profile_deg(patch("bilge", side="port"), SITE, _sun(30.0, 90.0))[0] == pytest.approx(150.0)


def test_sun_abeam_meets_the_topsides_at_its_elevation() -> None:
    vertical = patch("topsides", side="starboard", tilt_deg=90.0)
    assert incidence(vertical, SITE, _sun(30.0, 90.0))[0] == pytest.approx(np.cos(np.radians(30.0)))
    assert incidence(vertical, SITE, _sun(30.0, 270.0))[0] == 0.0


def test_underside_takes_only_low_sun() -> None:
    bottom = patch("bottom", side="starboard")
    assert incidence(bottom, SITE, _sun(8.0, 90.0))[0] > 0.0
    assert incidence(bottom, SITE, _sun(20.0, 90.0))[0] == 0.0


def test_keel_is_shaded_by_the_hull_over_it() -> None:
    keel, open_plate = patch("keel", side="starboard"), patch("open", side="starboard")
    low, high = _sun(10.0, 90.0), _sun(70.0, 90.0)
    assert facing_of(keel, SITE, low).beam[0] == facing_of(open_plate, SITE, low).beam[0] > 0.9
    assert facing_of(keel, SITE, high).beam[0] == 0.0 < facing_of(open_plate, SITE, high).beam[0]


def test_keel_ramp_integrates_to_its_share_of_sky() -> None:
    """Half the integral of cos(profile) times the lit share over the keel's own sky is the table's 0.304."""
    profile = np.radians(np.linspace(0.0, 90.0, 9001))
    lit = np.interp(np.degrees(profile), (15.0, 62.5), (1.0, 0.0))
    assert 0.5 * np.trapezoid(np.cos(profile) * lit, profile) == pytest.approx(0.304, abs=0.001)


def test_turning_the_boat_round_swaps_her_sides() -> None:
    sun = sun_on(GRID, SITE)
    turned = replace(SITE, bow_deg=180.0)
    views: tuple[View, ...] = ("topsides", "bilge", "keel")
    for view in views:
        port = facing_of(patch(view, side="port"), SITE, sun)
        starboard = facing_of(patch(view, side="starboard"), turned, sun)
        np.testing.assert_allclose(port.beam, starboard.beam, atol=1e-12)
        np.testing.assert_allclose(port.ground_beam, starboard.ground_beam, atol=1e-9)


def test_transom_takes_the_mean_of_both_sides() -> None:
    sun = _sun(40.0, 90.0)
    aft = replace(patch("bilge"), from_bow_deg=180.0)
    assert facing_of(aft, SITE, sun).ground_beam[0] == pytest.approx(0.5 * (0.76 + 0.49))
