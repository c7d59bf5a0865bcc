"""The wet film of a water-based coating: what leaves it, what the wall below gives it, and what the sheet implies."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import InputError, Problem
from boottop.climate.build import PAINT_EMISSIVITY, RISE_W_M2K, STILL_W_M2K
from boottop.climate.kernel import AIR_J_KGK, KELVIN, LATENT_J_KG, SIGMA_W_M2K4, VAPOUR_J_KGK
from boottop.coating.sheet import ProductSheet
from boottop.measure.hull import Layer
from boottop.measure.materials import MATERIALS

Floats = NDArray[np.float64]

LEWIS_RATIO = 0.845
AIR_J_M3K = 1.2 * AIR_J_KGK
SKIN_AT = 0.65
TACKY_AT = 0.90
WATER_IN_FILM_M2_S = 7e-7
USUAL_LAB_C = 20.0
OUTER_SHARE = 0.3
_LOWE = (6.107799961, 4.436518521e-1, 1.428945805e-2, 2.650648471e-4, 3.031240396e-6, 2.034080948e-8, 6.136820929e-11)


def saturation_pa(temperature_c: Any) -> Any:
    """Saturation pressure of water vapour over water, Pa, for a number or any array; -50 to 50 degC.

    A polynomial, because the drying kernel compiles this very function and wants it done eight films at a time;
    within 0.1 % of the tables above -10 degC. Source: P. R. Lowe, J. Appl. Meteorology 16 (1977) 100-103
    (coefficients from memory, checked against ASHRAE Handbook Fundamentals 2017 ch. 1 Table 3).

    >>> round(saturation_pa(25.0))
    3167
    """
    high = _LOWE[4] + temperature_c * (_LOWE[5] + temperature_c * _LOWE[6])
    low = _LOWE[1] + temperature_c * (_LOWE[2] + temperature_c * (_LOWE[3] + temperature_c * high))
    return 100.0 * (_LOWE[0] + temperature_c * low)


def saturation_slope_pa_k(temperature_c: Any) -> Any:
    """How much the saturation pressure rises with a kelvin, Pa/K: the derivative of `saturation_pa`.

    >>> round(saturation_slope_pa_k(20.0), 1), round((saturation_pa(20.5) - saturation_pa(19.5)), 1)
    (144.8, 144.8)
    """
    high = 4.0 * _LOWE[4] + temperature_c * (5.0 * _LOWE[5] + temperature_c * 6.0 * _LOWE[6])
    return 100.0 * (
        _LOWE[1] + temperature_c * (2.0 * _LOWE[2] + temperature_c * (3.0 * _LOWE[3] + temperature_c * high))
    )


def vapour_kg_m3(pressure_pa: Any, temperature_c: Any) -> Any:
    """Density of water vapour at its partial pressure, kg/m3, for numbers or any arrays (ideal gas).

    >>> round(vapour_kg_m3(saturation_pa(20.0), 20.0), 4)
    0.0173
    """
    return pressure_pa / (VAPOUR_J_KGK * (temperature_c + KELVIN))


def natural_w_m2k(difference_k: Any) -> Any:
    """Still-air heat transfer coefficient of a surface, W/(m2 K), for a number or any array.

    1.31 |dT|^(1/3), coded 0.72 + 0.655 sqrt|dT| because a square root vectorises; within 5 % of the cube root for 1
    to 20 K. Source: Yazdanian & Klems, ASHRAE Trans. 100 (1994), coefficients from memory.

    >>> round(float(natural_w_m2k(8.0)), 2), round(1.31 * 8.0 ** (1 / 3), 2)
    (2.57, 2.62)
    """
    return STILL_W_M2K + RISE_W_M2K * np.sqrt(np.abs(difference_k))


def mass_transfer_m_s(heat_w_m2k: float, *, air_j_m3k: float = AIR_J_M3K, lewis_ratio: float = LEWIS_RATIO) -> float:
    """Mass transfer coefficient that goes with a heat transfer coefficient, m/s, by the analogy of the two.

    h_m = h / (rho cp Le^(2/3)), Le = thermal over mass diffusivity; valid for a thin vapour in turbulent or laminar
    boundary layers. Source: Chilton-Colburn analogy, Incropera et al., Fundamentals of Heat and Mass Transfer,
    section 6.7 (read through worked examples 6.7 and 7.3).

    >>> round(mass_transfer_m_s(10.0), 5)
    0.00927
    """
    return heat_w_m2k / (air_j_m3k * float(lewis_ratio ** (2.0 / 3.0)))


def film_balance(
    air_c: float,
    vapour_pa: float,
    *,
    heat_w_m2k: Callable[[float], float],
    gain_w_m2k: Callable[[float], float],
    skin_s_m: float = 0.0,
) -> tuple[float, float]:
    """Temperature (degC) and evaporation (kg/(m2 s)) of a wet film that has come to rest in steady air.

    The film gives off Lv e and takes in `gain_w_m2k`(dT) * dT, dT being how far it lies below the air (convection
    and whatever else warms it); `heat_w_m2k`(dT) is the convection alone, which carries the vapour; `skin_s_m` a
    resistance in the film. Valid where the air is not over-saturated, 0 to 50 degC. With the gain equal to the
    convection it is a wet bulb. What drives is the pressure of the vapour, at the mean temperature of film and air, so
    that a film at the dew point neither gains nor loses. Source: wet bulb by the heat-mass analogy, Holman, Heat
    Transfer, Ex 11-3 and 11-4 (read).
    """
    low_k, high_k = 0.0, 40.0
    evaporated = 0.0
    for _ in range(50):
        below_k = 0.5 * (low_k + high_k)
        film_c = air_c - below_k
        resistance_s_m = 1.0 / mass_transfer_m_s(heat_w_m2k(below_k)) + skin_s_m
        over_pa = saturation_pa(film_c) - vapour_pa
        evaporated = vapour_kg_m3(over_pa, 0.5 * (film_c + air_c)) / resistance_s_m
        if LATENT_J_KG * evaporated > gain_w_m2k(below_k) * below_k:
            low_k = below_k
        else:
            high_k = below_k
    return air_c - 0.5 * (low_k + high_k), float(evaporated)


@dataclass(frozen=True, kw_only=True)
class Film:
    """What the water clock needs of a product: water that must leave before the film is tacky, kg/m2; the skin's
    resistance once `skin_share` of it has left, s/m."""

    water_kg_m2: float
    skin_share: float
    skin_s_m: float


def sheet_film(sheet: ProductSheet) -> Film:
    """The film whose drying, under the conditions the sheet was printed for, takes just the sheet's tacky time.

    Those conditions: the printed temperature nearest 20 degC, `times_humidity`, still air, a thin panel open on
    both faces. 65 % of the water leaves freely, then a skin as thick as the dry film holds it back; tacky is taken
    as 90 % gone. Source for the skin: Kiil, Prog. Org. Coat. 57 (2006) 236 (abstract read): 74 vol-% polymer and
    D = 7e-7 m2/s, found for latex, not for epoxy dispersions; the 90 %: an assumption.
    """
    if not 0.0 < sheet.times_humidity < 0.95:
        raise InputError(
            Problem(
                where=f"{sheet.name}: humidity the times were printed for",
                found=f"{100.0 * sheet.times_humidity:.0f} %",
                allowed="above 0 % and below 95 %: in wetter air a water-based film does not dry",
                advice="Take the relative humidity beside the drying times of the product sheet, often 50 %.",
            )
        )
    place = int(np.argmin(np.abs(np.asarray(sheet.tacky.temperature_c) - USUAL_LAB_C)))
    lab_c, tacky_s = sheet.tacky.temperature_c[place], 3600.0 * sheet.tacky.hours[place]
    skin_s_m = 1e-6 * sheet.dry_film_um / WATER_IN_FILM_M2_S
    radiation_w_m2k = 4.0 * PAINT_EMISSIVITY * SIGMA_W_M2K4 * (lab_c + KELVIN) ** 3
    humid_pa = sheet.times_humidity * saturation_pa(lab_c)

    def _rate_kg_m2_s(skin: float) -> float:
        _, evaporated = film_balance(
            lab_c,
            humid_pa,
            heat_w_m2k=natural_w_m2k,
            gain_w_m2k=lambda below_k: 2.0 * (natural_w_m2k(below_k) + radiation_w_m2k),
            skin_s_m=skin,
        )
        return evaporated

    share = SKIN_AT / TACKY_AT
    water_kg_m2 = tacky_s / (share / _rate_kg_m2_s(0.0) + (1.0 - share) / _rate_kg_m2_s(skin_s_m))
    return Film(water_kg_m2=water_kg_m2, skin_share=share, skin_s_m=skin_s_m)


def wall_steps(layers: Sequence[Layer], *, step_s: float, inside_w_m2k: float) -> Floats:
    """How a wall cools below its dry self, condensed for one implicit step of three nodes, shape (7,).

    The march runs on the difference between the dry and the wet wall, which obeys the same conduction but knows
    neither sun nor sky. Nodes lie on the outer face, `OUTER_SHARE` of the way in (by thermal resistance) and on the
    inner face; each holds the heat between the midpoints. With x the old and y the new differences: y3 = r[0] x3 +
    r[1] y2 and y2 = r[2] x2 + r[3] x3 + r[4] y1; r[5] is the outer node's heat capacity over the step and r[6] its
    conduction inwards, both W/(m2 K). `inside_w_m2k` is what the inner face gives to the cabin, 0 for solid metal
    halved down its middle. Source: backward Euler on the one-dimensional heat equation, own derivation.
    """
    capacity_j_m2k, resistance_m2k_w = _three_nodes(layers)
    held_w_m2k = capacity_j_m2k / step_s
    outer_w_m2k, inner_w_m2k = 1.0 / resistance_m2k_w
    third_w_m2k = held_w_m2k[2] + inner_w_m2k + inside_w_m2k
    keeps, follows = held_w_m2k[2] / third_w_m2k, inner_w_m2k / third_w_m2k
    second_w_m2k = held_w_m2k[1] + outer_w_m2k + inner_w_m2k * (1.0 - follows)
    return np.array(
        [
            keeps,
            follows,
            held_w_m2k[1] / second_w_m2k,
            inner_w_m2k * keeps / second_w_m2k,
            outer_w_m2k / second_w_m2k,
            held_w_m2k[0],
            outer_w_m2k,
        ]
    )


def _three_nodes(layers: Sequence[Layer]) -> tuple[Floats, Floats]:
    """Heat capacity of the three nodes, J/(m2 K), and thermal resistance of the two spans between, m2 K/W."""
    materials = [MATERIALS[layer.material] for layer in layers]
    resistances = [layer.thickness_m / m.conductivity_w_mk for layer, m in zip(layers, materials, strict=True)]
    capacities = [
        layer.thickness_m * m.density_kg_m3 * m.specific_heat_j_kgk for layer, m in zip(layers, materials, strict=True)
    ]
    inwards = np.concatenate([[0.0], np.cumsum(resistances)])
    held = np.concatenate([[0.0], np.cumsum(capacities)])
    nodes = inwards[-1] * np.array([0.0, OUTER_SHARE, 1.0])
    between = np.interp(0.5 * (nodes[1:] + nodes[:-1]), inwards, held)
    return np.diff(np.concatenate([[0.0], between, [held[-1]]])), np.diff(nodes)
