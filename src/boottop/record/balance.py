"""The film from what left the pot, with its doubt, and put together with what the gauges read."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from boottop.base.errors import InputError, Problem
from boottop.coating.film import mean_wet_film_um
from boottop.record.readings import Mean

LITRES_SD_SHARE = 0.05
LITRES_SD_LEAST_L = 0.05
LOSS_SD = 0.05
SOLIDS_SD_SHARE = 0.02
AGREE_SD = 2.0
"""Doubts of litres read off a pot, of the loss (no neutral published figure exists: a declared input) and of the
sheet's solids; and beyond how many standard deviations two estimates are said to disagree. Common practice, no
source."""


@dataclass(frozen=True, kw_only=True)
class Balance:
    """Mean film from the material, with its standard deviation. `from_pot`: see `balance`."""

    litres: float
    area_m2: float
    loss_fraction: float
    wet_um: float
    wet_sd_um: float
    dry_um: float
    dry_sd_um: float
    from_pot: bool


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """Two estimates put together by inverse variance. `agree` False: they differ by more than two of their common
    standard deviations (`gap_ratio`), and the mean of the two is not to be trusted before the cause is found."""

    dry_um: float
    sd_um: float
    gap_ratio: float
    agree: bool
    words: str


def balance(
    litres: float, *, area_m2: float, area_sd_m2: float, loss_fraction: float, solids_fraction: float, from_pot: bool
) -> Balance:
    """Mean wet and dry film of litres rolled out on an area, um = 1000 * litres * (1 - loss) / area, * solids.

    Relative variances of litres, area, 1 - loss and solids add (first order). `from_pot` True: the litres are those of
    the batches shared out by area, not written down with the coat, and twice as doubtful.
    Valid for areas above 0, 0 <= loss < 1. Source: volume balance, by definition; the doubts: common practice.

    >>> found = balance(3.0, area_m2=20.0, area_sd_m2=0.4, loss_fraction=0.0, solids_fraction=0.5, from_pot=False)
    >>> found.wet_um, found.dry_um, round(found.dry_sd_um, 1)
    (150.0, 75.0, 5.7)
    """
    if litres <= 0.0:
        raise InputError(
            Problem(
                where="litres of a coat",
                found=f"{litres:g} L",
                allowed="more than 0 L",
                advice="Correct the litres in the log; without any there is no balance.",
            )
        )
    wet_um = mean_wet_film_um(litres, area_m2, loss_fraction=loss_fraction)
    litres_sd = max(LITRES_SD_SHARE * litres, LITRES_SD_LEAST_L) / litres * (2.0 if from_pot else 1.0)
    wet_share = sqrt(litres_sd**2 + (area_sd_m2 / area_m2) ** 2 + (LOSS_SD / (1.0 - loss_fraction)) ** 2)
    dry_um = wet_um * solids_fraction
    return Balance(
        litres=litres,
        area_m2=area_m2,
        loss_fraction=loss_fraction,
        wet_um=wet_um,
        wet_sd_um=wet_um * wet_share,
        dry_um=dry_um,
        dry_sd_um=dry_um * sqrt(wet_share**2 + SOLIDS_SD_SHARE**2),
        from_pot=from_pot,
    )


def combined(material: tuple[float, float] | None, read: Mean | None) -> Estimate | None:
    """Material balance (mean, sd) and readings as one, weighted by inverse variance; None without either.

    Source: weighted mean of independent estimates, by definition. They are independent: one knows no gauge, the
    other no litres.

    >>> found = combined((300.0, 20.0), Mean(mean_um=280.0, sd_um=10.0, count=12, least_um=250.0, most_um=310.0))
    >>> round(found.dry_um), round(found.sd_um, 1), found.agree
    (284, 8.9, True)
    """
    if material is None and read is None:
        return None
    if read is None and material is not None:
        return Estimate(
            dry_um=material[0], sd_um=material[1], gap_ratio=0.0, agree=True, words="material balance alone"
        )
    assert read is not None
    if material is None:
        return Estimate(dry_um=read.mean_um, sd_um=read.sd_um, gap_ratio=0.0, agree=True, words="readings alone")
    weights = 1.0 / material[1] ** 2, 1.0 / read.sd_um**2
    total = sum(weights)
    gap_ratio = abs(material[0] - read.mean_um) / sqrt(material[1] ** 2 + read.sd_um**2)
    agree = gap_ratio <= AGREE_SD
    share = weights[1] / total
    words = f"readings weigh {share:.0%}, the balance {1 - share:.0%} (inverse variance)"
    if not agree:
        words += f"; they differ by {gap_ratio:.1f} standard deviations: find out why before you trust the mean"
    return Estimate(
        dry_um=(weights[0] * material[0] + weights[1] * read.mean_um) / total,
        sd_um=sqrt(1.0 / total),
        gap_ratio=gap_ratio,
        agree=agree,
        words=words,
    )


def _alone(dry_um: float, sd_um: float, *, words: str) -> Estimate:
    return Estimate(dry_um=dry_um, sd_um=sd_um, gap_ratio=0.0, agree=True, words=words)
