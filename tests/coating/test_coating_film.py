"""Film arithmetic and the mix of a sheet's parts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boottop.base.errors import InputError
from boottop.coating.film import (
    coat_rate_m2_l,
    coat_wet_film_um,
    mean_wet_film_um,
    mixture,
    practical_rate,
    theoretical_rate_m2_l,
    wet_film_um,
)
from tests.coating.made import BARRIER, COPPER_EPOXY, RESIN


def test_powder_adds_its_grain_not_its_air() -> None:
    """1 : 1 : 1 by bulk; 5 kg of copper fill 5/8.96 L, so three litres poured make 2.558 L."""
    mix = mixture(COPPER_EPOXY)
    made_l = 2.0 + 5.0 / 8.96
    assert mix.density_kg_l == pytest.approx((1.10 + 1.05 + 5.0) / made_l, rel=1e-12)
    assert mix.solids_fraction == pytest.approx((0.50 + 0.46 + 5.0 / 8.96) / made_l, rel=1e-12)
    assert mix.powder_fraction == pytest.approx(0.2182, abs=5e-5)
    assert mix.liquid_density_kg_l == pytest.approx(1.075, rel=1e-12)


def test_liquids_alone_mix_by_their_parts() -> None:
    mix = mixture(BARRIER)
    assert mix.density_kg_l == pytest.approx(1.3, rel=1e-12)
    assert mix.solids_fraction == pytest.approx(0.6, rel=1e-12)
    assert mix.powder_fraction == 0.0


def test_a_coat_covers_what_its_wet_film_says() -> None:
    """Without loss, litres per area from the rate are the wet film by definition."""
    rate_m2_l = coat_rate_m2_l(COPPER_EPOXY, 0.0)
    assert mean_wet_film_um(1.0, rate_m2_l) == pytest.approx(coat_wet_film_um(COPPER_EPOXY), rel=1e-12)


def test_numbers_that_no_film_can_have_are_refused() -> None:
    with pytest.raises(InputError, match=r"solids by volume: found 65 \(fraction\); allowed: above 0, up to 1"):
        theoretical_rate_m2_l(65.0, 125.0)
    with pytest.raises(InputError, match=r"film: found 0 um or mil; allowed: above 0 um or mil\."):
        wet_film_um(0.0, 0.5)
    with pytest.raises(InputError, match=r"loss: found 1 \(fraction\); allowed: 0 or more, below 1"):
        practical_rate(8.0, 1.0)
    with pytest.raises(InputError, match=r"area: found nan m2"):
        mean_wet_film_um(1.0, float("nan"))


def test_a_powder_cannot_be_heavier_poured_than_solid() -> None:
    odd = replace(COPPER_EPOXY, parts=(RESIN, replace(COPPER_EPOXY.parts[1], bulk_density_kg_l=9.5)))
    with pytest.raises(
        InputError, match=r"part 'copper powder', bulk density: found 9.5 kg/L; allowed: above 0, up to 8.96"
    ):
        mixture(odd)
