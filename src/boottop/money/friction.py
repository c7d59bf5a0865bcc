"""Friction of a smooth and of a rough hull: friction lines, and Granville's scaling with a Colebrook-type roughness."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Line = Literal["karman-schoenherr", "ittc-57"]
KAPPA = 0.41
ROUGHNESS_FACTOR = 0.25
BISECTIONS = 60
LOWEST_CF, HIGHEST_CF = 2e-4, 1e-1
SEAWATER_KG_M3 = 1025.0
SEAWATER_NU_M2_S = 1.1883e-6
"""Sea water of 15 degC: density from memory, viscosity as in Holtrop and Mennen 1982."""
REYNOLDS_MIN = 1e5
ROUGHEST_RATIO = 2e-3


def _ittc57_log_re(cf: Floats) -> Floats:
    return np.asarray(2.0 + np.sqrt(0.075 / cf))


def _karman_schoenherr_log_re(cf: Floats) -> Floats:
    return np.asarray(0.242 / np.sqrt(cf) - np.log10(cf))


LINES: Mapping[Line, Callable[[Floats], Floats]] = {
    "karman-schoenherr": _karman_schoenherr_log_re,
    "ittc-57": _ittc57_log_re,
}
"""Smooth friction lines, each as log10 of the Reynolds number at which it has a coefficient."""


def ittc57(reynolds: ArrayLike) -> Floats:
    """Friction coefficient of the ITTC-1957 line, 0.075 / (log10 Re - 2)^2, shape of `reynolds`.

    Source: ITTC 1957, as in Holtrop and Mennen 1982 (read). Valid for Re 1e5 to 1e10; a model-ship correlation line.

    >>> [float(f"{cf:.4e}") for cf in ittc57([1e6, 1e7, 1e8, 1e9, 1e10])]
    [0.0046875, 0.003, 0.0020833, 0.0015306, 0.0011719]
    """
    return np.asarray(0.075 / (np.log10(np.asarray(reynolds, dtype=np.float64)) - 2.0) ** 2)


def karman_schoenherr(reynolds: ArrayLike) -> Floats:
    """Friction coefficient of the Karman-Schoenherr line, 0.242 / sqrt(CF) = log10(Re CF), shape of `reynolds`.

    Source: Schoenherr 1932 (from memory). Valid for turbulent flow, Re 1e5 to 1e10.

    >>> float(karman_schoenherr(124.4 * 15 * 0.514444 / 1.1883e-6).round(7))
    0.0015719
    """
    return rough_friction(reynolds, 0.0)


def rough_friction(reynolds: ArrayLike, roughness: ArrayLike, *, line: Line = "karman-schoenherr") -> Floats:
    """Friction coefficient of a plate rough all over, shapes that broadcast; `roughness`: sand grain over length, ks/L.

    The smooth line moved by dU+ kappa / ln 10 in log10 Re (Granville), with the Colebrook-type
    dU+ = ln(1 + 0.25 ks+) / kappa, ks+ = (ks/L) Re sqrt(CF/2) (1 - sqrt(CF/2) / kappa). The 0.25 belongs inside the
    logarithm: without it the published penalties do not come out. Solved by bisection: the left side of
    log10 Re'(CF) + log10(1 + 0.25 ks+) = log10 Re falls as CF rises.
    Source: Granville, J. Ship Res. 2 (1958) 52 and Schultz, Biofouling 23(5) (2007) 331 (both from memory; the recalled
    table of the second is met within 8 %). Valid for ks/L up to 2e-3 and Re above 1e5, see `in_range`.
    """
    log_re, ratio = np.broadcast_arrays(np.log10(np.asarray(reynolds, dtype=np.float64)), np.asarray(roughness))
    low, high = np.full(log_re.shape, np.log(LOWEST_CF)), np.full(log_re.shape, np.log(HIGHEST_CF))
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        cf = np.exp(middle)
        shear = np.sqrt(cf / 2.0)
        grain = ratio * 10.0**log_re * shear * (1.0 - shear / KAPPA)
        too_low = LINES[line](cf) + np.log10(1.0 + ROUGHNESS_FACTOR * grain) > log_re
        low, high = np.where(too_low, middle, low), np.where(too_low, high, middle)
    return np.asarray(np.exp(0.5 * (low + high)))


def in_range(reynolds: ArrayLike, roughness: ArrayLike) -> NDArray[np.bool_]:
    """Whether the rough line may be trusted there: turbulent, and the roughness small beside the boundary layer."""
    turbulent = np.asarray(reynolds) >= REYNOLDS_MIN
    return np.asarray(turbulent & (np.asarray(roughness) <= ROUGHEST_RATIO))


def reynolds_number(speed_m_s: ArrayLike, length_m: float, nu_m2_s: float = SEAWATER_NU_M2_S) -> Floats:
    """Reynolds number by the waterline length, shape of `speed_m_s`.

    >>> float(reynolds_number(25 * 0.514444, 205.0).round(-5))
    2218700000.0
    """
    return np.asarray(np.asarray(speed_m_s, dtype=np.float64) * length_m / nu_m2_s)


def friction_n(speed_m_s: ArrayLike, wetted_m2: float, cf: ArrayLike, *, density_kg_m3: float) -> Floats:
    """Frictional resistance rho/2 V^2 S CF, N, shapes that broadcast. Source: ITTC 1957, definition of CF.

    >>> float(friction_n(25 * 0.514444, 7381.45, 0.00138978, density_kg_m3=1025.0).round(-1))
    869640.0
    """
    return np.asarray(0.5 * density_kg_m3 * wetted_m2 * np.square(speed_m_s) * np.asarray(cf))
