"""Canoe body of the Delft systematic yacht hull series.

Gerritsma, Keuning and Onnink: formula read, no worked example found; the number is our own regression pin.
"""

from __future__ import annotations

import pytest

from boottop.measure.regressions import delft_canoe_body
from tests.measure.boats import by_dimensions


def test_pin() -> None:
    dimensions = by_dimensions().dimensions
    assert dimensions is not None
    assert delft_canoe_body(dimensions=dimensions, midship_coefficient=0.72) == pytest.approx(24.684, abs=5e-4)
