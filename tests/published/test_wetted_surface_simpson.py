"""Ten ordinates 15 apart: Simpson on nine and a trapezoid on the last bay.

Basak, Surveying and Levelling, p. 216 (read, recomputed).
"""

from __future__ import annotations

import numpy as np
import pytest

from boottop.measure.rules import simpson_even, trapezoid

STATIONS = np.linspace(0.0, 135.0, 10)
ORDINATES = np.array([3.5, 4.3, 6.75, 5.25, 7.5, 8.8, 7.9, 6.4, 4.4, 3.25])


def test_even_number_of_ordinates() -> None:
    assert simpson_even(STATIONS, ORDINATES) == pytest.approx(813.375, abs=1e-9)
    assert simpson_even(STATIONS[:9], ORDINATES[:9]) == pytest.approx(756.0, abs=1e-9)


def test_trapezoid() -> None:
    assert trapezoid(STATIONS, ORDINATES) == pytest.approx(820.125, abs=1e-9)
