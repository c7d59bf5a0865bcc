"""Wear and due date against closed forms; fouling words; what one job hands to the next."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.record.facts import BareSpot
from boottop.record.history import YEAR_S, Visit, fouling_words, wear
from boottop.record.years import advice_for_next, same_boat

START_S = 1_600_000_000


def film(years: float, um: float, *, sd_um: float = 8.0, zone: str | None = "port side") -> Visit:
    """A film measured so many years after the start."""
    return Visit(at_s=START_S + int(years * YEAR_S), kind="film", zone=zone, film_um=um, film_sd_um=sd_um)


def after(years: float) -> int:
    """Epoch seconds."""
    return START_S + int(years * YEAR_S)


def test_points_on_a_line_give_the_line_back() -> None:
    found = wear([film(t, 280.0 - 12.0 * t) for t in (0, 1, 3, 4)], zone="port side", least_um=160.0, now_s=after(5))
    assert found is not None
    assert found.rate_um == pytest.approx(12.0, abs=1e-3)
    assert found.film_now_um == pytest.approx(220.0, abs=1e-2)
    assert found.due_s == pytest.approx(after(10.0), abs=86_400)
    assert found.stretch_ratio == 1.0


def test_slope_and_its_doubt_against_numpy() -> None:
    """numpy.polyfit with weights 1/sd and the covariance not scaled."""
    years, films, sds = [0.0, 1.0, 2.5, 4.0], [284.0, 268.0, 255.0, 231.0], [12.0, 8.0, 8.0, 15.0]
    (slope, _), covariance = np.polyfit(years, films, 1, w=1.0 / np.array(sds), cov="unscaled")
    visits = [film(t, um, sd_um=sd) for t, um, sd in zip(years, films, sds, strict=True)]
    found = wear(visits, zone="port side", least_um=100.0, now_s=after(5))
    assert found is not None
    assert found.rate_um == pytest.approx(-slope, rel=1e-4)
    assert found.rate_sd_um == pytest.approx(covariance[0, 0] ** 0.5, rel=1e-4)


def test_due_range_is_where_the_band_meets_the_least_film() -> None:
    """Fieller's limits: the roots of (level + slope t - least)^2 = z^2 (sd_level^2 + sd_slope^2 t^2)."""
    visits = [film(t, 280.0 - 15.0 * t, sd_um=4.0) for t in (0, 1, 2, 3)]
    found = wear(visits, zone="port side", least_um=150.0, now_s=after(4))
    assert found is not None
    level, slope, level_var, slope_var, z = 280.0 - 15.0 * 1.5, -15.0, 16.0 / 4, 16.0 / 5.0, 1.6448536
    roots = np.roots(
        [slope**2 - z**2 * slope_var, 2 * (level - 150.0) * slope, (level - 150.0) ** 2 - z**2 * level_var]
    )
    early, late = sorted(1.5 + roots.real)
    assert found.due_early_s == pytest.approx(after(early), abs=86_400)
    assert found.due_late_s == pytest.approx(after(late), abs=86_400)


def test_wear_within_its_doubt_has_an_open_end() -> None:
    visits = [film(t, um, sd_um=20.0) for t, um in ((0, 280.0), (1, 278.0), (2, 275.0))]
    found = wear(visits, zone="port side", least_um=100.0, now_s=after(3))
    assert found is not None
    assert found.due_late_s is None
    assert "open" in found.words


def test_points_that_scatter_stretch_all_doubts() -> None:
    wild = [film(t, um) for t, um in ((0, 280.0), (1, 220.0), (2, 290.0), (3, 200.0))]
    found = wear(wild, zone="port side", least_um=100.0, now_s=after(4))
    assert found is not None
    assert found.stretch_ratio > 2.0


def test_films_before_the_last_coat_do_not_count() -> None:
    visits = [film(-2, 100.0), Visit(at_s=START_S, kind="coated", zone="port side"), film(0, 280.0), film(2, 260.0)]
    found = wear(visits, zone="port side", least_um=100.0, now_s=after(3))
    assert found is not None
    assert found.points == 2
    assert found.rate_um == pytest.approx(10.0, abs=0.01)


def test_one_film_is_no_wear() -> None:
    assert wear([film(0, 280.0)], zone="port side", least_um=100.0, now_s=after(1)) is None


def test_the_whole_boats_films_stand_in_for_a_zone() -> None:
    visits = [film(0, 280.0, zone=None), film(2, 260.0, zone=None)]
    found = wear(visits, zone="starboard side", least_um=100.0, now_s=after(3))
    assert found is not None
    assert found.rate_um == pytest.approx(10.0, abs=0.01)


def test_fouling_words_and_what_is_no_rating() -> None:
    assert fouling_words(0) == "clean, smooth"
    assert fouling_words(100) == "shells, weed and soft growth everywhere"
    with pytest.raises(InputError, match="0 \\(clean\\) to 100"):
        fouling_words(101)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("Marsh Wren", "MARSH-WREN", True), ("Marsh Wren", "Marsh Wren II", False), ("", "", False)],
)
def test_one_boat_by_her_name(one: str, other: str, same: bool) -> None:
    assert same_boat(one, other) is same


def test_fittings_left_bare_are_no_advice_for_the_next_plan() -> None:
    spots = [
        BareSpot(zone="sides", kind="fitting", words="anode"),
        BareSpot(zone="pads 1", kind="pads", words="no coat"),
    ]
    assert advice_for_next(spots) == ("pads 1: no coat. Coat it first, and rest the boat elsewhere.",)
