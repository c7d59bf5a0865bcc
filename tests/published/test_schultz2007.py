"""Added resistance by condition of the bottom: Schultz, Biofouling 23(5) (2007) 331-341, Tables 1 and 4-5.

Only the abstract was seen: the rows are recalled (from memory). Granville's method meets them within 8 % with one
fitted total resistance a speed. "As applied" does not follow and is left out: the paper gives fresh paint a roughness
of its own, not 30 um of sand.
"""

from __future__ import annotations

import numpy as np
import pytest

from boottop.money import friction
from boottop.money.fouling import CONDITIONS_UM
from boottop.money.friction import karman_schoenherr, reynolds_number, rough_friction

LENGTH_M, KNOT_M_S = 124.4, 0.514444
KS_M = np.array([100, 300, 1000, 3000, 10_000]) * 1e-6
RECALLED = {15: (11, 20, 34, 52, 80), 30: (10, 16, 25, 36, 55)}
TOTAL_CT = {15: 3.50e-3, 30: 5.18e-3}
"""Smooth total resistance coefficients, fitted (ours)."""
ADDED_CF = {15: (0.403, 0.716, 1.194, 1.785, 2.677), 30: (0.504, 0.832, 1.317, 1.911, 2.804)}
"""Times 1e-3, from our own run: a pin, not published."""


def _added(speed_kn: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    reynolds = reynolds_number(speed_kn * KNOT_M_S, LENGTH_M)
    return np.asarray(rough_friction(reynolds, KS_M / LENGTH_M) - karman_schoenherr(reynolds))


@pytest.mark.parametrize("speed_kn", [15, 30])
def test_recalled_percentages(speed_kn: int) -> None:
    assert 100 * _added(speed_kn) / TOTAL_CT[speed_kn] == pytest.approx(RECALLED[speed_kn], rel=0.08)


@pytest.mark.parametrize("speed_kn", [15, 30])
def test_added_coefficients(speed_kn: int) -> None:
    assert 1e3 * _added(speed_kn) == pytest.approx(ADDED_CF[speed_kn], abs=6e-4)


def _spread(speed_kn: int) -> float:
    """How far apart the total resistances are that the recalled percentages imply; one ship has one."""
    implied = _added(speed_kn) / np.array(RECALLED[speed_kn])
    return float(implied.max() / implied.min())


def test_without_the_quarter_the_table_does_not_come_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The trap: with ln(1 + ks+) one hull would have to have many total resistances at one speed."""
    assert max(_spread(15), _spread(30)) < 1.15
    monkeypatch.setattr(friction, "ROUGHNESS_FACTOR", 1.0)
    assert _spread(15) > 1.3


def test_the_conditions_are_those_of_the_table() -> None:
    assert [CONDITIONS_UM[name] for name in (
        "light slime", "heavy slime", "small calcareous or weed", "medium calcareous", "heavy calcareous",
    )] == (KS_M * 1e6).round(9).tolist()  # fmt: skip
