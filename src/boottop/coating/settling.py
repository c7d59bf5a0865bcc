"""How fast a heavy powder sinks in the pan, and how often to stir."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf, sqrt
from typing import Literal

from boottop.coating.film import mixture
from boottop.coating.finding import COMMON_PRACTICE, require_between
from boottop.coating.sheet import ProductSheet

GRAVITY_M_S2 = 9.80665
PAN_DEPTH_M = 0.025
CLEARED_SHARE = 0.1
RULE_MIN = 10.0
CAUTIOUS_POWER = 4.48
INDICATED_POWER = 5.6


def stokes_m_s(grain_um: float, density_difference_kg_m3: float, *, viscosity_pa_s: float) -> float:
    """Speed at which one grain sinks alone, m/s = drho g d^2 / (18 mu).

    Valid for a grain Reynolds number below about 0.2 and a liquid without yield stress. Source: Stokes' law as in
    Geankoplis, Transport Processes and Unit Operations, Ex 14.3-1 p818 (read).

    >>> round(stokes_m_s(20.0, 898.863, viscosity_pa_s=1.9e-5), 4)
    0.0103
    """
    require_between(grain_um, (0.0, inf), where="grain size", unit="um")
    require_between(viscosity_pa_s, (0.0, inf), where="viscosity", unit="Pa s")
    return density_difference_kg_m3 * GRAVITY_M_S2 * (grain_um * 1e-6) ** 2 / (18.0 * viscosity_pa_s)


def stokes_grain_um(speed_m_s: float, density_difference_kg_m3: float, *, viscosity_pa_s: float) -> float:
    """Grain that sinks alone at a given speed, um: the inverse of `stokes_m_s`, same validity.

    Source: Coulson & Richardson, Chemical Engineering vol 2, Ex 3.2 p159 (read).

    >>> round(stokes_grain_um(0.005, 6500.0, viscosity_pa_s=1e-3), 1)
    37.6
    """
    require_between(density_difference_kg_m3, (0.0, inf), where="density difference", unit="kg/m3")
    require_between(viscosity_pa_s, (0.0, inf), where="viscosity", unit="Pa s")
    return 1e6 * sqrt(18.0 * viscosity_pa_s * speed_m_s / (density_difference_kg_m3 * GRAVITY_M_S2))


def reynolds(grain_um: float, speed_m_s: float, *, liquid_kg_m3: float, viscosity_pa_s: float) -> float:
    """Grain Reynolds number, to see whether Stokes' law holds (below about 0.2)."""
    return grain_um * 1e-6 * speed_m_s * liquid_kg_m3 / viscosity_pa_s


def power_hindrance(powder_fraction: float, power: float = CAUTIOUS_POWER) -> float:
    """Share of the lone-grain speed left in a crowd of grains, (1 - phi)^n.

    n = 4.48 is the cautious choice (faster sinking); 5.6 is what the source gives for grains as small as these
    (Peclet number below 1e8): intervals 1.32 times longer at phi 0.22. Source: Brzinski & Durian 2018,
    arXiv 1710.09314 (abstract read); form of Richardson & Zaki, Trans. IChE 32 (1954) 35 (from memory).

    >>> round(power_hindrance(0.22), 3)
    0.329
    """
    require_between(powder_fraction, (0.0, 1.0), where="powder share", unit="(fraction)", open_low=False)
    return float((1.0 - powder_fraction) ** power)


def viscous_hindrance(powder_fraction: float) -> float:
    """The same by the thickening of the suspension, (1 - phi)^2 * 10^(-1.82 phi).

    A second published form, slower than the power law with 4.48 at the shares of a copper coating; do not expect
    the two to be equal. Source: Geankoplis, Ex 14.3-2 p820 (read).

    >>> round(viscous_hindrance(0.377649), 4)
    0.0796
    """
    require_between(powder_fraction, (0.0, 1.0), where="powder share", unit="(fraction)", open_low=False)
    return float((1.0 - powder_fraction) ** 2 * 10.0 ** (-1.82 * powder_fraction))


HINDRANCES: Mapping[str, Callable[[float], float]] = {
    "power 4.48 (cautious)": power_hindrance,
    "power 5.6 (indicated)": lambda powder_fraction: power_hindrance(powder_fraction, INDICATED_POWER),
    "thickening of the suspension": viscous_hindrance,
}


