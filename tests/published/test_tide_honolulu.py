"""Tide at Honolulu: a year's gauge record against the station's published constants, and our sum against utide's.

Constants: NOAA CO-OPS station 1612340 (read; amplitudes printed to 1 mm, phases to 0.1 deg). Record: hourly heights of
2010 from the tests of UTide (tests/data/SOURCES.md). Fit of that record: computed beforehand by ordinary least squares.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
import utide  # type: ignore[import-untyped]
from numpy.typing import NDArray
from utide.utilities import Bunch  # type: ignore[import-untyped]

from boottop.plan.tide_constants import WAVES, TideStation, utide_name
from boottop.plan.tide_heights import UNIX_EPOCH_DAY, heights_m
from tests.files.tide_files import honolulu_record, seconds, station

Floats = NDArray[np.float64]
SOLAR_PERIGEE_DEG = 283.1
"""Its longitude in 2010: what lies between utide's SA and the published one."""


def days_of(epoch_s: NDArray[np.int64]) -> Floats:
    return epoch_s / 86400.0 + UNIX_EPOCH_DAY


@lru_cache(maxsize=2)
def fit(*names: str) -> Any:
    """utide's least squares over the record: the constituents named, or of its own choice and with a trend."""
    when, height = honolulu_record()
    return utide.solve(
        days_of(when),
        height,
        lat=station("honolulu").latitude_deg,
        epoch="python",
        method="ols",
        conf_int="none",
        constit=list(names) or "auto",
        trend=not names,
        verbose=False,
    )


def fit_of_the_same_constituents() -> Any:
    """The fit that knows no wave but those of the station file."""
    known = set(utide.ut_constants.const.name)
    names = [utide_name(one.name) for one in station("honolulu").constituents if one.amplitude_m > 0.0]
    return fit(*[name for name in names if name in known])


def rms(values: Floats) -> float:
    """Root mean square about the mean: gauge zero and sea level of the year fall out."""
    return float(np.std(values))


@pytest.mark.parametrize(
    ("name", "amplitude_mm", "phase_deg"), [("M2", 176.9, 58.8), ("K1", 150.0, 225.8), ("O1", 81.8, 216.4)]
)
def test_fit_of_the_record(name: str, amplitude_mm: float, phase_deg: float) -> None:
    found = fit()
    place = list(found.name).index(name)
    assert found.A[place] * 1000.0 == pytest.approx(amplitude_mm, abs=0.05)
    assert found.g[place] == pytest.approx(phase_deg, abs=0.05)


@pytest.mark.parametrize("name", ["M2", "S2", "N2", "K1", "O1", "P1", "K2", "Q1"])
def test_station_constants_are_those_of_the_record(name: str) -> None:
    """As vectors within 1 cm: a year's fit strays by its own noise (1 to 2 mm) and by the internal tide, which moves M2
    here by about so much from year to year (Colosi & Munk, Tales of the venerable Honolulu tide gauge, 2006; from
    memory). A wave taken for another, or a phase in local time, would be off by its whole amplitude."""
    found = fit_of_the_same_constituents()
    place = list(found.name).index(name)
    printed = next(one for one in station("honolulu").constituents if one.name == name)
    fitted = found.A[place] * np.exp(-1j * np.radians(found.g[place]))
    assert abs(fitted - printed.amplitude_m * np.exp(-1j * np.radians(printed.phase_deg))) < 0.01


def test_the_year_cycle_counts_from_the_equinox() -> None:
    """SA: 177.7 deg in the file. utide counts it from the solar perigee; brought to the same zero its fit agrees within
    5 deg, uncorrected the two lie 80 deg apart."""
    found = fit_of_the_same_constituents()
    fitted_deg = found.g[list(found.name).index("SA")]
    assert (fitted_deg + SOLAR_PERIGEE_DEG) % 360.0 == pytest.approx(177.7, abs=5.0)
    assert abs(fitted_deg - 177.7) > 70.0


