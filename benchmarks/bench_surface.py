"""Hull surfaces: the compiled march against a plain loop, a general solver and the machine's own limits.

Run: python -m benchmarks.bench_surface. Prints ratios of one run; nothing is compared with numbers of other machines.
"""

from __future__ import annotations

import statistics
import time
import tracemalloc
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from boottop.climate import kernel
from boottop.climate.build import hull_climate
from boottop.climate.draws import make_draws
from boottop.climate.slots import grid_for
from boottop.climate.wall import MARCH_STEP_RATIO, Wall, pack_walls, wall_of, wall_of_spans
from boottop.climate.weather import Site, Weather
from boottop.measure.hull import Layer, Patch, View, Zone
from boottop.measure.materials import MATERIALS

F32 = NDArray[np.float32]
Floats = NDArray[np.float64]
Case = tuple[kernel.Drive, kernel.Bodies, kernel.Out]

STEP_S = 900.0
HOURS, BODIES = 336, 6
SLOTS = 4 * HOURS
WORKERS = 2
AT_ONCE = 16
CHAIN = 32
FLOPS_PER_SLOT = 68
BYTES_PER_SLOT = 4 * (kernel.FORCING_ROWS + 2)
SITE = Site(latitude_deg=45.0, longitude_deg=-1.0, elevation_m=3.0, zone_name="Europe/Paris", bow_deg=90.0)


def say(text: str) -> None:
    """A line to the terminal."""
    print(text)  # noqa: T201 - a benchmark talks to the terminal


def best_s(work: Callable[[], object], repeats: int = 15) -> float:
    """Shortest wall time of several runs, in seconds."""
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


def rows() -> Floats:
    """Air, forced coefficient, sky, ground, cabin, direct, diffuse, global of two weeks, shape (slot, row)."""
    hour = (np.arange(SLOTS) + 0.5) / 4.0
    air = 15.0 + 6.0 * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi)
    sun = np.maximum(np.sin((hour - 6.0) / 24.0 * 2.0 * np.pi), 0.0) * (0.7 + 0.3 * np.sin(hour / 17.0))
    forced = 3.26 * (0.6 * (3.0 + 2.0 * np.sin(hour / 9.0))) ** 0.89
    sky = 0.82 * kernel.SIGMA_W_M2K4 * (air + 273.15) ** 4
    return np.stack([air, forced, sky, air + 6.0 * sun, air + 4.0 * sun, 800 * sun, 120 * sun, 700 * sun], axis=1)


def case(lanes: int) -> Case:
    """Six GRP surfaces, 14 days, so many lanes."""
    forcing = np.repeat(rows()[:, :, None], lanes, axis=2).astype(np.float32)
    factors = np.array([[0.75], [0.2], [1.0]], np.float32).repeat(lanes, axis=1)
    wall = wall_of((Layer(material="grp", thickness_m=0.012),), step_s=STEP_S)
    packed = pack_walls([wall] * BODIES, [6.0] * BODIES, step_s=MARCH_STEP_RATIO * STEP_S)
    scalars = np.array([[0.92, 0.09, 0.89, 0.02, 0.6, 0.35, 0.72, 0.655, 6.0]] * BODIES, np.float32)
    beam = np.full((BODIES, SLOTS), 0.3, np.float32)
    bodies = kernel.Bodies(scalars, packed, np.full(BODIES, 2, np.int32), beam, beam)
    surface = np.zeros((BODIES, SLOTS, lanes), np.float32)
    out = kernel.Out(surface, np.zeros_like(surface), np.zeros((BODIES, SLOTS, 2), np.float32))
    return kernel.Drive(forcing, factors, np.arange(SLOTS, dtype=np.int32)), bodies, out


def part(whole: Case, chosen: slice) -> Case:
    """Some of the bodies of a case."""
    drive, bodies, out = whole
    some = kernel.Bodies(
        bodies.scalars[chosen], bodies.walls[chosen], bodies.nodes[chosen], bodies.beam[chosen],
        bodies.ground_beam[chosen],
    )  # fmt: skip
    return drive, some, kernel.Out(*(field[chosen] for field in out))


