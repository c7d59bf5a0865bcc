"""The state of the bottom as equivalent sand roughness, and how it grows between two cleanings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
CONDITIONS_UM: Mapping[str, float] = {
    "hydraulically smooth": 0.0,
    "as applied": 30.0,
    "light slime": 100.0,
    "heavy slime": 300.0,
    "small calcareous or weed": 1000.0,
    "medium calcareous": 3000.0,
    "heavy calcareous": 10000.0,
}
"""Equivalent sand roughness by condition. Source: Schultz, Biofouling 23(5) (2007) 331, Table 1: from memory. "light
slime" is there one row with a deteriorated coating. "as applied" holds for sprayed ship paint; what is rolled with a
short nap may be rougher (no source)."""
SMOOTHEST_UM = 1.0


@dataclass(frozen=True, kw_only=True)
class Growth:
    """Fouling between two cleanings: from `clean_um` it reaches `foul_um` after `after_h` afloat and goes on, times the
    same factor in the same time, up to `worst_um`."""

    clean_um: float
    foul_um: float
    after_h: float
    worst_um: float = CONDITIONS_UM["heavy calcareous"]


def roughness_um(growth: Growth, afloat_h: ArrayLike, pace: ArrayLike = 1.0) -> Floats:
    """Equivalent sand roughness after so many hours afloat, um, shapes that broadcast; `pace` 2 fouls twice as fast.

    The logarithm of the roughness rises in a straight line with time: conditions that inspectors tell apart lie a
    factor of three apart, and follow each other in weeks. Our model, no source; `pace` carries its doubt. Valid between
    cleanings of one season; the film's own ageing is in `growth`.

    >>> growth = Growth(clean_um=30.0, foul_um=300.0, after_h=1000.0, worst_um=1000.0)
    >>> roughness_um(growth, [0.0, 500.0, 1000.0, 4000.0]).round(1).tolist()
    [30.0, 94.9, 300.0, 1000.0]
    """
    clean_um = max(growth.clean_um, SMOOTHEST_UM)
    rise = np.log(max(growth.foul_um, clean_um) / clean_um)
    grown = np.log(clean_um) + rise * np.asarray(afloat_h) * np.asarray(pace) / growth.after_h
    return np.asarray(np.exp(np.minimum(grown, np.log(max(growth.worst_um, clean_um)))))


def between_cleanings_h(*, afloat_h_year: float, cleanings_year: float, hauled_every: float, horizon: int) -> float:
    """Hours afloat between two cleanings, divers and washes at haul-outs counted alike; all of the horizon for none.

    >>> between_cleanings_h(afloat_h_year=8760.0, cleanings_year=3.5, hauled_every=2.0, horizon=10)
    2190.0
    """
    if not cleanings_year and not hauled_every:
        return afloat_h_year * horizon
    span = hauled_every or 1.0
    return afloat_h_year * span / (cleanings_year * span + (1.0 if hauled_every else 0.0))
