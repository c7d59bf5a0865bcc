"""Dew points against the chart examples of a paper on ambient conditions for coating work (scribd 146044552, read)."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from boottop.climate.moist import dew_point_c, wet_bulb_c


def test_16_c_at_71_percent() -> None:
    """Chart reading 11 degC, tolerance half a degree."""
    assert float(dew_point_c(16.0, 0.71)) == pytest.approx(11.0, abs=0.5)


def test_21_c_dry_17_c_wet() -> None:
    """Chart reading 15 degC, tolerance half a degree."""
    rh = brentq(lambda r: float(wet_bulb_c(21.0, r, 101325.0)) - 17.0, 0.2, 0.99)
    assert float(dew_point_c(21.0, rh)) == pytest.approx(15.0, abs=0.5)
