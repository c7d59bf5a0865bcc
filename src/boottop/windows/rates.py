"""How fast a film runs through a printed time at every temperature, lane by lane: tables for the clocks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from boottop.coating.sheet import Times
from boottop.coating.times import activation_energy_j_mol, time_at

LOW_C = -40.0
STEP_K = 0.1
NODES = 1401
STALL_K = 5.0
LEAST_ENERGY_J_MOL = 5_000.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Lanes:
    """The doubt about a sheet's times, one entry a lane: a factor on the hours, a shift of the activation energy."""

    time_factor: tuple[float, ...]
    energy_shift_j_mol: tuple[float, ...]


def nodes_c() -> Floats:
    """Temperatures of the table's nodes, degC, shape (node,): -40 to 100 in steps of 0.1 K."""
    return LOW_C + STEP_K * np.arange(NODES, dtype=np.float64)


@lru_cache(maxsize=32)
def rate_table(times: Times, lanes: Lanes, *, energy_j_mol: float | None, stalls_below_c: float | None) -> Floats:
    """Share of the printed time that passes in an hour at each node temperature, 1/h, shape (lane, node).

    Within the printed temperatures the sheet holds and only `time_factor` carries doubt; outside them the energy
    (`energy_j_mol`, else the fitted one) is shifted by the lane's draw, never below 5 kJ/mol, so that warmer stays
    faster. `stalls_below_c`: from there the rate also runs down linearly to nothing 5 K lower, because a cold film
    may stop short instead of merely slowing down; None keeps plain Arrhenius, the cautious reading of a time that
    must not be exceeded. Straight lines between the nodes err by less than 1e-5 of the rate.

    Source: Arrhenius form as in EN 1992-1-1:2004 Annex B Eq. B.10 (read); the stall ramp: common practice, no source.

    >>> sheet = Times(temperature_c=(20.0,), hours=(2.0,))
    >>> one = Lanes(time_factor=(1.0,), energy_shift_j_mol=(0.0,))
    >>> float(rate_table(sheet, one, energy_j_mol=None, stalls_below_c=None)[0, 600].round(9))
    0.5
    """
    temperature_c = nodes_c()
    central_j_mol = activation_energy_j_mol(times).j_mol if energy_j_mol is None else energy_j_mol
    table = np.empty((len(lanes.time_factor), NODES))
    for lane, (factor, shift_j_mol) in enumerate(zip(lanes.time_factor, lanes.energy_shift_j_mol, strict=True)):
        lane_j_mol = max(central_j_mol + shift_j_mol, LEAST_ENERGY_J_MOL)
        hours, _ = time_at(times, temperature_c, energy_j_mol=lane_j_mol)
        table[lane] = 1.0 / (factor * hours)
    if stalls_below_c is not None:
        table *= np.clip((temperature_c - stalls_below_c) / STALL_K + 1.0, 0.0, 1.0)
    table.setflags(write=False)
    return table