def residuals_m() -> tuple[float, float, float]:
    """rms over 2010 of: record less its own fit; record less our prediction; our prediction less that fit."""
    when, height = honolulu_record()
    fitted = utide.reconstruct(
        days_of(when), fit_of_the_same_constituents(), epoch="python", verbose=False, min_SNR=0
    ).h
    predicted = heights_m(station("honolulu"), when)
    return rms(height - fitted), rms(height - predicted), rms(predicted - fitted)


def test_prediction_leaves_of_the_record_what_it_must_and_no_more() -> None:
    """Residual 4.7 cm rms (of 19.9 cm). No constants of these waves can leave less than the least-squares fit to the
    very record does, 3.6 cm: weather, eddies, a tsunami. Beyond that the year may differ from the mean of years: its
    annual cycle by as much as the mean one (4.8 cm amplitude, 3.4 cm rms), the other waves by their 1 cm at most in
    M2 and a few mm else (1 cm rms together). The three are uncorrelated: squares add, 5.0 cm."""
    floor_m, residual_m, _ = residuals_m()
    annual = next(one.amplitude_m for one in station("honolulu").constituents if one.name == "SA")
    assert floor_m < residual_m < math.sqrt(floor_m**2 + annual**2 / 2.0 + 0.01**2)
    assert floor_m == pytest.approx(0.036, abs=5e-4)
    assert residual_m == pytest.approx(0.047, abs=5e-4)
    assert residual_m / rms(honolulu_record()[1]) < 0.25


def test_what_is_left_beyond_the_fit_is_the_change_of_constants() -> None:
    """Least squares: what the fit leaves is orthogonal to every sum of its waves, so the squares add (within 2 %: the
    file's solar waves are not exactly utide's)."""
    floor_m, residual_m, change_m = residuals_m()
    assert residual_m**2 == pytest.approx(floor_m**2 + change_m**2, rel=0.02)


def test_an_annual_cycle_from_the_perigee_would_not_pass() -> None:
    when, height = honolulu_record()
    whole = station("honolulu")
    turned = tuple(
        replace(one, phase_deg=one.phase_deg + SOLAR_PERIGEE_DEG) if one.name == "SA" else one
        for one in whole.constituents
    )
    assert rms(height - heights_m(replace(whole, constituents=turned), when)) > 0.07


def given_constants(of: TideStation) -> Any:
    """The station's constants as utide's `reconstruct` takes them: its solution object, made by hand."""
    constants = utide.ut_constants.const
    index = utide.constit_index_dict
    names = [utide_name(one.name) for one in of.constituents]
    places = np.array([index[name] for name in names])
    options = Bunch(
        twodim=False, nodiagn=True, notrend=True, prefilt=[],
        nodsatlint=False, nodsatnone=False, gwchlint=False, gwchnone=False,
    )  # fmt: skip
    return Bunch(
        name=np.array(names),
        A=np.array([one.amplitude_m for one in of.constituents]),
        g=np.array([one.phase_deg for one in of.constituents]),
        mean=0.0,
        aux=Bunch(opt=options, reftime=0.0, frq=constants.freq[places], lind=places, lat=of.latitude_deg),
    )


@pytest.mark.parametrize("name", ["honolulu", "boston", "newlyn", "dublin"])
def test_our_sum_is_utides_to_the_millimetre(name: str) -> None:
    """All waves that both define alike, every hour of a year. We hold nodal corrections for a day: at most half a day's
    change, 0.001 and 0.1 deg of the few waves that turn so fast (L2 at 7 cm), else a hundredth of that."""
    whole = station(name)
    index = utide.constit_index_dict
    alike = replace(
        whole,
        constituents=tuple(
            one for one in whole.constituents if one.name not in WAVES and utide_name(one.name) in index
        ),
    )
    when = np.arange(seconds(2026), seconds(2027), 3600)
    expected = utide.reconstruct(days_of(when), given_constants(alike), epoch="python", verbose=False).h
    assert np.abs(heights_m(alike, when) - expected).max() < 5e-4
