"""The two compiled marches: the dry hull (every surface, lane and slot), and water on it (central lane).

The wall is a row of nodes from the outer face inwards. The dry march takes second-order backward differences (BDF2):
3 T - 4 T1 + T2 over two steps, as cheap as backward Euler and four times nearer at 15 minutes; radiation and still-air
convection are taken at the temperature foreseen from the last two. The film march, whose film comes and goes at once,
takes backward Euler. Everything inside the surface node has constant coefficients, so it is eliminated
beforehand (`climate.wall`) and a step needs one division, at the surface.

Lanes are innermost and contiguous so that the compiler turns every lane loop into vector arithmetic; their number
should be 1 or a multiple of 16 (one vector of 32-bit floats).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]

AIR, FORCED, SKY, GROUND, CABIN, DNI, DHI, GHI = range(8)
FORCING_ROWS = 8
ABSORPTANCE, ALBEDO, CONVECTION = range(3)
EMISSIVITY, F_SKY, F_GROUND, F_HULL, KD, GROUND_SHARE, STILL, RISE, INSIDE = range(9)
BODY_COLUMNS = 9
STORE, LINK, WEIGHT, BACK = range(4)
SIGMA_W_M2K4 = 5.670374e-8
KELVIN = 273.15
LATENT_J_KG = 2.47e6
VAPOUR_J_KGK = 461.5
LEWIS = 0.845 ** (2.0 / 3.0)
AIR_J_KGK = 1006.0
DRY_KG_M2 = 1.0e-3
RAIN_KG_M2 = 0.01
THIRD = np.float32(1.0 / 3.0)


class Drive(NamedTuple):
    """What acts on all bodies: `forcing` (slot, row, lane) with rows AIR..GHI, `lanes` (row, lane) with rows
    ABSORPTANCE..CONVECTION, `order` (step,) the slot taken at every step (the run-in repeats some)."""

    forcing: F32
    lanes: F32
    order: NDArray[np.int32]


class Bodies(NamedTuple):
    """The surfaces: `scalars` (body, column) with columns EMISSIVITY..INSIDE, `walls` (body, row, node) with rows
    STORE (C/dt; dry march: 3/2 C/dt), LINK (K to the next node inwards), WEIGHT (1/pivot), BACK (K outwards/pivot),
    `nodes` (body,), and what the sun does: `beam` and `ground_beam` (body, slot), factors on direct sun and on sunlit
    ground."""

    scalars: F32
    walls: F32
    nodes: NDArray[np.int32]
    beam: F32
    ground_beam: F32


class Out(NamedTuple):
    """Results: `surface_c` and `absorbed_w_m2` (body, slot, lane); `nodes_c` (body, slot, node) of lane 0."""

    surface_c: F32
    absorbed_w_m2: F32
    nodes_c: F32


_FAST = {"contract", "nsz", "arcp", "reassoc"}


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def march(drive: Drive, bodies: Bodies, out: Out) -> None:  # noqa: C901, PLR0915 - one fused loop: a call costs slices
    """March every body through the steps of `drive.order`, all lanes abreast; fills `out`.

    Arrays are indexed in full and never sliced inside the loops: a slice costs a reference count, which is more
    than a whole vector step.
    """
    forcing, factors, order = drive.forcing, drive.lanes, drive.order
    walls, scalars = bodies.walls, bodies.scalars
    lanes = factors.shape[1]
    temp = np.empty((walls.shape[2], lanes), np.float32)
    past = np.empty((walls.shape[2], lanes), np.float32)
    swept = np.empty((walls.shape[2], lanes), np.float32)
    for body in range(bodies.nodes.shape[0]):
        count = bodies.nodes[body]
        _start((temp, past), drive, count)
        inside = scalars[body, INSIDE]
        surface = (walls[body, STORE, 0], walls[body, LINK, 0], walls[body, BACK, 1])
        views = (scalars[body, F_SKY], scalars[body, F_GROUND], scalars[body, F_HULL], scalars[body, GROUND_SHARE])
        still = (scalars[body, STILL], scalars[body, RISE])
        for step in range(order.shape[0]):
            slot = order[step]
            for node in range(count - 1, 0, -1):
                store, weight = walls[body, STORE, node], walls[body, WEIGHT, node]
                if node == count - 1:
                    for lane in range(lanes):
                        swept[node, lane] = weight * (store * past[node, lane] + inside * forcing[slot, CABIN, lane])
                else:
                    link = walls[body, LINK, node]
                    for lane in range(lanes):
                        swept[node, lane] = weight * (store * past[node, lane] + link * swept[node + 1, lane])
            beam, ground_beam = bodies.beam[body, slot], bodies.ground_beam[body, slot]
            for lane in range(lanes):
                light = (forcing[slot, DNI, lane], forcing[slot, DHI, lane], forcing[slot, GHI, lane])
                shaded = factors[ALBEDO, lane] * views[1]
                sun = beam * light[0] + (views[0] + shaded * scalars[body, KD]) * light[1]
                sun = factors[ABSORPTANCE, lane] * (sun + shaded * ground_beam * (light[2] - light[1]))
                air = forcing[slot, AIR, lane]
                last = np.float32(3.0) * past[0, lane] - np.float32(2.0) * temp[0, lane]
                long = (forcing[slot, SKY, lane], forcing[slot, GROUND, lane], scalars[body, EMISSIVITY])
                gain, loss = _radiation((last, air), long, views)
                film = factors[CONVECTION, lane] * _convection(last - air, forcing[slot, FORCED, lane], still)
                heat = surface[0] * past[0, lane] + sun + gain + film * air + surface[1] * swept[1, lane]
                new = heat / (surface[0] + surface[1] * (np.float32(1.0) - surface[2]) + loss + film)
                out.absorbed_w_m2[body, slot, lane] = sun
                out.surface_c[body, slot, lane] = new
                past[0, lane] = THIRD * (np.float32(4.0) * new - temp[0, lane])
                temp[0, lane] = new
                behind = swept[1, lane] + surface[2] * new
                past[1, lane] = THIRD * (np.float32(4.0) * behind - temp[1, lane])
                temp[1, lane] = behind
            for node in range(2, count):
                back = walls[body, BACK, node]
                for lane in range(lanes):
                    behind = swept[node, lane] + back * temp[node - 1, lane]
                    past[node, lane] = THIRD * (np.float32(4.0) * behind - temp[node, lane])
                    temp[node, lane] = behind
            for node in range(count):
                out.nodes_c[body, slot, node] = temp[node, 0]


@njit(cache=True, nogil=True)
def _start(state: tuple[F32, F32], drive: Drive, count: int) -> None:
    temp, past = state
    first = drive.order[0]
    for node in range(count):
        share = np.float32(node / (count - 1))
        for lane in range(temp.shape[1]):
            outer, inner = drive.forcing[first, AIR, lane], drive.forcing[first, CABIN, lane]
            temp[node, lane] = outer + share * (inner - outer)
            past[node, lane] = temp[node, lane]


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _radiation(now, long, views):  # type: ignore[no-untyped-def] # tuples of scalars, typed by the compiler
    """Long-wave heat as gain - loss * T, linear about the last temperature; gain in W/m2, loss in W/m2K."""
    last, air = now
    sky, ground, emissivity = long
    emission = emissivity * np.float32(SIGMA_W_M2K4)
    kelvin, air_k = last + np.float32(KELVIN), air + np.float32(KELVIN)
    ground_k = air_k + views[3] * (ground - air)
    incoming = views[1] * (ground_k * ground_k) * (ground_k * ground_k) + views[2] * (air_k * air_k) * (air_k * air_k)
    kelvin3 = kelvin * kelvin * kelvin
    loss = np.float32(4.0) * emission * kelvin3
    return emissivity * views[0] * sky + emission * (incoming - kelvin3 * kelvin) + loss * last, loss


@njit(cache=True, nogil=True, fastmath=_FAST, error_model="numpy")
def _convection(difference, forced, still):  # type: ignore[no-untyped-def] # scalars, typed by the compiler
    """Forced and natural convection in W/m2K added as squares; natural = still + rise * sqrt|dT|."""
    natural = still[0] + still[1] * np.sqrt(abs(difference))
    return np.sqrt(forced * forced + natural * natural)


class Water(NamedTuple):
    """What wets and dries the hull, lane 0: `rain_kg_m2`, `vapour_pa` and air `density_kg_m3` (slot,), saturation
    pressure over water `saturation_pa` at `table_c[0]` + n `table_c[1]`, the film that clings `full_kg_m2`, `step_s`,
    and the `first` mark whose drying is asked for."""

    rain_kg_m2: F64
    vapour_pa: F64
    density_kg_m3: F64
    saturation_pa: F64
    table_c: tuple[float, float]
    full_kg_m2: float
    step_s: float
    first: int


class Wetted(NamedTuple):
    """Results of the film march: `film_kg_m2` (body, slot) at each slot's end, `nodes_c` (body, slot, node) of the wall
    under it, `dry_after` (body, mark) with slots + 1 where the weather ends first."""

    film_kg_m2: F64
    nodes_c: F64
    dry_after: NDArray[np.int32]


@njit(cache=True, nogil=True, error_model="numpy")
def march_film(case: tuple[Drive, Bodies, Out], water: Water, wetted: Wetted) -> None:
    """Water on every body: once through the weather for `film_kg_m2`, and for every mark of the grid from a full film
    until dry for `dry_after`. The wall under a fresh film is as warm as the first pass left it. Marks are taken
    backwards: a film that rain or dew has filled again dries when a fresh one from there would; at last a later
    wetting is kept from drying earlier by a slot's rounding. Nothing is dry while it rains."""
    drive, bodies, out = case
    slots = wetted.film_kg_m2.shape[1]
    state = np.empty((2, bodies.walls.shape[2]), np.float64)
    for body in range(bodies.nodes.shape[0]):
        film = 0.0
        _resume(state, out.nodes_c, (body, np.int64(drive.order[0])))
        for step in range(drive.order.shape[0]):
            slot = np.int64(drive.order[step])
            film = _film_step(state, (film, body, slot), (drive, bodies, out, water))
            wetted.film_kg_m2[body, slot] = film
            for node in range(state.shape[1]):
                wetted.nodes_c[body, slot, node] = state[0, node]
        wetted.dry_after[body, slots] = slots + 1
        for mark in range(slots - 1, water.first - 1, -1):
            _resume(state, wetted.nodes_c, (body, max(mark - 1, 0)))
            film = water.full_kg_m2
            answer = slots + 1
            for later in range(mark, slots):
                film = _film_step(state, (film, body, later), (drive, bodies, out, water))
                if film <= DRY_KG_M2 and water.rain_kg_m2[later] <= RAIN_KG_M2:
                    answer = later + 1
                    break
                if film >= water.full_kg_m2:
                    answer = wetted.dry_after[body, later + 1]
                    break
            wetted.dry_after[body, mark] = answer
        for mark in range(water.first + 1, slots + 1):
            wetted.dry_after[body, mark] = max(wetted.dry_after[body, mark], wetted.dry_after[body, mark - 1])


