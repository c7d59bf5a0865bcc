"""Smooth friction: the ITTC-1957 line (pins of the published formula), the example ship of Holtrop and Mennen 1982
(read, recomputed) and one value of the Karman-Schoenherr line (from memory)."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.money.friction import friction_n, ittc57, karman_schoenherr, reynolds_number, rough_friction

KNOT_M_S = 0.514444
HOLTROP_RE = reynolds_number(25 * KNOT_M_S, 205.0, 1.18831e-6)


def test_pins_of_the_line() -> None:
    """Arithmetic of the published formula (ours)."""
    found = ittc57([1e6, 1e7, 1e8, 1e9, 1e10])
    assert found == pytest.approx([4.6875e-3, 3.0000e-3, 2.0833333e-3, 1.5306122e-3, 1.171875e-3], rel=1e-7)


def test_holtrop_and_mennen_1982() -> None:
    """Int. Shipbuilding Progress 29 (335), sec. 5: CF 0.001390 and 869.63 kN at 25 kn."""
    cf = ittc57(HOLTROP_RE)
    assert float(cf) == pytest.approx(0.001390, rel=3e-4)
    newton = friction_n(25 * KNOT_M_S, 7381.45, cf, density_kg_m3=1025.0)
    assert float(newton) == pytest.approx(869.63e3, rel=1e-4)


def test_schoenherr_at_1e9() -> None:
    """Recalled, not seen; the two lines nearly meet there."""
    assert float(karman_schoenherr(1e9)) == pytest.approx(0.001531, rel=5e-3)


def test_a_smooth_plate_is_its_line() -> None:
    reynolds = np.geomspace(1e5, 1e10, 21)
    assert rough_friction(reynolds, 0.0, line="ittc-57") == pytest.approx(ittc57(reynolds), rel=1e-9)
    cf = karman_schoenherr(reynolds)
    assert 0.242 / np.sqrt(cf) == pytest.approx(np.log10(reynolds * cf), rel=1e-9)
