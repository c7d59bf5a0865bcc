"""Drying clock: from when the water has left a water-based film, for every finishing mark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from boottop.base.clock import SLOT_S
from boottop.climate.build import FORCED_EXPONENT, FORCED_W_M2K, PAINT_EMISSIVITY
from boottop.climate.kernel import KELVIN, LATENT_J_KG, SIGMA_W_M2K4
from boottop.windows.film import (
    AIR_J_M3K,
    LEWIS_RATIO,
    Film,
    natural_w_m2k,
    saturation_pa,
    saturation_slope_pa_k,
    vapour_kg_m3,
)

Floats = NDArray[np.float64]
F32 = NDArray[np.float32]
Marks = NDArray[np.int32]

WIDTH = 8
FIRST_STEPS = 3
_CARRY = 1.0 / (AIR_J_M3K * LEWIS_RATIO ** (2.0 / 3.0))
_RADIATION = 4.0 * PAINT_EMISSIVITY * SIGMA_W_M2K4


@dataclass(frozen=True, kw_only=True)
class Air:
    """The air along the hull: temperature, vapour pressure and forced convection by (lane, slot); the lane's factor
    on the whole convection."""

    air_c: F32
    vapour_pa: F32
    forced_w_m2k: F32
    convection_factor: Floats


def hull_air(air_c: F32, dew_c: F32, wind_m_s: F32, *, convection_factor: Floats) -> Air:
    """What the film feels of the air; all arrays (lane, slot), wind at the hull (shelter taken off).

    Forced convection 3.26 V^0.89, W/(m2 K). Source: Yazdanian & Klems, ASHRAE Trans. 100 (1994), windward
    coefficients from memory, +-30 %; the lanes carry that doubt.
    """
    return Air(
        air_c=np.ascontiguousarray(air_c, dtype=np.float32),
        vapour_pa=saturation_pa(dew_c.astype(np.float64)).astype(np.float32),
        forced_w_m2k=(FORCED_W_M2K * np.maximum(wind_m_s, 0.0) ** FORCED_EXPONENT).astype(np.float32),
        convection_factor=np.asarray(convection_factor, dtype=np.float64),
    )


_saturation_pa = njit(cache=True, error_model="numpy")(saturation_pa)
_vapour_kg_m3 = njit(cache=True, error_model="numpy")(vapour_kg_m3)
_saturation_slope_pa_k = njit(cache=True, error_model="numpy")(saturation_slope_pa_k)
_natural_w_m2k = njit(cache=True, error_model="numpy")(natural_w_m2k)


@njit(cache=True, nogil=True, error_model="numpy")
def _leaving(film_c, air, skin):  # type: ignore[no-untyped-def] # scalars, typed by the compiler
    """Convection, what a skin leaves of the flow, evaporation, and how much steeper that gets with every kelvin."""
    air_c, air_pa, forced_w_m2k, factor = air
    skinned, skin_s_m = skin
    still_w_m2k = _natural_w_m2k(film_c - air_c)
    heat_w_m2k = factor * np.sqrt(forced_w_m2k * forced_w_m2k + still_w_m2k * still_w_m2k)
    kept = 1.0 / (1.0 + heat_w_m2k * _CARRY * skin_s_m)
    carry_m_s = heat_w_m2k * _CARRY * (kept if skinned else 1.0)
    carry = carry_m_s * _vapour_kg_m3(1.0, 0.5 * (film_c + air_c))
    return heat_w_m2k, kept, carry * (_saturation_pa(film_c) - air_pa), carry * _saturation_slope_pa_k(film_c)


@njit(cache=True, nogil=True, error_model="numpy")
def _film_step(weather, body, film):  # type: ignore[no-untyped-def] # tuples of scalars, typed by the compiler
    """One implicit step of one film: how far the wall's three nodes lie below their dry selves, the share gone."""
    dry_c, air = weather
    (keeps, follows, r2, r3, r4, held, inwards), (gain, skin_share, skin_s_m) = body
    outer_k, middle_k, inner_k, gone = film
    skinned = gone > skin_share
    heat, kept, leaves, steeper = _leaving(dry_c - outer_k, air, (skinned, skin_s_m))
    dry_k = dry_c + KELVIN
    given = held * outer_k + inwards * (r2 * middle_k + r3 * inner_k) + LATENT_J_KG * (leaves + steeper * outer_k)
    taken = held + inwards * (1.0 - r4) + heat + _RADIATION * dry_k * dry_k * dry_k + LATENT_J_KG * steeper
    cooled = given / taken
    now = gone + gain * (leaves - steeper * (cooled - outer_k))
    now = skin_share + kept * (now - skin_share) if now > skin_share and not skinned else now
    deeper = r2 * middle_k + r3 * inner_k + r4 * cooled
    return cooled, deeper, keeps * inner_k + follows * deeper, max(now, 0.0)


@njit(cache=True, nogil=True, error_model="numpy")
def _first_slot(weather, body, fresh):  # type: ignore[no-untyped-def] # arrays and tuples, typed by the compiler
    """State of every film at the end of its first slot, in shorter steps because a fresh film cools fast."""
    surface_c, air_c, air_pa, forced_w_m2k, factor = weather
    outer_k, middle_k, inner_k, gone = fresh[0], fresh[1], fresh[2], fresh[3]
    fresh[:] = 0.0
    for _ in range(FIRST_STEPS):
        for s in range(surface_c.shape[0]):
            now = (np.float64(surface_c[s]), (air_c[s], air_pa[s], forced_w_m2k[s], factor))
            film = (outer_k[s], middle_k[s], inner_k[s], gone[s])
            outer_k[s], middle_k[s], inner_k[s], gone[s] = _film_step(now, body, film)


