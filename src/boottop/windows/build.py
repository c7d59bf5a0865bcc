"""From climate, zone and product sheet to the zone's windows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOT_S, SLOTS_PER_HOUR
from boottop.base.errors import BoottopError, InputError, Problem
from boottop.climate.build import backing_of
from boottop.climate.climate import Climate
from boottop.climate.draws import ENERGY_SD_J_MOL
from boottop.coating.sheet import ProductSheet, Times
from boottop.coating.times import activation_energy_j_mol
from boottop.measure.hull import Zone
from boottop.windows.clocks import clock_marks
from boottop.windows.drying import FIRST_STEPS, dry_marks, hull_air
from boottop.windows.film import sheet_film, wall_steps
from boottop.windows.rates import STALL_K, Lanes, rate_table
from boottop.windows.rules import Slots, close_slots, known_slots, slots_of
from boottop.windows.windows import Band, Marks, ZoneWindows

F32 = NDArray[np.float32]

WIDEST_ENERGY_FACTOR = 2.0


def zone_windows(
    climate: Climate, zone: Zone, sheet: ProductSheet, *, caution: float = 0.8, under_tent: bool = False
) -> ZoneWindows:
    """Windows of one product on one zone: which slots are open for applying, and what follows from every finish.

    `caution` 0.5 to 0.95: bands run from the (1 - caution) to the caution quantile over the climate's lanes, each
    lane with its own weather, time factor and energy shift; order statistics, rounded outwards, so no mark is made
    up. The rules look at the central lane. The worst patch of the zone decides throughout. A cure clock starts at
    the end of the coat; a water-based film is ready, rain-safe and fit for immersion when it has also dried.
    `under_tent`: rain does not reach the zone; give the climate that was made for the tent with it.

    Source: docs/the-physics and decision records 0020 to 0024; limits by the product sheet.
    """
    if not 0.5 <= caution <= 0.95:
        raise InputError(_caution_problem(caution))
    rows = climate.rows(zone.name)
    if not rows:
        raise BoottopError(f"the climate has no patch of zone {zone.name!r}")
    slots = slots_of(climate, rows, under_tent=under_tent)
    closing = close_slots(slots, sheet.limits)
    lanes = _states(climate, zone, sheet)
    bands = {name: _band(marks, caution) for name, marks in lanes.items() if name != "water"}
    return ZoneWindows(
        zone=zone.name,
        product=sheet.name,
        under_tent=under_tent,
        grid=climate.grid,
        rule=closing.rule,
        needed=closing.needed,
        had=closing.had,
        surface_c=slots.coldest_c,
        margin_k=slots.margin_k,
        rain=slots.rain_mm > 0.0,
        notes=_notes(slots, zone, sheet),
        dewy=slots.margin_k <= 0.0,
        drying_decides=lanes["water"][0] > lanes["tacky"][0],
        ready=bands["ready"],
        overcoat_until=bands["overcoat_until"],
        rain_safe=bands["rain_safe"],
        stands_safe=bands["stands_safe"],
        immersion=bands["immersion"],
    )


def _states(climate: Climate, zone: Zone, sheet: ProductSheet) -> dict[str, Marks]:
    """Marks of every state by lane and finishing mark, shape (lane, mark); "tacky" by cure alone, "water" dry."""
    rows = climate.rows(zone.name)
    known = known_slots(climate, rows)
    surface_c = np.ascontiguousarray(climate.surface_c[rows, :, :known], dtype=np.float32)
    tacky, rain_safe, stands_safe, immersion = (
        clock_marks(surface_c, _rates(times, climate, sheet, stalls=True))
        for times in (sheet.tacky, sheet.rain_safe, sheet.stands_safe, sheet.immersion)
    )
    until = clock_marks(surface_c, _rates(sheet.overcoat_max, climate, sheet, stalls=False), not_after=True)
    water = _dry(climate, zone, sheet, surface_c=surface_c) if sheet.water_based else np.zeros_like(tacky)
    states = {
        "tacky": tacky,
        "water": water,
        "ready": np.maximum(tacky, water),
        "overcoat_until": until,
        "rain_safe": np.maximum(rain_safe, water),
        "stands_safe": stands_safe,
        "immersion": np.maximum(immersion, water),
    }
    return {name: _whole(marks, climate.grid.count) for name, marks in states.items()}


def _rates(times: Times, climate: Climate, sheet: ProductSheet, *, stalls: bool) -> NDArray[np.float64]:
    """Rate table of one printed time for the climate's lanes.

    The lanes' energy shifts are drawn for a sheet of three temperatures; they are widened for one or two, at most
    twice, and left as drawn where the sheet declares its energy.
    """
    declared = sheet.activation_energy_j_mol
    widening = 1.0
    if declared is None:
        widening = min(max(activation_energy_j_mol(times).sd_j_mol / ENERGY_SD_J_MOL, 1.0), WIDEST_ENERGY_FACTOR)
    lanes = Lanes(
        time_factor=tuple(climate.time_factor.tolist()),
        energy_shift_j_mol=tuple((widening * climate.energy_shift_j_mol).tolist()),
    )
    stalls_below_c = stall_c(times, sheet) if stalls else None
    return rate_table(times, lanes, energy_j_mol=declared, stalls_below_c=stalls_below_c)


def stall_c(times: Times, sheet: ProductSheet) -> float:
    """Temperature below which a film may stop curing: the lowest that the sheet speaks of, printed time or limit."""
    return min(times.temperature_c[0], sheet.limits.surface_min_c)


def _dry(climate: Climate, zone: Zone, sheet: ProductSheet, *, surface_c: F32) -> Marks:
    known = surface_c.shape[2]
    air_c, dew_c, wind_m_s = (array[:, :known] for array in (climate.air_c, climate.dew_c, climate.wind_m_s))
    air = hull_air(air_c, dew_c, wind_m_s, convection_factor=climate.convection_factor)
    by_name = {patch.name: patch for patch in zone.patches}
    walls = []
    for zone_name, patch_name in climate.patches:
        if zone_name != zone.name:
            continue
        behind = backing_of(zone, by_name[patch_name])
        steps = (SLOT_S / FIRST_STEPS, float(SLOT_S))
        walls.append([wall_steps(behind.layers, step_s=step_s, inside_w_m2k=behind.inside_w_m2k) for step_s in steps])
    return dry_marks(surface_c, air, np.array(walls), film=sheet_film(sheet), water_factor=climate.time_factor)


def _whole(marks: Marks, count: int) -> Marks:
    """Marks over the whole grid, where the known weather may end earlier."""
    known = marks.shape[1] - 1
    whole = np.full((marks.shape[0], count + 1), count + 1, dtype=np.int32)
    whole[:, : known + 1] = np.where(marks > known, count + 1, marks)
    return whole


def _band(marks: Marks, caution: float) -> Band:
    """Order statistics over the lanes, the outer two rounded outwards; `marks` is (lane, mark)."""
    last = marks.shape[0] - 1
    places = int(np.floor((1.0 - caution) * last + 1e-9)), (last + 1) // 2, int(np.ceil(caution * last - 1e-9))
    ordered = np.partition(np.ascontiguousarray(marks.T), places, axis=1)
    early, middle, late = (np.ascontiguousarray(ordered[:, place]) for place in places)
    return Band(early=early, middle=middle, late=late)


def _notes(slots: Slots, zone: Zone, sheet: ProductSheet) -> tuple[str, ...]:
    """What the reader must know of how far the sheet had to be stretched, in hours of the known weather."""
    coldest, hottest = slots.coldest_c[slots.known], slots.hottest_c[slots.known]
    tables = (sheet.tacky, sheet.overcoat_max, sheet.rain_safe, sheet.stands_safe, sheet.immersion)
    stall = max(stall_c(times, sheet) for times in tables)
    low, high = max(times.temperature_c[0] for times in tables), min(times.temperature_c[-1] for times in tables)
    notes = []
    if (cold_h := _hours(coldest < stall)) > 0:
        notes.append(
            f"{sheet.name} on {zone.name}: stalled overnight and in the cold, below {stall:g} degC for {cold_h} h "
            f"of {coldest.size / SLOTS_PER_HOUR:.0f} h (taken to cure no more at {stall - STALL_K:g} degC)"
        )
    beyond_h = (_hours(coldest < low), _hours(hottest > high))
    if sum(beyond_h) > 0:
        notes.append(
            f"{sheet.name} on {zone.name}: times beyond the sheet's {low:g} to {high:g} degC are extrapolated "
            f"({beyond_h[0]} h colder, {beyond_h[1]} h warmer)"
        )
    if sheet.activation_energy_j_mol is None and any(len(times.hours) == 1 for times in tables):
        notes.append(f"{sheet.name} prints a time at one temperature only; 50 kJ/mol assumed for the others")
    return tuple(notes)


def _hours(mask: NDArray[np.bool_]) -> int:
    """Hours begun in which something holds."""
    return -(-int(mask.sum()) // SLOTS_PER_HOUR)


def _caution_problem(caution: float) -> Problem:
    return Problem(
        where="caution",
        found=f"{caution:g}",
        allowed="0.5 (take the middle) to 0.95 (take the edge that 19 of 20 draws keep)",
        advice="Write a share within that range; 0.8 suits most jobs.",
    )
