"""Rules of integration over stations."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PchipInterpolator

Array = NDArray[np.float64]


def even_spacing(stations: Array) -> bool:
    """Whether the stations are evenly spaced, to 1 % of a bay.

    >>> even_spacing(np.array([0.0, 1.0, 2.0])), even_spacing(np.array([0.0, 1.0, 2.2]))
    (True, False)
    """
    bays = np.diff(stations)
    return bool(np.all(np.abs(bays - bays.mean()) <= 0.01 * bays.mean()))


def trapezoid(stations: Array, ordinates: Array) -> float:
    """Integral by the trapezoidal rule, any spacing."""
    return float(np.trapezoid(ordinates, stations))


def simpson_even(stations: Array, ordinates: Array) -> float:
    """Integral over evenly spaced stations by Simpson's first rule; an even number of ordinates takes a trapezoid last.

    Unit: that of station times ordinate. Needs three ordinates or more.
    Source: Basak, Surveying and Levelling, p. 216 (read).

    >>> offsets = np.array([3.5, 4.3, 6.75, 5.25, 7.5, 8.8, 7.9, 6.4, 4.4, 3.25])
    >>> round(simpson_even(15.0 * np.arange(10), offsets), 3)
    813.375
    """
    odd = len(ordinates) - 1 + len(ordinates) % 2
    y = ordinates[:odd]
    bay = (stations[-1] - stations[0]) / (len(stations) - 1)
    whole = bay / 3.0 * float(y[0] + y[-1] + 4.0 * y[1:-1:2].sum() + 2.0 * y[2:-1:2].sum())
    last = 0.5 * bay * float(ordinates[-2] + ordinates[-1]) if odd < len(ordinates) else 0.0
    return float(whole + last)


def spline_integral(stations: Array, ordinates: Array) -> float:
    """Integral of the cubic (not-a-knot) spline through the ordinates, any spacing, three or more (linear rule).

    >>> round(spline_integral(np.array([0.0, 0.5, 2.0, 3.0]), np.array([0.0, 0.25, 4.0, 9.0])), 9)
    9.0
    """
    return float(CubicSpline(stations, ordinates).integrate(stations[0], stations[-1]))


def spline_or_trapezoid(stations: Array, ordinates: Array) -> float:
    """The spline rule, or with two ordinates only the trapezoid."""
    return spline_integral(stations, ordinates) if len(stations) > 2 else trapezoid(stations, ordinates)


def pchip_integral(stations: Array, ordinates: Array) -> float:
    """Integral of the shape-preserving (pchip) cubic through the ordinates, any spacing, two or more.

    >>> round(pchip_integral(np.array([0.0, 1.0, 3.0]), np.array([0.0, 2.0, 6.0])), 9)
    9.0
    """
    return float(PchipInterpolator(stations, ordinates).integrate(stations[0], stations[-1]))