@njit(cache=True, nogil=True)
def _resume(state, nodes_c, place) -> None:  # type: ignore[no-untyped-def] # nodes of the dry or of the wet march
    for node in range(state.shape[1]):
        state[0, node] = nodes_c[place[0], place[1], node]


@njit(cache=True, nogil=True, error_model="numpy")
def _film_step(state, now, case):  # type: ignore[no-untyped-def] # tuples of tuples, typed by the compiler
    """One slot of one body with water on it: marches the wall in `state`, returns the film left in kg/m2."""
    film, body, slot = now
    drive, bodies, out, water = case
    film = min(film + water.rain_kg_m2[slot], water.full_kg_m2)
    count = bodies.nodes[body]
    _sweep(state, bodies, (body, bodies.scalars[body, INSIDE] * drive.forcing[slot, CABIN, 0]))
    heat, stiff, convection = _dry_balance(state, (body, slot), (drive, bodies, out))
    last, air = state[0, 0], np.float64(drive.forcing[slot, AIR, 0])
    place = (last - water.table_c[0]) / water.table_c[1]
    index = min(max(int(place), 0), water.saturation_pa.shape[0] - 2)
    rise = water.saturation_pa[index + 1] - water.saturation_pa[index]
    over_pa = water.saturation_pa[index] + (place - index) * rise - water.vapour_pa[slot]
    gas = VAPOUR_J_KGK * (0.5 * (last + air) + KELVIN)
    transfer = convection / (water.density_kg_m3[slot] * AIR_J_KGK * LEWIS * gas)
    flow, slope = transfer * over_pa, transfer * rise / water.table_c[1]
    new = (heat - LATENT_J_KG * (flow - slope * last)) / (stiff + LATENT_J_KG * slope)
    flow = flow + slope * (new - last)
    if flow * water.step_s > film:
        flow = film / water.step_s
        new = (heat - LATENT_J_KG * flow) / stiff
    state[0, 0] = new
    for node in range(1, count):
        state[0, node] = state[1, node] + bodies.walls[body, BACK, node] * state[0, node - 1]
    return min(film - flow * water.step_s, water.full_kg_m2)


