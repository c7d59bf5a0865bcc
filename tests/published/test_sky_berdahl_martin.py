"""Berdahl & Martin, Solar Energy 32(5) (1984) 663-664: clear-sky emissivity (formula read; the values are its own)."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.climate.sky import berdahl_martin_emissivity, clear_emissivity


def test_dew_point_10_c() -> None:
    assert float(berdahl_martin_emissivity(10.0)) == pytest.approx(0.7743, rel=1e-6)


def test_our_formula_is_above_it_in_dry_air() -> None:
    """Clark & Allen, ours, lies above Berdahl & Martin by up to .09 in dry air (30 W/m2: warmer nights, less dew) and
    meets it near a dew point of 20 degC: the spread between published skies, to be remembered for dew nights."""
    difference = clear_emissivity(np.arange(-5.0, 21.0, 5.0)) - berdahl_martin_emissivity(np.arange(-5.0, 21.0, 5.0))
    assert (np.diff(difference) < 0.0).all()
    assert difference[0] < 0.09
    assert abs(difference[-1]) < 0.015
