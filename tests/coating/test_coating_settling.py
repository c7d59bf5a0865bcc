"""Stir rule: a habit, shown as a result only where settling asks for more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boottop.base.errors import InputError
from boottop.coating.settling import power_hindrance, reynolds, stir_interval_min, stir_rule, stokes_m_s
from tests.coating.made import BARRIER, COPPER_EPOXY


def test_without_grain_or_viscosity_it_is_a_rule() -> None:
    rule = stir_rule(COPPER_EPOXY)
    assert (rule.every_min, rule.basis, rule.computed_min) == (10.0, "rule", None)
    assert "does not print grain and viscosity" in rule.text
    assert "a rule, not a result" in rule.text


def test_viscosity_alone_says_which_grain_the_rule_holds() -> None:
    """The grain it names must itself come out at ten minutes."""
    text = stir_rule(replace(COPPER_EPOXY, viscosity_pa_s=1.0)).text
    grain_um = float(text.split("grains to ")[1].split(" um")[0])
    both = stir_rule(replace(COPPER_EPOXY, viscosity_pa_s=1.0, grain_um=grain_um))
    assert both.computed_min == pytest.approx(10.0, rel=0.02)


def test_coarse_grain_in_a_thin_mix_asks_for_more_than_the_habit() -> None:
    """drho 7.885 kg/L, 45 um, 0.3 Pa s: lone speed from Stokes, (1-phi)^4.48 of it clears 2.5 mm."""
    rule = stir_rule(replace(COPPER_EPOXY, grain_um=45.0, viscosity_pa_s=0.3))
    lone_m_s = 7885.0 * 9.80665 * (45e-6) ** 2 / (18 * 0.3)
    phi = (5.0 / 8.96) / (2.0 + 5.0 / 8.96)
    assert rule.computed_min == pytest.approx(0.0025 / (lone_m_s * (1 - phi) ** 4.48) / 60.0, rel=1e-9)
    assert rule.basis == "result"
    assert rule.computed_min is not None
    assert rule.computed_slow_min is not None
    assert rule.computed_slow_min > rule.computed_min
    assert rule.text.startswith("Stir the pan every 4 min")


def test_a_long_result_never_stretches_the_habit() -> None:
    rule = stir_rule(replace(COPPER_EPOXY, grain_um=20.0, viscosity_pa_s=3.0))
    assert rule.computed_min is not None
    assert rule.computed_min > 200.0
    assert (rule.every_min, rule.basis) == (10.0, "rule")


def test_no_powder_nothing_settles() -> None:
    assert stir_rule(BARRIER).basis == "nothing settles"


def test_indicated_power_lengthens_the_interval_by_a_third() -> None:
    """x1.32 at phi 0.22: arithmetic of the two exponents."""
    assert power_hindrance(0.22) / power_hindrance(0.22, 5.6) == pytest.approx(1.32, abs=0.005)


def test_copper_in_paint_is_well_inside_stokes() -> None:
    speed_m_s = stokes_m_s(45.0, 7900.0, viscosity_pa_s=0.3)
    assert reynolds(45.0, speed_m_s, liquid_kg_m3=1075.0, viscosity_pa_s=0.3) < 1e-3


def test_a_liquid_without_viscosity_is_refused() -> None:
    with pytest.raises(InputError, match=r"viscosity: found 0 Pa s"):
        stokes_m_s(20.0, 1000.0, viscosity_pa_s=0.0)
    with pytest.raises(InputError, match=r"settling speed: found 0 m/s"):
        stir_interval_min(0.0)
