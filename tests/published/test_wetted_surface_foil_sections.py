"""Perimeter and area of NACA four-digit sections.

Thickness distribution y/c = 5 t (0.2969 sqrt x - 0.1260 x - 0.3516 x^2 + 0.2843 x^3 - 0.1015 x^4): Abbott and von
Doenhoff, Theory of Wing Sections, 1959, sec. 6.4 (from memory).
"""

from __future__ import annotations

import numpy as np
import pytest

from boottop.measure.appendages import SECTION_FULLNESS, foil_perimeter_m


@pytest.mark.parametrize("thickness", [0.06, 0.09, 0.12, 0.15, 0.20, 0.25])
def test_ellipse_stands_in_for_a_naca_section(thickness: float) -> None:
    x = np.linspace(0.0, 1.0, 20001) ** 2
    y = 5 * thickness * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    perimeter = 2.0 * float(np.hypot(np.diff(x), np.diff(y)).sum()) + 2.0 * float(y[-1])
    assert foil_perimeter_m(1.0, thickness) == pytest.approx(perimeter, rel=0.015)
    assert 2.0 * float(np.trapezoid(y, x)) / thickness == pytest.approx(SECTION_FULLNESS, rel=0.03)
