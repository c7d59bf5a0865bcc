"""Dew points against a table printed for coating work, whole degrees Fahrenheit.

"Dew point calculation chart" (sample chart, handypdf.com; read). The table truncates: tolerance 1 degF.
"""

from __future__ import annotations

import pytest

from boottop.climate.moist import dew_point_c


@pytest.mark.parametrize(
    ("air_f", "percent", "dew_f"),
    [
        (70, 65, 57), (50, 80, 44), (80, 50, 59), (90, 90, 87), (60, 85, 55), (40, 60, 27), (100, 70, 88),
    ],
)  # fmt: skip
def test_printed_dew_points(air_f: float, percent: float, dew_f: float) -> None:
    assert _dew_f(air_f, percent) == pytest.approx(dew_f, abs=1.0)


def test_printed_row_below_freezing_is_a_frost_point() -> None:
    """30 degF, 50 %: 15 degF printed, over ice. Ours, over water, is 13.6 degF: the known gap, not a rounding."""
    assert 1.0 < 15.0 - _dew_f(30.0, 50.0) < 2.0


def _dew_f(air_f: float, percent: float) -> float:
    return float(dew_point_c((air_f - 32.0) / 1.8, percent / 100.0)) * 1.8 + 32.0
