"""A wet surface in dry moving air against Holman, Heat Transfer, Ex 11-3 and 11-4 (read in a solved-examples copy)."""

from __future__ import annotations

import pytest

from boottop.climate.kernel import LATENT_J_KG
from boottop.climate.moist import saturation_pa
from tests.climate.made import wet_rate_kg_m2_s


def _wet_c(air_c: float, vapour_pa: float) -> float:
    """Temperature of the film march's wet wall, from how fast it loses water: air - rate * latent heat / h."""
    return air_c - wet_rate_kg_m2_s(air_c, vapour_pa, 20.0) * LATENT_J_KG / 20.0


def test_example_11_4_wet_bulb() -> None:
    """32.2 degC, 18.3 degC wet, Lewis number .845: 27.8 % RH. Turned round, 27.8 % must give 18.3 degC; we take
    vapour at the film's mean temperature where Holman takes two densities: 0.4 K."""
    assert _wet_c(32.2, 0.278 * float(saturation_pa(32.2))) == pytest.approx(18.3, abs=0.4)


def test_example_11_3_dry_air() -> None:
    """Dry air that keeps a wet surface at 18.3 degC: 53.66 degC with air density at the surface, 55.8 degC at the
    film's mean temperature (Holman's second pass, which is nearer to ours): the film is 18.3 degC within 1 K."""
    assert _wet_c(55.8, 0.0) == pytest.approx(18.3, abs=1.0)
