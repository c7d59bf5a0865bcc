"""Wetted surface of Holtrop and Mennen.

Holtrop and Mennen, An approximate power prediction method, Int. Shipbuilding Progress 29 (335), 1982, pp. 166-170,
sec. 5 example; Holtrop, A statistical re-analysis of resistance and propulsion data, Int. Shipbuilding Progress 31
(363), 1984, pp. 272-276, example. Both read in a copy of the source and recomputed.
"""

from __future__ import annotations

import pytest

from boottop.measure.inputs import Dimensions
from boottop.measure.regressions import coefficients_of, holtrop_mennen


def ship(length: float, beam: float, *, draft: float, volume: float, midship: float, waterplane: float) -> Dimensions:
    return Dimensions(
        form="ship",
        waterline_length_m=length,
        waterline_beam_m=beam,
        body_draft_m=draft,
        displaced_m3=volume,
        midship_coefficient=midship,
        waterplane_coefficient=waterplane,
    )


def test_1982_example() -> None:
    d = ship(205.0, 32.0, draft=10.0, volume=37500.0, midship=0.98, waterplane=0.75)
    area = holtrop_mennen(dimensions=d, coefficients=coefficients_of(d), bulb_section_m2=20.0)
    assert area == pytest.approx(7381.45, abs=0.005)


def test_1984_example() -> None:
    d = ship(50.0, 12.0, draft=3.2, volume=900.0, midship=0.78, waterplane=0.80)
    area = holtrop_mennen(dimensions=d, coefficients=coefficients_of(d))
    assert area == pytest.approx(584.9, abs=0.05)
