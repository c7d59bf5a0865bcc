"""What the coating room must know of the crew and the day: fewer facts than a plan needs, and earlier."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class CrewFacts:
    """Hands, temperatures and habits that decide batches, consumables and findings.

    `people` on the job, of whom `applicators` roll at `roll_m2_h` each; `working_day_h` the hours one day gives.
    `batch_c` the material in the pot, `surface_c` the hull while the coats go on: both as expected.
    `usable_pot_life`: share of the pot life in which a batch is to be used up. `confidence`: one-sided chance that
    the kits ordered are enough for the doubt of the area. `cleaner` None: the one the sheet names.
    `barrier_sound`: a sound old barrier coat covers the whole hull. `strip`: old paint comes off.
    `waterline_length_m` None: no tape is counted.
    """

    people: int
    applicators: int
    roll_m2_h: float
    working_day_h: float
    batch_c: float
    surface_c: float
    usable_pot_life: float = 0.75
    confidence: float = 0.90
    cleaner: str | None = None
    barrier_sound: bool = False
    strip: bool = True
    waterline_length_m: float | None = None
