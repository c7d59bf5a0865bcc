"""Rain that a service gives over several hours: what it says about the single hours inside, and no more."""

from __future__ import annotations

import numpy as np

from boottop.files.weather.table import HOUR_S, Bools, Floats, Ints

ROUNDING_MM = 0.051


def with_totals(rain_mm: Floats, epoch_s: Ints, totals: dict[int, Floats]) -> tuple[Floats, Bools]:
    """Missing hours that follow from totals over `n` hours up to the stamp, with marks; mm, shape (row,).

    When the known hours already make up a total, its missing hours are dry; when all its hours have a row and one is
    missing, that one is the difference; anything else stays missing.

    >>> hours = np.array([0.2, np.nan, np.nan, 0.0])
    >>> with_totals(hours, np.arange(4) * 3600, {3: np.array([np.nan, np.nan, 0.2, np.nan])})[0].tolist()
    [0.2, 0.0, 0.0, 0.0]
    """
    done = rain_mm.copy()
    for hours, series in sorted(totals.items()):
        for row in np.flatnonzero(~np.isnan(series)).tolist():
            first = _first(epoch_s, row, hours)
            span = slice(first, row + 1)
            missing = first + np.flatnonzero(np.isnan(done[span]))
            rest = float(series[row] - np.nansum(done[span]))
            whole = row - first == hours - 1
            if missing.size and -ROUNDING_MM <= rest <= ROUNDING_MM:
                done[missing] = 0.0
            elif missing.size == 1 and rest > 0 and whole:
                done[missing] = rest
    return done, np.isnan(rain_mm) & ~np.isnan(done)


def _first(epoch_s: Ints, row: int, hours: int) -> int:
    """First row of the run that lies within the last `hours` up to `row`."""
    first = row
    while first > 0 and 0 < epoch_s[row] - epoch_s[first - 1] <= (hours - 1) * HOUR_S:
        first -= 1
    return first
