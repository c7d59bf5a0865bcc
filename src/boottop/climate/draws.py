"""Lanes: the same weather with its doubtful inputs drawn anew, lane 0 with none of them changed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_NINETY = 1.6449
_CLIP_SD = 2.5
_BATCHES = (10, 1)
ENERGY_SD_J_MOL = 5000.0


@dataclass(frozen=True, kw_only=True)
class Draws:
    """One value a lane, shape (lane,); lane 0 is central (factors 1, shifts 0).

    `absorptance_shift` is added to the hull's absorptance; `shelter_factor` multiplies the wind that reaches the
    hull, `convection_factor` the surface coefficient, `irradiance_factor` the sun, `albedo_factor` the ground's
    reflectance, `cabin_factor` the cabin's gain from the sun, `sky_shift_w_m2` is added to the sky's long-wave
    irradiance; `air_shift_k` and `dew_shift_k` are biases of the
    weather against the yard. `time_factor` (on sheet times) and `energy_shift_j_mol` (on the cure's activation
    energy) are not used here but handed on to the film clocks with the climate they belong to.
    """

    absorptance_shift: Floats
    shelter_factor: Floats
    convection_factor: Floats
    air_shift_k: Floats
    dew_shift_k: Floats
    irradiance_factor: Floats
    albedo_factor: Floats
    cabin_factor: Floats
    time_factor: Floats
    energy_shift_j_mol: Floats
    sky_shift_w_m2: Floats

    @property
    def lanes(self) -> int:
        return int(self.time_factor.shape[0])


def make_draws(lanes: int, seed: int) -> Draws:
    """Latin hypercube of the doubtful inputs: each of the lanes after the first has its own stratum of every input.

    Ranges are read as the middle 90 % of a normal or lognormal, cut at 2.5 standard deviations: absorptance
    +-.185 (.565-.935 about .75), shelter x/1.8 (0.33-1.08 about 0.6), convection x/1.3, air and dew point +-1.5 K,
    irradiance +-25 %, long-wave of the sky +-15 W/m2 (the published formulas of a clear sky differ by as much), albedo
    x/1.85 (.11-.37 about .2), cabin gain 0-14 K about 8, sheet times x0.8-1.25. The energy shift has a standard
    deviation of 5 kJ/mol, that of a sheet with three temperatures rounded to 10 %; a clock fed by two may double it.
    Source: common practice, no source; spreads as in the study of the physics (docs/the-physics).
    32 or 64 lanes (a multiple of 16) run fastest; the same seed gives the same lanes.

    >>> drawn = make_draws(32, 7)
    >>> drawn.lanes, float(drawn.time_factor[0]), float(drawn.air_shift_k[0])
    (32, 1.0, 0.0)
    """
    scores = _scores(lanes, seed)

    def factor(row: int, ninety: float) -> Floats:
        return np.asarray(np.exp(scores[row] * (np.log(ninety) / _NINETY)), dtype=np.float64)

    return Draws(
        absorptance_shift=scores[0] * (0.185 / _NINETY),
        shelter_factor=factor(1, 1.8),
        convection_factor=factor(2, 1.3),
        air_shift_k=scores[3] * (1.5 / _NINETY),
        dew_shift_k=scores[4] * (1.5 / _NINETY),
        irradiance_factor=1.0 + scores[5] * (0.25 / _NINETY),
        albedo_factor=factor(6, 1.85),
        cabin_factor=np.maximum(1.0 + scores[7] * (0.85 / _NINETY), 0.0),
        time_factor=factor(8, 1.25),
        energy_shift_j_mol=scores[9] * ENERGY_SD_J_MOL,
        sky_shift_w_m2=scores[10] * (15.0 / _NINETY),
    )


def _scores(lanes: int, seed: int) -> Floats:
    """Normal scores, shape (input, lane). Each batch of inputs is drawn after the last: a new one leaves them as is."""
    from scipy.special import ndtri  # imported here: the command line starts without scipy

    rng = np.random.default_rng(seed)
    drawn, batches = max(lanes - 1, 0), []
    for inputs in _BATCHES:
        strata = np.stack([rng.permutation(drawn) for _ in range(inputs)]) if drawn else np.empty((inputs, 0))
        batches.append((strata + rng.random(strata.shape)) / max(drawn, 1))
    share = np.concatenate(batches)
    scores = np.clip(ndtri(np.clip(share, 1e-9, 1.0 - 1e-9)), -_CLIP_SD, _CLIP_SD)
    return np.concatenate([np.zeros((share.shape[0], 1)), scores], axis=1)
