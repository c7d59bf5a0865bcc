"""What a sheet's table of times says at any temperature: the one place where such a table is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, overload

import numpy as np
from numpy.typing import NDArray

from boottop.coating.sheet import Times

GAS_CONSTANT_J_MOLK = 8.31446261815324
ZERO_C_K = 273.15
PRIOR_J_MOL = 50_000.0
PRIOR_SD_J_MOL = 8_000.0
ROUNDING_SD = 0.1

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class ActivationEnergy:
    """How strongly a time depends on temperature, J/mol, with the doubt that the sheet's rounding leaves.

    `basis`: "fitted" from three printed temperatures or more, "two_temperatures" (a wide band), "prior" when the
    sheet prints one temperature only and the usual epoxy-amine value stands in.
    """

    j_mol: float
    sd_j_mol: float
    basis: Literal["fitted", "two_temperatures", "prior"]


def activation_energy_j_mol(
    times: Times, *, prior_j_mol: float = PRIOR_J_MOL, prior_sd_j_mol: float = PRIOR_SD_J_MOL
) -> ActivationEnergy:
    """Activation energy of a table of times, fitted as ln t = a + E/(R T) by least squares, J/mol.

    The standard deviation takes every printed time as rounded with a relative standard deviation of 10 %: about
    10 kJ/mol for 10 and 20 degC, about 5 for 10, 20 and 30. One printed temperature: the prior, 50 +- 8 kJ/mol.
    Valid while one reaction decides; a negative value means that the printed times rise with temperature.

    Source: Arrhenius form as in EN 1992-1-1:2004 Annex B Eq. B.10 and ASTM C1074 (form from memory). The prior and
    the rounding: from memory and an assumption; published epoxy-amine values lie at 50 to 65 kJ/mol.

    >>> two = activation_energy_j_mol(Times(temperature_c=(10.0, 20.0), hours=(2.0, 1.0)))
    >>> round(two.j_mol), round(two.sd_j_mol), two.basis
    (47837, 9760, 'two_temperatures')
    """
    if len(times.hours) == 1:
        return ActivationEnergy(j_mol=prior_j_mol, sd_j_mol=prior_sd_j_mol, basis="prior")
    inverse, log_h = _inverse_k(times), np.log(np.asarray(times.hours))
    away = inverse - inverse.mean()
    spread = float(away @ away)
    return ActivationEnergy(
        j_mol=GAS_CONSTANT_J_MOLK * float(away @ log_h) / spread,
        sd_j_mol=GAS_CONSTANT_J_MOLK * ROUNDING_SD / spread**0.5,
        basis="fitted" if len(times.hours) > 2 else "two_temperatures",
    )


@overload
def time_at(times: Times, temperature_c: float, *, energy_j_mol: float | None = None) -> tuple[float, bool]: ...
@overload
def time_at(times: Times, temperature_c: Floats, *, energy_j_mol: float | None = None) -> tuple[Floats, Flags]: ...
def time_at(
    times: Times, temperature_c: float | Floats, *, energy_j_mol: float | None = None
) -> tuple[float, bool] | tuple[Floats, Flags]:
    """Hours at a constant temperature, and whether the sheet had to be extrapolated; same shape as the temperature.

    Between printed temperatures ln t is linear in 1/T (Arrhenius from point to point), so the printed times come
    out exactly. Outside them the curve goes on from the nearest printed point with `energy_j_mol`, or else the
    energy fitted over the whole table (one end segment alone would carry the rounding of two numbers), and the
    flag is True. A sheet with one temperature is extrapolated everywhere else, with the usual epoxy-amine energy.
    A temperature that is not a number gives hours that are not a number and True. Below the lowest printed
    temperature a cold film may stop curing altogether, which no extrapolation knows: refuse or flag it.

    Source: Arrhenius form, EN 1992-1-1:2004 Annex B Eq. B.10; the piecewise reading is our choice.

    >>> table = Times(temperature_c=(10.0, 20.0, 30.0), hours=(3.0, 1.5, 0.8))
    >>> time_at(table, 20.0)
    (1.5, False)
    >>> hours, outside = time_at(table, 5.0)
    >>> round(hours, 2), outside
    (4.3, True)
    """
    given_c = np.asarray(temperature_c, dtype=np.float64)
    low_c, high_c = times.temperature_c[0], times.temperature_c[-1]
    nearest_c = np.clip(given_c, low_c, high_c)
    knots, log_h = _inverse_k(times)[::-1], np.log(np.asarray(times.hours))[::-1]
    inverse = 1.0 / (nearest_c + ZERO_C_K)
    slope_k = (activation_energy_j_mol(times).j_mol if energy_j_mol is None else energy_j_mol) / GAS_CONSTANT_J_MOLK
    hours = np.exp(np.interp(inverse, knots, log_h) + slope_k * (1.0 / (given_c + ZERO_C_K) - inverse))
    outside = ~((given_c >= low_c) & (given_c <= high_c))
    return (float(hours), bool(outside)) if given_c.ndim == 0 else (hours, outside)


def _inverse_k(times: Times) -> Floats:
    return 1.0 / (np.asarray(times.temperature_c, dtype=np.float64) + ZERO_C_K)
