"""What the weather makes of the hull: the arrays every later room reads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import Grid

F32 = NDArray[np.float32]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Climate:
    """Hull climate on the 15-minute grid. Every value stands for its slot and holds at the slot's middle.

    Lanes are draws of the uncertain inputs (lane 0 is the central one). Shapes: `surface_c` (patch, lane, slot), the
    *dry* hull (fresh paint and water are colder); `air_c`, `dew_c` and `wind_m_s`, at the hull with its shelter, all
    (lane, slot); `rain_mm` (slot,), the rain in that slot; `rh` (slot,) as a fraction, central; `wet` (patch, slot):
    water stands on the surface (rain or dew not yet dried), central;
    `absorbed_w_m2` (patch, lane, slot) the sun taken up. `patches` names rows as (zone name, patch name).
    `dry_after` (patch, mark): the mark at which a surface wetted at that mark (washed, rained on) is dry again,
    `grid.beyond` when not within the known weather. `sun_elevation_deg` (slot,).
    The lane factors of the doubtful inputs are used again by the film clocks: `time_factor` (lane,) on sheet
    times, `energy_shift_j_mol` (lane,), `convection_factor` (lane,). `estimated` (slot,) marks slots that rest on
    interpolated or estimated weather; `notes` say what was estimated.
    """

    grid: Grid
    patches: tuple[tuple[str, str], ...]
    surface_c: F32
    air_c: F32
    dew_c: F32
    wind_m_s: F32
    absorbed_w_m2: F32
    rain_mm: NDArray[np.float64]
    rh: NDArray[np.float64]
    wet: Bools
    dry_after: NDArray[np.int32]
    sun_elevation_deg: NDArray[np.float64]
    time_factor: NDArray[np.float64]
    energy_shift_j_mol: NDArray[np.float64]
    convection_factor: NDArray[np.float64]
    estimated: Bools
    notes: tuple[str, ...] = ()

    def rows(self, zone_name: str) -> list[int]:
        """Rows of the patches of one zone."""
        return [row for row, (zone, _) in enumerate(self.patches) if zone == zone_name]