@njit(cache=True, nogil=True, error_model="numpy")
def _dry_balance(state, place, case):  # type: ignore[no-untyped-def] # tuples of tuples, typed by the compiler
    """Heat and stiffness of the surface node without water, so that T = heat / stiffness, and the convection in it."""
    body, slot = place
    drive, bodies, out = case
    scalars, forcing, walls = bodies.scalars, drive.forcing, bodies.walls
    last, air = state[0, 0], np.float64(forcing[slot, AIR, 0])
    views = (scalars[body, F_SKY], scalars[body, F_GROUND], scalars[body, F_HULL], scalars[body, GROUND_SHARE])
    long = (forcing[slot, SKY, 0], forcing[slot, GROUND, 0], scalars[body, EMISSIVITY])
    gain, loss = _radiation((last, air), long, views)
    still = (scalars[body, STILL], scalars[body, RISE])
    convection = drive.lanes[CONVECTION, 0] * _convection(last - air, forcing[slot, FORCED, 0], still)
    inner = walls[body, LINK, 0] * state[1, 1]
    heat = walls[body, STORE, 0] * last + out.absorbed_w_m2[body, slot, 0] + gain + convection * air + inner
    stiff = walls[body, STORE, 0] + walls[body, LINK, 0] * (1.0 - walls[body, BACK, 1]) + loss + convection
    return heat, stiff, convection


@njit(cache=True, nogil=True, error_model="numpy")
def _sweep(state, bodies, inner):  # type: ignore[no-untyped-def] # tuples of scalars, typed by the compiler
    """Eliminate one wall from the inner face outwards; row 1 of `state` then holds what drives each node."""
    body, drive = inner
    for node in range(bodies.nodes[body] - 1, 0, -1):
        stored = bodies.walls[body, STORE, node] * state[0, node]
        state[1, node] = bodies.walls[body, WEIGHT, node] * (stored + drive)
        drive = bodies.walls[body, LINK, node - 1] * state[1, node]