def two_cores_s(lanes: int) -> float:
    """Half of the bodies on each of two threads (the march lets go of Python's lock), many times over for one start."""
    whole = case(lanes)
    halves = [part(whole, slice(0, 3)), part(whole, slice(3, 6))]

    def work(half: Case) -> None:
        for _ in range(AT_ONCE):
            kernel.march(*half)

    with ThreadPoolExecutor(WORKERS) as pool:
        return best_s(lambda: list(pool.map(work, halves)), repeats=25) / AT_ONCE


def plain_s() -> tuple[float, Floats]:
    """The same march of one surface in plain Python, scaled to six; and its temperatures."""
    table = [tuple(map(float, row)) for row in rows()]
    packed = pack_walls([_skin()], [6.0], step_s=MARCH_STEP_RATIO * STEP_S)[0].astype(float).tolist()
    found: list[float] = []
    return BODIES * best_s(lambda: found.__setitem__(slice(None), _plain(table, packed)), repeats=3), np.array(found)


def _skin() -> Wall:
    return wall_of_spans([(0.012, MATERIALS["grp"])])


def _plain(table: list[tuple[float, ...]], packed: list[list[float]]) -> list[float]:
    (store, store1), (link, _), (_, weight), (_, back) = packed
    emission, result = 0.92 * kernel.SIGMA_W_M2K4, []
    outer = outer_past = table[0][0]
    inner = inner_past = table[0][4]
    for air, forced, sky, ground, cabin, direct, diffuse, total in table:
        sun = 0.75 * (0.3 * direct + (0.09 + 0.178 * 0.6) * diffuse + 0.178 * 0.3 * (total - diffuse))
        swept = weight * (store1 * inner_past + 6.0 * cabin)
        last = 3.0 * outer_past - 2.0 * outer
        loss = 4.0 * emission * (last + 273.15) ** 3
        ground_k4, air_k4 = (air + 273.15 + 0.35 * (ground - air)) ** 4, (air + 273.15) ** 4
        net = 0.92 * 0.09 * sky + emission * (0.89 * ground_k4 + 0.02 * air_k4 - (last + 273.15) ** 4)
        film = (forced**2 + (0.72 + 0.655 * abs(last - air) ** 0.5) ** 2) ** 0.5
        heat = store * outer_past + sun + net + loss * last + film * air + link * swept
        new = heat / (store + link * (1.0 - back) + loss + film)
        behind = swept + back * new
        outer_past, inner_past = (4.0 * new - outer) / 3.0, (4.0 * behind - inner) / 3.0
        outer, inner = new, behind
        result.append(new)
    return result


def slope_of(table: Floats) -> Callable[[float, Floats], list[float]]:
    """Right-hand side of the two-node wall for a general solver, weather linear between slot middles."""
    store, link = _skin().store_j_m2k, float(_skin().link_w_m2k[0])
    emission = 0.92 * kernel.SIGMA_W_M2K4

    def slope(time_s: float, nodes: Floats) -> list[float]:
        place = min(max(time_s / STEP_S, 0.0), SLOTS - 1.001)
        low = int(place)
        weather = table[low] + (place - low) * (table[low + 1] - table[low])
        air, forced, sky, ground, cabin, direct, diffuse, total = weather.tolist()
        outer, inner = float(nodes[0]), float(nodes[1])
        sun = 0.75 * (0.3 * direct + (0.09 + 0.178 * 0.6) * diffuse + 0.178 * 0.3 * (total - diffuse))
        ground_k4, air_k4 = (air + 273.15 + 0.35 * (ground - air)) ** 4, (air + 273.15) ** 4
        net = 0.92 * 0.09 * sky + emission * (0.89 * ground_k4 + 0.02 * air_k4 - (outer + 273.15) ** 4)
        film = (forced**2 + (0.72 + 0.655 * abs(outer - air) ** 0.5) ** 2) ** 0.5
        across = link * (inner - outer)
        return [(sun + net + film * (air - outer) + across) / store[0], (6.0 * (cabin - inner) - across) / store[1]]

    return slope


