"""Random smooth small-craft-like underwater shapes with their true area, volume and girths by fine quadrature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(80)
_S = 0.25 * (_NODES + 1.0) ** 2  # clustered towards the waterline
_DS = 0.5 * (_NODES + 1.0) * _WEIGHTS


@dataclass(frozen=True, kw_only=True)
class Shape:
    """y = b(x) (1 - s^m), z = t(x) s: V (m = 1) to U (m = 4) sections; b and t run from stem to transom."""

    length_m: float
    half_beam_m: float
    draft_m: float
    fullness: float
    widest: float
    transom_beam: float
    transom_draft: float
    stem_draft: float
    entry: float
    run: float

    def _profile(self, u: Array, ends: tuple[float, float]) -> Array:
        fore = np.maximum(1.0 - u / self.widest, 0.0)
        aft = np.maximum((u - self.widest) / (1.0 - self.widest), 0.0)
        return np.asarray(1.0 - (1.0 - ends[0]) * fore**self.entry - (1.0 - ends[1]) * aft**self.run)

    def half_beam(self, x: Array) -> Array:
        return self.half_beam_m * self._profile(x / self.length_m, (0.0, self.transom_beam))

    def depth(self, x: Array) -> Array:
        return self.draft_m * self._profile(x / self.length_m, (self.stem_draft, self.transom_draft))

    def half_girth(self, x: Array) -> Array:
        b, t = self.half_beam(x)[:, None], self.depth(x)[:, None]
        return np.asarray(self._along(np.hypot(t, b * self.fullness * _S ** (self.fullness - 1))))

    @staticmethod
    def _along(values: Array) -> Array:
        return np.asarray(values @ _DS)

    def area(self) -> float:
        """True wetted area of both sides without end faces, m2."""
        x = np.linspace(0.0, self.length_m, 1601)
        b, t = self.half_beam(x)[:, None], self.depth(x)[:, None]
        b_x, t_x = np.gradient(self.half_beam(x), x)[:, None], np.gradient(self.depth(x), x)[:, None]
        down = b * self.fullness * _S ** (self.fullness - 1)
        lean = t * b_x * (1 - _S**self.fullness) + down * _S * t_x
        return 2.0 * float(np.trapezoid(self._along(np.sqrt(t**2 + down**2 + lean**2)), x))


def random_shape(rng: np.random.Generator) -> Shape:
    length = float(rng.uniform(6.0, 16.0))
    beam = length * float(rng.uniform(0.11, 0.18))
    return Shape(
        length_m=length,
        half_beam_m=beam,
        draft_m=beam * float(rng.uniform(0.25, 0.8)),
        fullness=float(rng.uniform(1.0, 4.0)),
        widest=float(rng.uniform(0.45, 0.65)),
        transom_beam=float(rng.choice([0.0, rng.uniform(0.2, 0.95)])),
        transom_draft=float(rng.choice([0.0, rng.uniform(0.0, 0.9)])),
        stem_draft=float(rng.choice([0.0, rng.uniform(0.0, 0.8)])),
        entry=float(rng.uniform(1.4, 2.6)),
        run=float(rng.uniform(1.4, 2.6)),
    )
