"""Our saturation polynomial against ASHRAE Handbook Fundamentals 2017 ch. 1 Table 3 (read in a library's tests)."""

from __future__ import annotations

import pytest

from boottop.windows.film import saturation_pa


@pytest.mark.parametrize(("temperature_c", "printed_pa"), [(5.0, 872.6), (25.0, 3169.7), (50.0, 12351.3)])
def test_saturation_pressure(temperature_c: float, printed_pa: float) -> None:
    """The table's own tolerance of 3e-4 is for the full formula; the polynomial keeps 1e-3."""
    assert saturation_pa(temperature_c) == pytest.approx(printed_pa, rel=1e-3)