def solver(tolerance: float) -> tuple[float, Floats]:
    """Seconds (scaled to six surfaces) and temperatures of scipy's LSODA at one relative tolerance."""
    table = rows()
    middles = np.arange(SLOTS) * STEP_S
    begun = time.perf_counter()
    solved = solve_ivp(
        slope_of(table), (0.0, middles[-1]), [table[0, 0], table[0, 4]],
        method="LSODA", t_eval=middles, rtol=tolerance, atol=10 * tolerance, max_step=4 * STEP_S,
    )  # fmt: skip
    return BODIES * (time.perf_counter() - begun), np.asarray(solved.y[0])


@njit(fastmath={"contract"}, nogil=True)
def _fma(seeds: F32, factors: tuple[np.float32, np.float32], rounds: int) -> None:
    times, plus = factors
    for _ in range(rounds):
        for lane in range(seeds.size):
            value = seeds[lane]
            for _ in range(CHAIN):
                value = value * times + plus
            seeds[lane] = value


@njit(fastmath=True, nogil=True)
def _triad(target: F32, one: F32, two: F32) -> None:
    for place in range(target.size):
        target[place] = one[place] + np.float32(0.5) * two[place]


def limits() -> tuple[float, float]:
    """Measured GFLOP/s of 32-bit multiply-add and GB/s of a triad, both on two threads."""
    rounds, size = 20_000, 24_000_000
    seeds = [np.ones(1024, np.float32) for _ in range(WORKERS)]
    factors = (np.float32(0.999), np.float32(0.001))
    shares = [tuple(np.ones(size, np.float32) for _ in range(3)) for _ in range(WORKERS)]
    _fma(seeds[0], factors, 1)
    _triad(*(part[:256] for part in shares[0]))
    with ThreadPoolExecutor(WORKERS) as pool:
        spent_s = best_s(lambda: list(pool.map(lambda seed: _fma(seed, factors, rounds), seeds)))
        moved_s = best_s(lambda: list(pool.map(lambda share: _triad(*share), shares)), repeats=7)
    return WORKERS * rounds * 1024 * CHAIN * 2 / spent_s / 1e9, WORKERS * size * 12 / moved_s / 1e9


def weather(days: int) -> Weather:
    """Mild made-up weather with some rain and no irradiance."""
    hour = np.arange(days * 24 + 1)[None].astype(float)
    blank = np.full(hour.shape, np.nan)
    return Weather(
        start=datetime(2023, 4, 1, tzinfo=UTC), air_c=15 + 5 * np.sin((hour - 9) / 24 * 2 * np.pi), dew_c=0 * hour + 9,
        wind_m_s=3 + 2 * np.sin(hour / 9), rain_mm=np.where(hour % 70 < 4, 1.0, 0.0), pressure_pa=0 * hour + 101325,
        ghi_w_m2=blank, dni_w_m2=blank, dhi_w_m2=blank, longwave_w_m2=blank, cloud=blank, filled={},
        station="made up", source="made up", licence="none needed",
    )  # fmt: skip


def zones(count: int) -> list[Zone]:
    """So many zones of one patch each."""
    views: tuple[View, ...] = ("bilge", "bottom", "keel", "topsides")
    tilts = (145.0, 167.0, 90.0, 93.0)
    patch = Patch(
        name="a", area_m2=5.0, from_bow_deg=90.0, tilt_deg=145.0, view="bilge",
        layers=(Layer(material="grp", thickness_m=0.012),),
    )  # fmt: skip
    return [
        Zone(
            name=f"zone {n}", kind="side", side="port", area_m2=5.0, area_sd_m2=0.1, substrate="grp",
            patches=(replace(patch, view=views[n % 4], tilt_deg=tilts[n % 4], from_bow_deg=90.0 + 180.0 * (n % 2)),),
        )
        for n in range(count)
    ]  # fmt: skip


