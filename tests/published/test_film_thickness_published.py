"""Spreading rates and wet film against printed figures."""

from __future__ import annotations

import pytest

from boottop.coating.film import (
    US_CONSTANT_FT2_MIL_GAL,
    practical_rate,
    theoretical_rate_ft2_gal,
    theoretical_rate_m2_l,
    wet_film_um,
)


def test_us_constant() -> None:
    """231 in3 per US gallon over 0.001 in x 144 in2/ft2, by definition; 1604 in R. Joseph's Q&A, 2007 (read)."""
    assert pytest.approx(1604.17, rel=1e-5) == US_CONSTANT_FT2_MIL_GAL
    assert round(US_CONSTANT_FT2_MIL_GAL) == 1604


@pytest.mark.parametrize(("solids", "printed"), [(0.46, 294.0), (0.56, 358.0)])
def test_hijuelos_coverage(solids: float, printed: float) -> None:
    """L. Hijuelos, Estimating, PaintPRO: 2.5 mil dry film, printed with rounding (read; rtol 5e-3)."""
    assert theoretical_rate_ft2_gal(solids, 2.5) == pytest.approx(printed, rel=5e-3)


def test_si_coverage_is_the_us_one_in_other_units() -> None:
    """By definition: 1 US gal = 3.785411784 L, 1 ft = 0.3048 m, 1 mil = 25.4 um."""
    us_m2_l = theoretical_rate_ft2_gal(0.65, 125.0 / 25.4) * 0.3048**2 / 3.785411784
    assert us_m2_l == pytest.approx(5.2, rel=1e-12)
    assert theoretical_rate_m2_l(0.65, 125.0) == pytest.approx(5.2, rel=1e-12)


def test_thinned_wet_film() -> None:
    """Volume balance: 100 um dry, half solids, 10 % thinner -> 220 um (definition, our numbers)."""
    assert wet_film_um(100.0, 0.5, thinner_fraction=0.1) == pytest.approx(220.0, rel=1e-12)


def test_practical_coverage() -> None:
    """Corrosionpedia, Practical coverage: 100 ft2/gal at 30 % loss -> 70 (read)."""
    assert practical_rate(100.0, 0.30) == pytest.approx(70.0, rel=1e-12)
