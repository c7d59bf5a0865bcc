"""Windows of 14 days x 6 zones x 32 lanes: milliseconds, ratio to a plain loop, pointers against search, growth.

Run from the repository: python -m benchmarks.bench_windows
"""

from __future__ import annotations

import statistics
import sys
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from boottop.climate.build import hull_climate
from boottop.climate.climate import Climate
from boottop.climate.draws import make_draws
from boottop.climate.slots import grid_for
from boottop.coating.sheet import ProductSheet
from boottop.measure.hull import View, Zone
from boottop.windows.build import zone_windows
from boottop.windows.clocks import clock_marks
from boottop.windows.drying import dry_marks, hull_air
from boottop.windows.film import sheet_film, wall_steps
from boottop.windows.rates import LOW_C, STEP_K, Lanes, rate_table
from tests.climate.made import SITE, patch, weather, zone
from tests.coating.made import COPPER_EPOXY
from tests.windows.windows_made import naive_marks

LANES = 32
SHEET: ProductSheet = COPPER_EPOXY


def main() -> None:
    """Print the table."""
    zones, hull = _hull(days=14, zones=6)
    cold_s = _once(lambda: _windows(hull, zones))
    say(f"first call (compiled or read from the cache): {cold_s:.2f} s")
    whole_s = _best(lambda: _windows(hull, zones))
    patches = len(hull.patches)
    say(f"windows, 14 days x 6 zones ({patches} patches) x {LANES} lanes, one core: {1e3 * whole_s:.1f} ms")
    whole_climate_s = _best(lambda: _hull(days=14, zones=6))
    say(f"climate before it: {1e3 * whole_climate_s:.1f} ms; both {1e3 * (whole_s + whole_climate_s):.1f} (aim 200)")
    _against_plain(hull)
    _against_search(hull)
    _drying(hull)
    _growth()


def say(line: str) -> None:
    sys.stdout.write(line + "\n")


def _hull(*, days: int, zones: int) -> tuple[list[Zone], Climate]:
    hour = np.arange(24 * (days + 3) + 1)
    table = weather(
        days + 3,
        air_c=14.0 + 6.0 * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi) + 2.0 * np.sin(hour / 50.0),
        dew_c=8.0 + 2.0 * np.sin(hour / 37.0),
        wind_m_s=2.5 + 2.0 * np.sin(hour / 11.0),
        rain_mm=np.where(hour % 61 < 5, 0.4, 0.0),
    )
    views: tuple[View, ...] = ("topsides", "bilge", "bottom", "keel")
    made = []
    for number in range(zones):
        side = ("port", "starboard")[number % 2]
        some = views if number < 2 else views[1:2]
        made.append(replace(zone(side, *(patch(view, side=side) for view in some)), name=f"zone {number}"))
    start = table.start.replace(day=table.start.day + 2)
    end = start.fromtimestamp(start.timestamp() + days * 86_400, tz=start.tzinfo)
    grid = grid_for(table, start=start, end=end)
    return made, hull_climate(table, SITE, made, grid=grid, draws=make_draws(LANES, 7))


def _windows(hull: Climate, zones: list[Zone]) -> None:
    for one in zones:
        zone_windows(hull, one, SHEET)


def _once(job: Callable[[], object]) -> float:
    start = time.perf_counter()
    job()
    return time.perf_counter() - start


def _best(job: Callable[[], object], *, times: int = 5) -> float:
    job()
    return statistics.median(_once(job) for _ in range(times))


def _rates() -> np.ndarray:
    lanes = Lanes(time_factor=(1.0,) * LANES, energy_shift_j_mol=(0.0,) * LANES)
    return rate_table(SHEET.immersion, lanes, energy_j_mol=None, stalls_below_c=None)


