"""Rain of an ensemble forecast: how many members must have rain in an hour before it counts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CAUTION = 0.8


def members_needed(members: int, caution: float) -> int:
    """How many members must have rain for it to count: a fifth of them with a caution of 0.8, one of up to five.

    >>> members_needed(1, 0.8), members_needed(5, 0.8), members_needed(30, 0.8), members_needed(51, 0.8)
    (1, 1, 6, 11)
    """
    return members - int(np.ceil(caution * (members - 1) - 1e-9))


def rain_of_members(rain_mm: Floats, caution: float) -> Floats:
    """Rain that counts, of several members: (member, time) to (time,), the caution quantile of each moment.

    An order statistic, rounded to the wet side; a single member is itself. Moments are taken one by one: showers that
    pass at another hour in every member may close none of them. Source: as the bands of the film clocks (decision
    0024); the share: common practice, no source.

    >>> rain_of_members(np.array([[0.0, 0.0], [0.0, 2.0], [0.0, 1.0]]), 0.8).tolist()
    [0.0, 2.0]
    """
    members = rain_mm.shape[0]
    if members == 1:
        return np.asarray(rain_mm[0])
    place = members - members_needed(members, caution)
    return np.asarray(np.partition(rain_mm, place, axis=0)[place])


def ensemble_note(members: int, caution: float) -> str:
    """For people: what rain of an ensemble counts, and what its other members are for."""
    return (
        f"rain in {members_needed(members, caution)} of {members} forecast members counts as rain; temperature, dew "
        "point and wind are judged by the first member, the others widen the film's times"
    )