@njit(cache=True, nogil=True, error_model="numpy")
def _march(weather, body, marks):  # type: ignore[no-untyped-def] # arrays and tuples, typed by the compiler
    """March all wet films side by side from slot to slot; `marks` is (state after the first slot, result).

    They stand in a row, oldest first. The oldest leaves when it is dry, so a later one is never dry sooner; the
    newest leaves when dew has undone its drying, because from then on it is like a film finished at that mark.
    Places are counted unsigned and the row is never sliced: with a sign to test or a slice to count the compiler no
    longer takes eight films at a time.
    """
    surface_c, air_c, air_pa, forced_w_m2k, factor = weather
    fresh, out = marks
    slots = surface_c.shape[0]
    state = np.zeros((4, slots + WIDTH))
    outer_k, middle_k, inner_k, gone = state[0], state[1], state[2], state[3]
    whose = np.empty(slots, dtype=np.int32)
    head = tail = 0
    for s in range(slots):
        now = (np.float64(surface_c[s]), (air_c[s], air_pa[s], forced_w_m2k[s], factor))
        for ahead in range(tail - head + (head - tail) % WIDTH):
            i = np.uint64(head + ahead)
            film = (outer_k[i], middle_k[i], inner_k[i], gone[i])
            outer_k[i], middle_k[i], inner_k[i], gone[i] = _film_step(now, body, film)
        outer_k[tail], middle_k[tail], inner_k[tail], gone[tail] = fresh[0, s], fresh[1, s], fresh[2, s], fresh[3, s]
        whose[tail] = s
        tail += 1
        while head < tail and gone[head] >= 1.0:
            out[whose[head]] = s + 1
            head += 1
        while head < tail and gone[tail - 1] <= 0.0:
            tail -= 1
            out[whose[tail]] = -(s + 1)


@njit(cache=True, nogil=True, error_model="numpy")
def _settle(marks, out):  # type: ignore[no-untyped-def]
    """Follow the films that dew undid to the mark whose film they share; keep the worst patch in `out`."""
    beyond = marks.shape[0]
    for mark in range(beyond - 1, -1, -1):
        if marks[mark] < 0:
            marks[mark] = marks[-marks[mark]]
        elif marks[mark] == 0:
            marks[mark] = beyond
        out[mark] = max(out[mark], marks[mark])


@njit(cache=True, nogil=True, error_model="numpy")
def _seven(wall):  # type: ignore[no-untyped-def]
    return wall[0], wall[1], wall[2], wall[3], wall[4], wall[5], wall[6]


@njit(cache=True, nogil=True, error_model="numpy")
def _dry_marks(case, film, out):  # type: ignore[no-untyped-def] # arrays and tuples, typed by the compiler
    surface_c, air, walls = case
    patches, lanes, slots = surface_c.shape
    air_c, air_pa, forced_w_m2k, factors, water_factors = air
    marks = np.empty(slots + 1, dtype=np.int32)
    fresh = np.empty((4, slots))
    for patch in range(patches):
        first_wall, wall = _seven(walls[patch, 0]), _seven(walls[patch, 1])
        for lane in range(lanes):
            weather = (surface_c[patch, lane], air_c[lane], air_pa[lane], forced_w_m2k[lane], factors[lane])
            gain = SLOT_S * film[0] / water_factors[lane]
            _first_slot(weather, (first_wall, (gain / FIRST_STEPS, film[1], film[2])), fresh)
            marks[:] = 0
            _march(weather, (wall, (gain, film[1], film[2])), (fresh, marks))
            _settle(marks, out[lane])


def dry_marks(surface_c: F32, air: Air, walls: Floats, *, film: Film, water_factor: Floats) -> Marks:
    """Mark at which the water has left a film finished at each mark, worst patch, shape (lane, mark).

    `surface_c` (patch, lane, slot) is the dry hull, holding through its slot; `walls` (patch, 2, 7) the condensed
    walls for a step of a third of a slot (the first slot) and of a whole one; `water_factor` (lane,) on the film's
    water. The film cools itself and the wall under it, dew stops or undoes its drying (never below nothing), and a
    film finished later is never dry sooner. The number of slots plus one: not within the known weather.
    Valid for water-based films between -10 and 60 degC.

    Error against a fine solver of the same equations, films that dry in half an hour to two: median 1 %, from 2 %
    too early to 5 % too late on GRP, timber, aluminium and lead (tests/windows/test_drying.py). Source: own march;
    film, skin and wind as in boottop.windows.film. Left out: the film's own heat, and that wet paint is darker.
    """
    _, lanes, slots = surface_c.shape
    out = np.zeros((lanes, slots + 1), dtype=np.int32)
    wind = (air.air_c, air.vapour_pa, air.forced_w_m2k, air.convection_factor, water_factor)
    _dry_marks((surface_c, wind, walls), (1.0 / film.water_kg_m2, film.skin_share, film.skin_s_m), out)
    return out