def _against_plain(hull: Climate) -> None:
    one = np.ascontiguousarray(hull.surface_c[:1, :1])
    surface, rates = one[0, 0].astype(np.float64), _rates()[:1]
    fast_s = _best(lambda: clock_marks(one, rates), times=50)
    pointers_s = _best(lambda: _plain_pointers(surface.tolist(), rates[0].tolist()))
    naive_s = _once(lambda: naive_marks(surface, SHEET.immersion))
    ours, marks = clock_marks(one, rates)[0].tolist(), surface.size + 1
    same = ours == naive_marks(surface, SHEET.immersion) == _plain_pointers(surface.tolist(), rates[0].tolist())
    say(
        f"48 h clock, one lane: {1e9 * fast_s / marks:.1f} ns a finish; two pointers in plain Python "
        f"{pointers_s / fast_s:.0f}x, a plain loop from every finish {naive_s / fast_s:.0f}x; all equal: {same}"
    )


def _plain_pointers(surface_c: list[float], rates: list[float]) -> list[int]:
    gone = [0.0]
    for temperature_c in surface_c:
        place = (temperature_c - LOW_C) / STEP_K
        node = int(place)
        gone.append(gone[-1] + 0.25 * (rates[node] + (place - node) * (rates[node + 1] - rates[node])))
    reached, marks = 0, []
    for start in gone:
        while reached < len(gone) and gone[reached] < start + 1.0 - 1e-9:
            reached += 1
        marks.append(reached)
    return marks


def _against_search(hull: Climate) -> None:
    surface_c, rates = np.ascontiguousarray(hull.surface_c[:1]), _rates()

    def search() -> np.ndarray:
        marks = np.empty((LANES, surface_c.shape[2] + 1), dtype=np.int32)
        for lane in range(LANES):
            place = (surface_c[0, lane].astype(np.float64) - LOW_C) / STEP_K
            node = place.astype(np.int64)
            rate = rates[lane, node] + (place - node) * (rates[lane, node + 1] - rates[lane, node])
            gone = np.concatenate([[0.0], np.cumsum(0.25 * rate)])
            marks[lane] = np.searchsorted(gone, gone + 1.0 - 1e-9)
        return marks

    pointers_s, search_s = _best(lambda: clock_marks(surface_c, rates), times=50), _best(search, times=50)
    off = int(np.abs(search() - clock_marks(surface_c, rates)).max())
    say(
        f"one patch, {LANES} lanes: two pointers {1e6 * pointers_s:.0f} us, searchsorted {1e6 * search_s:.0f} us: "
        f"{search_s / pointers_s:.1f}x; largest difference {off} slots"
    )


def _drying(hull: Climate) -> None:
    air = hull_air(hull.air_c, hull.dew_c, hull.wind_m_s, convection_factor=hull.convection_factor)
    layers = patch("bilge").layers
    walls = np.array([[wall_steps(layers, step_s=step_s, inside_w_m2k=6.0) for step_s in (300.0, 900.0)]])
    surface_c, film = np.ascontiguousarray(hull.surface_c[:1]), sheet_film(SHEET)
    factor = np.ones(LANES)

    def march() -> np.ndarray:
        return dry_marks(surface_c, air, walls, film=film, water_factor=factor)

    each_s = _best(march, times=20)
    wet = march() - np.arange(surface_c.shape[2] + 1)
    say(
        f"drying march, one patch: {1e3 * each_s:.2f} ms, {1e9 * each_s / wet.size:.0f} ns a finish, "
        f"{1e9 * each_s / wet.sum():.1f} ns a film and slot (wet {np.median(wet):.0f} slots, at most {wet.max()})"
    )


def _growth() -> None:
    base: tuple[int, float] | None = None
    for days, zones in ((7, 2), (14, 2), (28, 2), (14, 6), (14, 10)):
        made, hull = _hull(days=days, zones=zones)
        took_s = _best(lambda hull=hull, made=made: _windows(hull, made))  # type: ignore[misc]
        tracemalloc.start()
        _windows(hull, made)
        peak = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        size = days * len(hull.patches)
        base = base or (size, took_s)
        say(
            f"{days:3d} days {zones:3d} zones {len(hull.patches):3d} patches: {1e3 * took_s:6.1f} ms, "
            f"peak {peak:5.1f} MB; "
            f"{size / base[0]:.1f}x the size takes {took_s / base[1]:.1f}x the time"
        )


if __name__ == "__main__":
    main()