def stir_interval_min(speed_m_s: float, *, depth_m: float = PAN_DEPTH_M) -> float:
    """Minutes until the upper tenth of the pan has cleared of powder, 0.1 * depth / speed.

    The tenth and the 25 mm of a roller pan are our assumptions.
    """
    require_between(speed_m_s, (0.0, inf), where="settling speed", unit="m/s")
    return CLEARED_SHARE * depth_m / speed_m_s / 60.0


@dataclass(frozen=True, kw_only=True)
class StirRule:
    """How often to stir the pan. `basis` "rule": the ten-minute habit; "result": settling asks for more often.

    `computed_min` (cautious) to `computed_slow_min` is what settling alone gives, None where the sheet does not
    print grain and viscosity. The rule is never stretched by a long result: grain and viscosity enter strongly
    (d^2), their coarse tail is not on any sheet, and the habit costs nothing.
    """

    every_min: float | None
    basis: Literal["rule", "result", "nothing settles"]
    computed_min: float | None
    computed_slow_min: float | None
    text: str
    source: str


def stir_rule(sheet: ProductSheet, *, depth_m: float = PAN_DEPTH_M) -> StirRule:
    """How often to stir the pan of a mixed product, from its powder share, grain and viscosity if it prints them."""
    mix = mixture(sheet)
    excess_kg_m3 = 1000.0 * (_powder_density_kg_l(sheet) - mix.liquid_density_kg_l)
    if mix.powder_fraction == 0.0 or excess_kg_m3 <= 0.0:
        return StirRule(
            every_min=None,
            basis="nothing settles",
            computed_min=None,
            computed_slow_min=None,
            text="No heavy powder in the sheet's parts: stir to an even mix before pouring.",
            source=COMMON_PRACTICE,
        )
    if sheet.grain_um is None or sheet.viscosity_pa_s is None:
        return _habit(sheet, excess_kg_m3, depth_m)
    lone_m_s = stokes_m_s(sheet.grain_um, excess_kg_m3, viscosity_pa_s=sheet.viscosity_pa_s)
    spans = [stir_interval_min(lone_m_s * law(mix.powder_fraction), depth_m=depth_m) for law in HINDRANCES.values()]
    return _computed(spans[0], max(spans))


def _computed(cautious_min: float, slow_min: float) -> StirRule:
    every_min = min(cautious_min, RULE_MIN)
    shown = f"{int(every_min)}" if every_min >= 2.0 else f"{every_min:.1f}"
    said = f"settling by sheet grain and viscosity: {cautious_min:.0f} to {slow_min:.0f} min for a tenth of the pan"
    return StirRule(
        every_min=every_min,
        basis="result" if cautious_min < RULE_MIN else "rule",
        computed_min=cautious_min,
        computed_slow_min=slow_min,
        text=f"Stir the pan every {shown} min and whenever it is refilled ({said}).",
        source="Stokes' law, hindered: Brzinski & Durian 2018, arXiv 1710.09314 (abstract read); "
        f"the {RULE_MIN:.0f} min: {COMMON_PRACTICE}",
    )


def _habit(sheet: ProductSheet, excess_kg_m3: float, depth_m: float) -> StirRule:
    missing = [
        name for name, value in (("grain", sheet.grain_um), ("viscosity", sheet.viscosity_pa_s)) if value is None
    ]
    held = ""
    if sheet.viscosity_pa_s is not None:
        speed_m_s = CLEARED_SHARE * depth_m / (RULE_MIN * 60.0) / power_hindrance(mixture(sheet).powder_fraction)
        largest_um = stokes_grain_um(speed_m_s, excess_kg_m3, viscosity_pa_s=sheet.viscosity_pa_s)
        held = f" At {sheet.viscosity_pa_s:g} Pa s it keeps up with grains to {largest_um:.0f} um."
    return StirRule(
        every_min=RULE_MIN,
        basis="rule",
        computed_min=None,
        computed_slow_min=None,
        text=f"Stir the pan every {RULE_MIN:.0f} min and whenever it is refilled. This is a rule, not a result: "
        f"the sheet does not print {' and '.join(missing)}.{held}",
        source=COMMON_PRACTICE,
    )


def _powder_density_kg_l(sheet: ProductSheet) -> float:
    powders = [part for part in mixture(sheet).parts if part.powder]
    filled_l = sum(part.filled_l for part in powders)
    return sum(part.mass_kg for part in powders) / filled_l if filled_l else 0.0
