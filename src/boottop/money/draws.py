"""Ranges made into draws: triangles, tied together by a Gaussian copula; the seed is an argument."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from boottop.base.errors import InputError, Problem
from boottop.money.case import Correlation, CostCase, Input

Floats = NDArray[np.float64]
Drawn = Mapping[str, Floats]
SEED = 20
DRAWS = 10_000


def likely(case: CostCase) -> dict[str, Floats]:
    """Every input at its likeliest value, shape (1,)."""
    return {key: np.array([one.span[1]]) for key, one in case.inputs.items()}


def draw(case: CostCase, *, draws: int = DRAWS, seed: int = SEED) -> dict[str, Floats]:
    """Every input drawn, shape (draw,): certain ones as they are, the others by their ranges and correlations.

    Source: Gaussian copula over normal scores; which inputs go together is the owner's own judgement (no source).
    """
    doubtful = case.doubtful
    scores = np.random.default_rng(seed).standard_normal((draws, len(doubtful)))
    if doubtful:
        scores = scores @ np.linalg.cholesky(correlation_matrix(doubtful, case.correlations)).T
    shares = ndtr(scores)
    drawn = {key: np.full(draws, one.span[1]) for key, one in case.inputs.items()}
    for column, one in enumerate(doubtful):
        drawn[one.key] = quantiles_of(one, shares[:, column])
    return drawn


def quantiles_of(one: Input, share: Floats) -> Floats:
    """Values of an input below which so much of its spread lies, shape of `share` (fractions).

    >>> quantiles_of(Input(key="a", words="a", unit="", span=(0.0, 1.0, 2.0)), np.array([0.0, 0.5, 1.0])).tolist()
    [0.0, 1.0, 2.0]
    """
    if one.sample:
        return np.asarray(np.quantile(np.asarray(one.sample), share, method="inverted_cdf"), dtype=np.float64)
    low, middle, high = one.span
    if high == low:
        return np.full_like(share, middle)
    rising = low + np.sqrt(share * (high - low) * (middle - low))
    falling = high - np.sqrt((1.0 - share) * (high - low) * (high - middle))
    return np.where(share * (high - low) < middle - low, rising, falling)


def correlation_matrix(doubtful: tuple[Input, ...], correlations: tuple[Correlation, ...]) -> Floats:
    """Correlations of the normal scores, shape (input, input).

    Raises InputError when no set of numbers can be tied together like that.
    """
    place = {one.key: number for number, one in enumerate(doubtful)}
    matrix = np.eye(len(doubtful))
    for one in correlations:
        rows = [place[key] for key in one.between if key in place]
        for row in rows:
            for column in rows:
                if row != column:
                    matrix[row, column] = one.of_factor
    lowest = float(np.linalg.eigvalsh(matrix)[0]) if len(doubtful) else 1.0
    if lowest < 1e-9:
        raise InputError(
            Problem(
                where="correlations",
                found=f"ties that contradict each other (lowest eigenvalue {lowest:.3f})",
                allowed="ties that can all hold at once: below 100 %, and no two opposed by a third",
                advice="Make the correlations weaker, or put those that move together into one list.",
            )
        )
    return matrix
