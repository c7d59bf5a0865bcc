"""Money and time: present values, annuities, equivalent annual cost and the best interval of renewal.

Amounts are floats in any one unit of money (minor units inside boottop); years are counted from today, costs of a year
fall at its end. A rate is a fraction a year; it and the amounts must both be real or both nominal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import InputError, Problem

Floats = NDArray[np.float64]
RATE_MAX = 1.0


def single_present_value(rate: float, years: float) -> float:
    """Worth today of 1 paid after so many years, P/F.

    Source: NIST Handbook 135 (2025), SPV; Panneerselvam, Engineering Economics, Ex 8.1. Valid for rates above -1.

    >>> round(single_present_value(0.12, 10), 4), round(single_present_value(0.03, 20), 4)
    (0.322, 0.5537)
    """
    return float((1.0 + check_rate(rate)) ** -years)


def uniform_present_value(rate: float, years: int) -> float:
    """Worth today of 1 at the end of each of so many years, P/A; the number of years at a rate of zero.

    Source: NIST Handbook 135 (2025), UPV.

    >>> round(uniform_present_value(0.03, 10), 3), uniform_present_value(0.0, 7)
    (8.53, 7.0)
    """
    if abs(check_rate(rate)) < 1e-12:
        return float(years)
    return float(-np.expm1(-years * np.log1p(rate)) / rate)


def capital_recovery(rate: float, years: int) -> float:
    """What 1 today comes to at the end of each of so many years, A/P.

    Source: Panneerselvam, Engineering Economics, Ex 8.1.

    >>> round(capital_recovery(0.12, 7), 4)
    0.2191
    """
    return 1.0 / uniform_present_value(rate, years)


def real_rate(nominal_rate: float, inflation_rate: float) -> float:
    """Rate above inflation of a nominal one (Fisher). Source: NIST Handbook 135 (2025), definition.

    >>> round(real_rate(0.055, 0.025), 6)
    0.029268
    """
    return (1.0 + check_rate(nominal_rate)) / (1.0 + check_rate(inflation_rate)) - 1.0


def equivalent_annual_cost(present: float, *, rate: float, years: int) -> float:
    """The same amount at the end of every year that is worth as much. Source: Panneerselvam, Ex 8.4.

    >>> round(equivalent_annual_cost(4000.0, rate=0.12, years=1), 2)
    4480.0
    """
    return present * capital_recovery(rate, years)


@dataclass(frozen=True, kw_only=True)
class EconomicLife:
    """Equivalent annual cost of renewing every 1, 2, ... years, and the number of years at which it is least."""

    annual: tuple[float, ...]
    best_years: int

    @property
    def at_the_end(self) -> bool:
        """Whether the longest interval looked at is the best one, so that a longer one might be better."""
        return self.best_years == len(self.annual)


def economic_life(first: float, upkeep: Sequence[float], *, rate: float) -> EconomicLife:
    """Best interval of renewal: first cost, and upkeep of the first, second, ... year of each cycle.

    Source: Panneerselvam, Engineering Economics, Ex 8.1 (no salvage).

    >>> economic_life(4000, [200 * year for year in range(10)], rate=0.12).best_years
    7
    """
    worth, annual = first, []
    for year, cost in enumerate(upkeep, start=1):
        worth += cost * single_present_value(rate, year)
        annual.append(equivalent_annual_cost(worth, rate=rate, years=year))
    return EconomicLife(annual=tuple(annual), best_years=int(np.argmin(annual)) + 1)


def check_rate(rate: float) -> float:
    """The rate itself; InputError when nothing can be discounted by it."""
    if -0.5 <= rate <= RATE_MAX:
        return rate
    raise InputError(
        Problem(
            where="discount rate",
            found=f"{rate:.3f} a year",
            allowed=f"-50 % to {RATE_MAX:.0%} a year",
            advice="Write 3 % as 0.03 or as text with its sign.",
        )
    )


def geometric_sum(step: Floats, count: Floats) -> Floats:
    """1 + step + ... + step^(count - 1), any shapes that broadcast; `count` itself where the step is 1."""
    near = np.abs(step - 1.0) < 1e-12
    safe = np.where(near, 0.5, step)
    return np.where(near, count, (1.0 - safe**count) / (1.0 - safe))
