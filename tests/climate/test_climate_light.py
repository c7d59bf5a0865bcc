"""Light on the flat: kept hour by hour where the file has it, estimated and marked where not."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.climate.light import Light, cloudy_global_w_m2, light_on
from boottop.climate.sky import cloud_on, longwave_given
from boottop.climate.slots import Span, grid_for, span_of
from boottop.climate.sun import Sun, solar_day, sun_on
from boottop.climate.weather import Weather
from tests.climate.made import SITE, Floats, weather


def _lit(table: Weather) -> tuple[Light, Span, Sun]:
    span = span_of(table, grid_for(table))
    sun = sun_on(span.grid, SITE)
    return light_on(span, sun, day=solar_day(span.grid, SITE), elevation_m=SITE.elevation_m), span, sun


def _measured(days: int = 3) -> Floats:
    """Hour means of a clear sky, as a weather file would have them."""
    blank = weather(days=days)
    span = span_of(blank, grid_for(blank))
    sun = sun_on(span.grid, SITE)
    means = span.hourly(0.72 * sun.outside_w_m2 * sun.height)
    return np.concatenate([[0.0], means])


def test_hour_keeps_its_mean() -> None:
    measured = _measured()
    light, span, _ = _lit(weather(days=3, ghi_w_m2=measured))
    np.testing.assert_allclose(span.hourly(light.global_w_m2)[0], measured[1:], atol=0.02)
    assert not light.guessed.any()


def test_slots_follow_the_sun_within_the_hour() -> None:
    light, _, sun = _lit(weather(days=3, ghi_w_m2=_measured()))
    high = sun.height > 0.2
    ratio = light.global_w_m2[0, high] / (sun.outside_w_m2 * sun.height)[high]
    np.testing.assert_allclose(ratio, 0.72, atol=1e-6)


def test_direct_and_diffuse_make_the_global() -> None:
    light, _, sun = _lit(weather(days=3, ghi_w_m2=_measured()))
    np.testing.assert_allclose(light.direct_w_m2 * sun.height + light.diffuse_w_m2, light.global_w_m2, atol=1e-9)
    assert (light.diffuse_w_m2 >= -1e-9).all()
    assert light.direct_w_m2.max() < 1100.0


def test_diffuse_of_the_file_is_kept() -> None:
    measured = _measured()
    light, span, sun = _lit(weather(days=3, ghi_w_m2=measured, dhi_w_m2=0.3 * measured))
    day = span.hourly(sun.height) > 0.25
    np.testing.assert_allclose(span.hourly(light.diffuse_w_m2)[0, day], 0.3 * measured[1:][day], rtol=1e-6)


def test_direct_and_diffuse_alone_are_enough() -> None:
    measured = _measured()
    blank = weather(days=3)
    span = span_of(blank, grid_for(blank))
    height = span.hourly(sun_on(span.grid, SITE).height)
    direct = np.concatenate([[0.0], np.where(height > 0.05, 0.7 * measured[1:] / np.maximum(height, 0.05), 0.0)])
    light, _, _ = _lit(weather(days=3, dni_w_m2=direct, dhi_w_m2=0.3 * measured))
    np.testing.assert_allclose(span.hourly(light.global_w_m2)[0][height > 0.05], measured[1:][height > 0.05], rtol=1e-6)
    assert "direct and diffuse" in " ".join(light.notes)


def test_nothing_is_estimated_at_night_and_all_daylight_is_marked() -> None:
    light, _, sun = _lit(weather(days=3))
    assert (light.global_w_m2[:, sun.height == 0.0] == 0.0).all()
    np.testing.assert_array_equal(light.guessed, sun.elevation_deg > 0.0)
    assert "temperature range" in light.notes[0]


def test_day_of_wide_range_is_brighter_by_the_square_root() -> None:
    """Hargreaves & Samani: the day's sum goes with sqrt(Tmax - Tmin), 0.19 of the sun outside the air at 1 K."""
    hour = np.arange(97)
    narrow, wide = (15.0 + half * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi) for half in (1.0, 4.0))
    (dim, span, sun), (bright, _, _) = _lit(weather(air_c=narrow)), _lit(weather(air_c=wide))
    day = solar_day(span.grid, SITE) == solar_day(span.grid, SITE)[150]
    outside = (sun.outside_w_m2 * sun.height)[day].sum()
    assert dim.global_w_m2[0, day].sum() / outside == pytest.approx(0.19 * np.sqrt(2.0), rel=0.01)
    assert bright.global_w_m2[0, day].sum() / dim.global_w_m2[0, day].sum() == pytest.approx(2.0, rel=0.01)