def whole(days: int, count: int, lanes: int = 32) -> tuple[float, float]:
    """Median milliseconds and peak megabytes of `hull_climate`, warm."""
    table, hull, draws = weather(days), zones(count), make_draws(lanes, 1)
    grid = grid_for(table)

    def run() -> object:
        return hull_climate(table, SITE, hull, grid=grid, draws=draws)

    run()
    spent = []
    for _ in range(7):
        begun = time.perf_counter()
        run()
        spent.append(1e3 * (time.perf_counter() - begun))
    tracemalloc.start()
    run()
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    return statistics.median(spent), peak


def show_kernel() -> None:
    """Lanes on two cores, against the plain loop and LSODA, and as a share of the measured limits."""
    kernel.march(*case(32))
    per = {lanes: 1e9 * two_cores_s(lanes) / (BODIES * HOURS * lanes) for lanes in (1, 16, 30, 32, 64)}
    say("ns per zone-hour and lane (two cores)   times 32 lanes")
    for lanes, spent_ns in per.items():
        say(f"  fused, {lanes:2d} lanes {spent_ns:14.2f} {spent_ns / per[32]:16.2f}")
    plain, loop = plain_s()
    exact = solver(1e-8)[1]
    ours = case(1)
    kernel.march(*ours)
    settled = slice(96, None)
    error_k = float(np.abs(ours[2].surface_c[0, settled, 0] - exact[settled]).max())
    say(f"  plain Python loop {1e9 * plain / (BODIES * HOURS):13.0f} {1e9 * plain / (BODIES * HOURS) / per[32]:16.0f}")
    say(f"  float32 march against the same in float64: {np.abs(ours[2].surface_c[0, :, 0] - loop).max():.1e} K")
    show_solver(exact, error_k, per[32])
    flops, bandwidth = limits()
    say(f"measured limits: {flops:.0f} GFLOP/s (32-bit multiply-add), {bandwidth:.1f} GB/s (triad)")
    for lanes in (32, 64):
        rate, moved = 4 * FLOPS_PER_SLOT / per[lanes], 4 * BYTES_PER_SLOT / per[lanes]
        say(
            f"  {lanes} lanes: {rate:.0f} GFLOP/s = {rate / flops:.0%} of arithmetic; {moved:.1f} GB/s ="
            f" {moved / bandwidth:.0%} of memory if every surface reads its weather anew (it lies in cache)"
        )


def show_solver(exact: Floats, error_k: float, fused_ns: float) -> None:
    """LSODA at the loosest tolerance that is no worse than our march."""
    for tolerance in (1e-2, 1e-3, 1e-4, 1e-5):
        spent_s, found = solver(tolerance)
        theirs_k = float(np.abs(found - exact)[96:].max())
        if theirs_k <= error_k or tolerance == 1e-5:
            spent_ns = 1e9 * spent_s / (BODIES * HOURS)
            say(f"  LSODA, rtol {tolerance:g} {spent_ns:16.0f} {spent_ns / fused_ns:16.0f}")
            say(f"  largest error: march {error_k:.3f} K, LSODA {theirs_k:.3f} K")
            return


def show_whole() -> None:
    """Time and memory of the whole climate, and how both grow."""
    say("whole climate, 32 lanes, warm          ms    peak MB")
    for days, count in ((7, 6), (14, 6), (28, 6), (14, 2), (14, 10)):
        spent_ms, peak_mb = whole(days, count)
        say(f"  {days:2d} days, {count:2d} zones {spent_ms:18.1f} {peak_mb:10.1f}")


if __name__ == "__main__":
    show_kernel()
    show_whole()
