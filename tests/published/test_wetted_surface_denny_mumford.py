"""Denny-Mumford against published bare-hull areas.

Areas and particulars: Gothenburg 2010 workshop on CFD in ship hydrodynamics (doi 10.1007/978-94-007-7189-5), read in a
copy; constant 1.7 after Tupper, Introduction to Naval Architecture (from memory). Scale law: Tokyo 2005 workshop,
case 1.1, model of the first ship at 1 : 31.6. Series 60 CB 0.60 model: Toda and Longo workshop model (from memory).
"""

from __future__ import annotations

import pytest

from boottop.measure.regressions import denny_mumford

SHIPS = {
    "KCS": (230.0, 10.8, 52030.0, 9424.0, 9040.0),
    "KVLCC2": (320.0, 20.8, 312622.0, 27194.0, 26345.0),
    "DTMB 5415": (142.0, 6.15, 8424.4, 2972.6, 2854.0),
}


@pytest.mark.parametrize("name", SHIPS)
def test_within_five_per_cent_of_published(name: str) -> None:
    length, draft, volume, published, estimate = SHIPS[name]
    area = denny_mumford(length_m=length, draft_m=draft, volume_m3=volume)
    assert area == pytest.approx(published, rel=0.05)
    assert area == pytest.approx(estimate, abs=0.5)


def test_areas_go_with_the_square_of_the_scale() -> None:
    scaled = SHIPS["KCS"][3] / 31.6**2
    assert scaled == pytest.approx(9.4379, rel=1e-4)
    ship = denny_mumford(length_m=230.0, draft_m=10.8, volume_m3=52030.0)
    model = denny_mumford(length_m=230.0 / 31.6, draft_m=10.8 / 31.6, volume_m3=52030.0 / 31.6**3)
    assert model == pytest.approx(ship / 31.6**2, rel=1e-12)


def test_series_60_model() -> None:
    length, beam, draft = 3.048, 0.406, 0.163
    volume = 0.60 * length * beam * draft
    assert denny_mumford(length_m=length, draft_m=draft, volume_m3=volume) == pytest.approx(1.579, rel=0.02)
