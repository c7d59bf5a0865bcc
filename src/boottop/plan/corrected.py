"""Windows as thumb and thermometer have corrected them: the same correction that the board makes, slot by slot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boottop.windows.windows import Band, Marks, Rule, ZoneWindows

HAIR = 1e-9
"""Taken off before rounding up, so that the last digit of a product of two numbers does not cost a slot."""


def corrected(windows: ZoneWindows, *, factor: float, bias_k: NDArray[np.float64], dew_margin_k: float) -> ZoneWindows:
    """Windows of a film that takes `factor` of the sheet's times, on a surface that is `bias_k` (slot,) warmer.

    The lag of each state is multiplied, not the rate of its clock: so does the board, and a touch test is held
    against the lag. Rain-safe, stands and immersion wait longer for a slow film and never less for a fast one. A
    surface read colder closes slots by its dew margin; one read warmer opens none, for the rule names only the first
    that closes (common practice, no source). Valid for factors 0.5 to 2.
    """
    if factor == 1.0 and not np.any(bias_k):
        return windows
    slow = max(1.0, factor)
    margin_k = windows.margin_k + bias_k
    near = (windows.rule == Rule.OPEN) & (margin_k < dew_margin_k)
    was_open = windows.rule == Rule.OPEN
    return replace(
        windows,
        rule=np.where(near, np.int8(Rule.DEW_MARGIN), windows.rule).astype(np.int8),
        needed=np.where(near, dew_margin_k, windows.needed),
        had=np.where(was_open, margin_k, windows.had),
        surface_c=windows.surface_c + bias_k,
        margin_k=margin_k,
        ready=_slower(windows.ready, factor),
        overcoat_until=_sooner(windows.overcoat_until, factor),
        rain_safe=_slower(windows.rain_safe, slow),
        stands_safe=_slower(windows.stands_safe, slow),
        immersion=_slower(windows.immersion, slow),
        dewy=windows.dewy | (margin_k <= 0.0),
    )


def _slower(band: Band, factor: float) -> Band:
    return Band(**{name: _lag(getattr(band, name), factor, up=True) for name in ("early", "middle", "late")})


def _sooner(band: Band, factor: float) -> Band:
    return Band(**{name: _lag(getattr(band, name), factor, up=False) for name in ("early", "middle", "late")})


def _lag(marks: Marks, factor: float, *, up: bool) -> Marks:
    """Marks with their lag times `factor`, shape (mark,); what lies past the known weather stays there."""
    beyond, mark = marks.size, np.arange(marks.size)
    lag = (marks - mark) * factor
    whole = np.ceil(lag - HAIR) if up else np.floor(lag + HAIR)
    return np.where(marks >= beyond, beyond, np.minimum(mark + whole, beyond)).astype(np.int32)