def test_rain_darkens_its_own_hours() -> None:
    rain = np.zeros(97)
    rain[60:63] = 2.0
    (dry, _, _), (wet, span, _) = _lit(weather()), _lit(weather(rain_mm=rain))
    raining = span.over_hours(span.weather.rain_mm)[0] > 0.0
    assert (wet.global_w_m2[0, raining] < 0.6 * dry.global_w_m2[0, raining]).all()


def test_cloud_is_used_before_the_temperature_range() -> None:
    light, _, sun = _lit(weather(cloud=1.0))
    np.testing.assert_allclose(light.global_w_m2[0], 0.25 * cloudy_global_w_m2(np.zeros((1, sun.height.size)), sun)[0])
    assert "cloud cover" in light.notes[0]


def test_cloud_comes_back_out_of_the_light_it_made() -> None:
    given, span, sun = _lit(weather(cloud=0.7))
    ghi = np.concatenate([[0.0], span.hourly(given.global_w_m2)[0]])
    light, blind, _ = _lit(weather(ghi_w_m2=ghi))
    cloud, note = cloud_on(blind, light, sun)
    np.testing.assert_allclose(cloud, 0.7, atol=0.02)
    assert "inferred" in note


def test_a_small_range_of_temperature_makes_no_cloud_at_night() -> None:
    """A sea breeze: 4 K between night and day. The sun it leaves is a guess, and says nothing of the night's sky."""
    hour = np.arange(97)
    light, span, sun = _lit(weather(air_c=15.0 + 2.0 * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi)))
    cloud, note = cloud_on(span, light, sun)
    assert (cloud[0, sun.elevation_deg <= 10.0] == 0.0).all()
    assert (cloud[0, sun.elevation_deg > 20.0] > 0.5).any(), "by day the same guess is used on both sides"
    assert "clear" in note


def test_measured_sun_still_tells_of_the_night() -> None:
    given, span, sun = _lit(weather(cloud=0.7))
    light, blind, _ = _lit(weather(ghi_w_m2=np.concatenate([[0.0], span.hourly(given.global_w_m2)[0]])))
    cloud, _ = cloud_on(blind, light, sun)
    assert (cloud[0, sun.elevation_deg < 0.0] > 0.6).all()


def test_sky_is_clear_where_no_daylight_tells() -> None:
    from dataclasses import replace

    table = weather()
    span = span_of(table, grid_for(table))
    north = replace(SITE, latitude_deg=80.0)
    winter = replace(span, grid=replace(span.grid, start=span.grid.start.replace(month=12)))
    sun = sun_on(winter.grid, north)
    light = light_on(winter, sun, day=solar_day(winter.grid, north), elevation_m=0.0)
    cloud, note = cloud_on(winter, light, sun)
    assert (cloud == 0.0).all()
    assert "no daylight" in note


def test_longwave_of_the_file_is_read_at_the_middle_of_its_hour() -> None:
    table = weather(days=1, longwave_w_m2=np.arange(25.0) * 10.0)
    span = span_of(table, grid_for(table))
    inside = longwave_given(span)[0, 4:8]
    np.testing.assert_allclose(inside, [16.25, 18.75, 21.25, 23.75])
