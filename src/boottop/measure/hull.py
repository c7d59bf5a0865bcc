"""What the other rooms know of the hull: zones that are coated as one, and the patches they are made of."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Side = Literal["port", "starboard", "centre"]
ZoneKind = Literal["side", "gear", "pads", "sole", "named"]
View = Literal["topsides", "bilge", "bottom", "keel", "open"]


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer of the laminate or plank, counted from the outside."""

    material: str
    thickness_m: float


@dataclass(frozen=True, kw_only=True)
class Patch:
    """A part of a zone that sees one piece of sky.

    `from_bow_deg`: azimuth of the outward normal, clockwise from the bow (starboard 90, port 270).
    `tilt_deg`: 0 faces up, 90 vertical, 180 faces down. `view` picks the row of the 2-D view-factor table.
    """

    name: str
    area_m2: float
    from_bow_deg: float
    tilt_deg: float
    view: View
    layers: tuple[Layer, ...]


@dataclass(frozen=True, kw_only=True)
class Zone:
    """A part of the underwater hull that is coated as one; its patches' areas sum to `area_m2`.

    `stand_set` is 1, 2, ... for pad zones (the set of stands that hides it) and None elsewhere.
    `coated` is False for a zone that stays bare this time (the keel sole on its blocks).
    `substrate` is the surface under the coating, a name of measure.materials.MATERIALS.
    """

    name: str
    kind: ZoneKind
    side: Side
    area_m2: float
    area_sd_m2: float
    substrate: str
    patches: tuple[Patch, ...]
    stand_set: int | None = None
    coated: bool = True
    access: str = ""


@dataclass(frozen=True, kw_only=True)
class Hull:
    """All zones of one boat. Zone areas sum to `total_m2`; `total_sd_m2` allows for errors they share."""

    zones: tuple[Zone, ...]
    total_m2: float
    total_sd_m2: float
    method: str
    notes: tuple[str, ...] = field(default=())
