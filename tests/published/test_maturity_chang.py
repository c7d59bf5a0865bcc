"""An Arrhenius pair by our rate table against R. Chang, Chemistry, Ex 13.9 p. 586 (read in a worked copy)."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.coating.sheet import Times
from boottop.windows.rates import Lanes, nodes_c, rate_table


def test_example_13_9() -> None:
    """k1 = 0.0346 1/s at 298 K, 50.2 kJ/mol: k2 = 0.702 1/s at 350 K; tolerance 1e-3."""
    seconds = Times(temperature_c=(298.0 - 273.15,), hours=(1.0 / 0.0346,))
    one = Lanes(time_factor=(1.0,), energy_shift_j_mol=(0.0,))
    table = rate_table(seconds, one, energy_j_mol=50_200.0, stalls_below_c=None)
    assert np.interp(350.0 - 273.15, nodes_c(), table[0]) == pytest.approx(0.702, rel=1e-3)
