"""Drying march against a fine solver of the same equations, and what dew, wind and the sheet do to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import solve_banded

from boottop.base.errors import InputError
from boottop.climate import moist
from boottop.coating.sheet import Times
from boottop.measure.hull import Layer
from boottop.measure.materials import MATERIALS
from boottop.windows.drying import Air, dry_marks, hull_air
from boottop.windows.film import (
    Film,
    mass_transfer_m_s,
    saturation_pa,
    saturation_slope_pa_k,
    sheet_film,
    wall_steps,
)
from tests.coating.made import COPPER_EPOXY
from tests.windows.windows_made import steady

Floats = NDArray[np.float64]
ONE = np.ones(1)
FILM = Film(water_kg_m2=0.040, skin_share=0.72, skin_s_m=107.0)
GRP_12 = (Layer(material="grp", thickness_m=0.012),)


@dataclass(frozen=True, kw_only=True)
class Day:
    """A dry surface that follows a sine of the day, in steady air."""

    layer: Layer
    air_c: float
    rh: float
    wind_m_s: float
    sun_k: float
    phase: float

    def dry_c(self, hour: Floats | float) -> Floats:
        return np.asarray(self.air_c + self.sun_k * (0.6 + 0.4 * np.sin(2.0 * np.pi * hour / 24.0 + self.phase)))


def _days(material: str, thickness_m: float, number: int) -> list[Day]:
    rng = np.random.default_rng(11)
    return [
        Day(
            layer=Layer(material=material, thickness_m=thickness_m),
            air_c=rng.uniform(6.0, 25.0),
            rh=rng.uniform(0.4, 0.85),
            wind_m_s=rng.uniform(0.0, 3.0),
            sun_k=rng.uniform(0.0, 10.0),
            phase=rng.uniform(0.0, 2.0 * np.pi),
        )
        for _ in range(number)
    ]


def _fine_h(day: Day, film: Film, *, nodes: int = 40, step_s: float = 20.0) -> float:
    """Drying time by 40 nodes bunched at the surface and steps of 20 s, nothing made linear over a slot."""
    material = MATERIALS[day.layer.material]
    span_m = np.diff(day.layer.thickness_m * np.linspace(0.0, 1.0, nodes + 1) ** 1.5)
    heat = material.density_kg_m3 * material.specific_heat_j_kgk * span_m / 2.0
    store = (np.append(heat, 0.0) + np.append(0.0, heat)) / step_s
    link = material.conductivity_w_mk / span_m
    humid_pa = day.rh * float(moist.saturation_pa(day.air_c))
    below, gone, hour = np.zeros(nodes + 1), 0.0, 0.0
    while gone < 1.0:
        film_c = float(day.dry_c(hour)) - below[0]
        still = 0.72 + 0.655 * abs(film_c - day.air_c) ** 0.5
        heat_w_m2k = ((3.26 * day.wind_m_s**0.89) ** 2 + still**2) ** 0.5
        resistance = 1.0 / mass_transfer_m_s(heat_w_m2k) + (film.skin_s_m if gone > film.skin_share else 0.0)
        over_pa = float(moist.saturation_pa(film_c)) - humid_pa
        leaves = over_pa / (461.5 * (0.5 * (film_c + day.air_c) + 273.15)) / resistance
        radiation = 4.0 * 0.92 * 5.670374e-8 * (film_c + 273.15) ** 3
        banded = np.zeros((3, nodes + 1))
        banded[0, 1:], banded[2, :-1] = -link, -link
        banded[1] = store + np.append(link, 6.0) + np.append(heat_w_m2k + radiation, link)
        supply = store * below
        supply[0] += 2.47e6 * leaves
        below = solve_banded((1, 1), banded, supply)
        gone, hour = gone + leaves * step_s / film.water_kg_m2, hour + step_s / 3600.0
    return hour


def _marcher(day: Day) -> Callable[[float], int]:
    """Slots that the march takes from mark 0, by the water in the film."""
    hour = (np.arange(4 * 30, dtype=np.float64) + 0.5) / 4.0
    flat = np.ones((1, hour.size), dtype=np.float32)
    dew_c = np.float32(moist.dew_point_c(day.air_c, day.rh))
    air = hull_air(np.float32(day.air_c) * flat, dew_c * flat, np.float32(day.wind_m_s) * flat, convection_factor=ONE)
    walls = np.array([[wall_steps((day.layer,), step_s=step_s, inside_w_m2k=6.0) for step_s in (300.0, 900.0)]])
    surface_c = day.dry_c(hour)[None, None].astype(np.float32)

    def slots(water_kg_m2: float) -> int:
        return int(
            dry_marks(surface_c, air, walls, film=replace(FILM, water_kg_m2=water_kg_m2), water_factor=ONE)[0, 0]
        )

    return slots


def _water_dry_in(day: Day, slots: int) -> float:
    """Water that the march gets rid of in just so many slots, kg/m2."""
    march, low, high = _marcher(day), 0.001, 2.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if march(middle) <= slots else (low, middle)
    return low


@pytest.mark.parametrize(
    ("material", "thickness_m"),
    [("grp", 0.008), ("grp", 0.012), ("grp", 0.020), ("timber", 0.032), ("aluminium", 0.006), ("lead", 0.075)],
)
def test_error_against_a_fine_solver(material: str, thickness_m: float) -> None:
    """Films that take half an hour to two: at most 3 % too early (the unsafe side), 6 % too late, median 2 %."""
    errors = []
    for day, slots in zip(_days(material, thickness_m, 9), (2, 4, 8) * 3, strict=True):
        water_kg_m2 = _water_dry_in(day, slots)
        errors.append(slots / 4.0 / _fine_h(day, replace(FILM, water_kg_m2=water_kg_m2)) - 1.0)
    assert min(errors) > -0.03
    assert max(errors) < 0.06
    assert float(np.median(np.abs(errors))) < 0.02


def _air(count: int, *, air_c: float = 18.0, dew_c: float = 8.0, wind_m_s: float = 1.0) -> Air:
    flat = np.ones((1, count), dtype=np.float32)
    return hull_air(
        np.float32(air_c) * flat, np.float32(dew_c) * flat, np.float32(wind_m_s) * flat, convection_factor=ONE
    )


def _grp_marks(surface_c: Floats, air: Air, *, film: Film = FILM) -> list[int]:
    walls = np.array([[wall_steps(GRP_12, step_s=step_s, inside_w_m2k=6.0) for step_s in (300.0, 900.0)]])
    made: list[int] = dry_marks(surface_c.astype(np.float32), air, walls, film=film, water_factor=ONE)[0].tolist()
    return made


def test_a_film_in_saturated_air_waits_for_the_morning() -> None:
    """Surface at the dew point all night: every film of the night dries with the first of the morning."""
    surface_c = steady(7.9, hours=20)
    surface_c[0, 0, 48:] = 20.0
    marks = _grp_marks(surface_c, _air(80))
    assert len(set(marks[:49])) == 1
    assert 49 < marks[0] < 56


def test_dew_undoes_what_the_evening_dried() -> None:
    """A film that is nearly dry when the surface falls below the dew point for hours is wet again next morning."""
    surface_c = steady(18.0, hours=20)
    surface_c[0, 0, 3:40] = 4.0
    thick = replace(FILM, water_kg_m2=0.080)
    dewy, kept = _grp_marks(surface_c, _air(80), film=thick), _grp_marks(steady(18.0, hours=20), _air(80), film=thick)
    assert kept[0] < 12
    assert dewy[0] == dewy[40] > 42


def test_no_film_is_dry_within_weather_that_ends() -> None:
    assert _grp_marks(steady(18.0, hours=1), _air(4))[-2:] == [5, 5]


def test_wind_and_warmth_dry_and_damp_air_does_not() -> None:
    surface_c = steady(18.0, hours=24)
    plain = _grp_marks(surface_c, _air(96, wind_m_s=0.5))[0]
    assert _grp_marks(surface_c, _air(96, wind_m_s=4.0))[0] < plain
    assert _grp_marks(surface_c + 8.0, _air(96, wind_m_s=0.5))[0] < plain
    assert _grp_marks(surface_c, _air(96, wind_m_s=0.5, dew_c=15.0))[0] > plain


def test_the_sheet_gives_the_water_and_the_water_gives_the_sheet_back() -> None:
    """50 min at 20 degC, 50 %, still air: 25 to 45 g/m2, as much as such a film holds; twice the time, twice that."""
    fifty = replace(COPPER_EPOXY, tacky=Times(temperature_c=(10.0, 20.0), hours=(1.6, 50.0 / 60.0)))
    film = sheet_film(fifty)
    assert 0.025 < film.water_kg_m2 < 0.045
    hundred = replace(fifty, tacky=Times(temperature_c=(20.0,), hours=(100.0 / 60.0,)))
    assert sheet_film(hundred).water_kg_m2 == pytest.approx(2.0 * film.water_kg_m2, rel=1e-12)
    damp = replace(fifty, times_humidity=0.75)
    assert sheet_film(damp).water_kg_m2 < film.water_kg_m2


def test_a_thin_panel_in_the_sheets_own_air_dries_in_the_sheets_time() -> None:
    """8 h printed for 20 degC, 50 %: a 1 mm steel panel open at the back (still air 1.9, radiation 5.2 W/m2K)."""
    film = sheet_film(replace(COPPER_EPOXY, tacky=Times(temperature_c=(20.0,), hours=(8.0,))))
    panel = (Layer(material="steel", thickness_m=0.001),)
    walls = np.array([[wall_steps(panel, step_s=step_s, inside_w_m2k=7.1) for step_s in (300.0, 900.0)]])
    surface_c = steady(20.0, hours=20).astype(np.float32)
    air = _air(80, air_c=20.0, dew_c=float(moist.dew_point_c(20.0, 0.5)), wind_m_s=0.0)
    assert abs(int(dry_marks(surface_c, air, walls, film=film, water_factor=ONE)[0, 0]) - 32) <= 1


@pytest.mark.parametrize("humidity", [0.0, 0.97])
def test_times_printed_for_air_that_dries_nothing_are_refused(humidity: float) -> None:
    with pytest.raises(InputError, match=r"humidity the times were printed for: found .* %; allowed: above 0 %"):
        sheet_film(replace(COPPER_EPOXY, times_humidity=humidity))


def test_saturation_agrees_with_the_one_of_the_climate() -> None:
    """Two formulas, one for the compiler: within 0.1 % from -10 to 60 degC, so within 0.02 K of dew point."""
    warm_c = np.linspace(-10.0, 60.0, 141)
    assert saturation_pa(warm_c) == pytest.approx(moist.saturation_pa(warm_c), rel=1e-3)
    slope = (saturation_pa(warm_c + 1e-4) - saturation_pa(warm_c - 1e-4)) / 2e-4
    assert saturation_slope_pa_k(warm_c) == pytest.approx(slope, rel=1e-6)


def test_a_sandwich_is_cut_within_its_core() -> None:
    """Nodes by thermal resistance: the outer node holds the outer skin, the steady loss is that of the whole."""
    sandwich = tuple(Layer(material=m, thickness_m=t) for m, t in (("grp", 0.003), ("foam", 0.02), ("grp", 0.002)))
    keeps, follows, r2, r3, r4, held, inwards = wall_steps(sandwich, step_s=900.0, inside_w_m2k=6.0)
    skin = 0.003 * 1650.0 * 1150.0 / 900.0
    assert skin <= held < 1.1 * skin
    middle = np.linalg.solve(np.array([[1.0 - r2, -r3], [-follows, 1.0 - keeps]]), np.array([r4, 0.0]))[0]
    resistance = 0.003 / 0.25 + 0.02 / 0.035 + 0.002 / 0.25 + 1.0 / 6.0
    assert inwards * (1.0 - middle) == pytest.approx(1.0 / resistance, rel=1e-9)
