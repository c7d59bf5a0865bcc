"""A tide station's constants, and which wave each name of a constituent means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Constituent:
    """One wave of the tide at a station: `phase_deg` is its lag behind the argument at Greenwich, in UTC."""

    name: str
    amplitude_m: float
    phase_deg: float


@dataclass(frozen=True, kw_only=True)
class TideStation:
    """What a station file says. `datums_m`: levels above one common zero, "MSL" (mean sea level) always among them.

    `chart_datum` is the key of `datums_m` that the chart's depths count from, "" where the file names none.
    `epoch`: the years the levels were worked out over. `remark`: what the file itself warns of.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    constituents: tuple[Constituent, ...]
    datums_m: Mapping[str, float]
    chart_datum: str
    source: str
    licence: str
    epoch: str = ""
    remark: str = ""


@dataclass(frozen=True, kw_only=True)
class Wave:
    """An astronomical argument written out. `doodson`: multiples of tau, s, h, p, N' and p' (lunar time from the
    moon's lower transit; mean longitudes of moon, sun, lunar perigee, minus the node, solar perigee).

    `quarters`: quarter turns added. `nodal`: whose nodal corrections it takes, with multiples: factors multiply,
    angles add.
    """

    doodson: tuple[int, int, int, int, int, int]
    quarters: int = 0
    nodal: tuple[tuple[str, int], ...] = ()


OTHER_NAMES: Mapping[str, str] = {
    "M1": "NO1", "RHO": "RHO1", "LAM2": "LDA2", "LAMBDA2": "LDA2", "EP2": "EPS2", "SGM": "SIG1",
}  # fmt: skip
"""Names in station files that utide calls otherwise; speeds and phases agree."""

WAVES: Mapping[str, Wave] = {
    "SA": Wave(doodson=(0, 0, 1, 0, 0, 0)),
    "S1": Wave(doodson=(1, 1, -1, 0, 0, 0), quarters=2),
    "MA2": Wave(doodson=(2, 0, -1, 0, 0, 0), nodal=(("M2", 1),)),
    "MB2": Wave(doodson=(2, 0, 1, 0, 0, 0), nodal=(("M2", 1),)),
    "MTM": Wave(doodson=(0, 3, 0, -1, 0, 0), nodal=(("MM", 1),)),
    "MSQM": Wave(doodson=(0, 4, -2, 0, 0, 0), nodal=(("M2", -1),)),
    "S3": Wave(doodson=(3, 3, -3, 0, 0, 0), quarters=2),
    "2MK3": Wave(doodson=(3, -1, 0, 0, 0, 0), quarters=-1, nodal=(("M2", 2), ("K1", -1))),
}
"""Arguments and nodal corrections by the list of standard constituents of the International Hydrographic Organization
(TWCWG, 8 May 2017; read in a transcription), where utide has none or another one.

Another one: utide counts SA and S1 with the solar perigee, published constants do not. Taken for SA, utide's argument
would put the high of the year's cycle 77 days late.
"""


def utide_name(name: str) -> str:
    """What utide calls a constituent.

    >>> utide_name("LAM2"), utide_name("M2")
    ('LDA2', 'M2')
    """
    return OTHER_NAMES.get(name, name)
