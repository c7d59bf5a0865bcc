"""What a person measures on the hard, in SI. Filled by the job sheet reader, used by measure.build."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from boottop.measure.hull import Layer, Side
from boottop.measure.mesh import MeshHull
from boottop.measure.spots import Spot

AppendageKind = Literal["fin_keel", "bulb", "rudder", "skeg", "strut", "shaft", "fin", "thruster_tunnel"]
Hiding = Literal["pads", "blocks", "slings", "anode", "transducer", "other"]
Form = Literal["yacht", "motor", "ship"]


@dataclass(frozen=True, kw_only=True)
class Girth:
    """Half-girth taped from the waterline down to the centreline (or keel root) at one station.

    `station_m` counts from the fore end of the waterline aft. `half_beam_m` is the half breadth at the
    waterline there, needed for the obliquity correction; None where it was not measured.
    """

    station_m: float
    half_girth_m: float
    half_beam_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Girths:
    """Taped half-girths along a waterline `waterline_length_m` long; `tape_sd_m` is the doubt of one reading.

    `to_keel_root`: True where the tape stopped at the fin keel's root instead of the centreline, so that the hull
    under the keel is not in the girths and must not be taken off again.
    """

    waterline_length_m: float
    readings: tuple[Girth, ...]
    tape_sd_m: float = 0.01
    to_keel_root: bool = False


@dataclass(frozen=True, kw_only=True)
class Offsets:
    """Half-breadths: rows are stations, columns waterlines from the bottom up; None where there is no hull.

    `draft_m` is where the table is cut, measured from the zero of `waterlines_m`. A designer's table also has heights:
    `keel_m` (one a station) where the bottom meets the centreline, and `heights_m` (one row a station) where it passes
    the buttocks `buttocks_m` out from the centreline; they show the bottom that waterlines pass over.
    """

    stations_m: tuple[float, ...]
    waterlines_m: tuple[float, ...]
    half_breadths_m: tuple[tuple[float | None, ...], ...]
    draft_m: float
    keel_m: tuple[float | None, ...] = ()
    buttocks_m: tuple[float, ...] = ()
    heights_m: tuple[tuple[float | None, ...], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Dimensions:
    """Main dimensions of the bare (canoe) body at her waterline; coefficients None take the form's usual value."""

    form: Form
    waterline_length_m: float
    waterline_beam_m: float
    body_draft_m: float
    displaced_m3: float
    midship_coefficient: float | None = None
    waterplane_coefficient: float | None = None


@dataclass(frozen=True, kw_only=True)
class Appendage:
    """One thing under the hull (or `count` alike). Lengths that a kind does not use stay 0.

    fin_keel, skeg, rudder, fin: `length_m` mean chord, `height_m` span, `thickness_m`; wetted on both sides.
    bulb: `length_m`, `height_m`, `thickness_m` as an ellipsoid. strut: like fin. shaft: `length_m`, `thickness_m`
    its diameter. thruster_tunnel: `length_m`, `thickness_m` its diameter (wall wetted, both mouths taken off).
    `zone` names the zone it is coated with: "sides" splits it evenly over port and starboard; "running gear" or
    any zone that the sheet names. A fin_keel or bulb whose `material` is left at "grp" is of the boat's keel material.
    """

    name: str
    kind: AppendageKind
    length_m: float
    height_m: float = 0.0
    thickness_m: float = 0.0
    count: int = 1
    side: Side = "centre"
    zone: str = "running gear"
    material: str = "grp"


@dataclass(frozen=True, kw_only=True)
class Hidden:
    """Something that covers hull or is not coated: stand pads, keel blocks, anodes, transducers.

    `area_each_m2` times `count`. Pads become pad zones by `stand_set`; blocks become the keel sole; slings a zone of
    their own; the rest is left bare. `side` "centre" splits evenly over both sides. `spots`: where each one stands, if
    that was measured.
    """

    name: str
    kind: Hiding
    area_each_m2: float
    count: int = 1
    side: Side = "centre"
    stand_set: int = 1
    zone: str | None = None
    spots: tuple[Spot, ...] = ()


@dataclass(frozen=True, kw_only=True)
class NamedZone:
    """A zone of the sheet's own: a share of one side taken out of it (for instance "boot top, port")."""

    name: str
    side: Side
    area_m2: float
    tilt_deg: float = 90.0


@dataclass(frozen=True, kw_only=True)
class HullMeasure:
    """Everything measured on one boat. Exactly one of girths, offsets, dimensions, mesh is given."""

    laminate: tuple[Layer, ...]
    substrate: str
    keel_material: str
    deadrise_deg: float
    girths: Girths | None = None
    offsets: Offsets | None = None
    dimensions: Dimensions | None = None
    mesh: MeshHull | None = None
    appendages: tuple[Appendage, ...] = ()
    hidden: tuple[Hidden, ...] = ()
    named_zones: tuple[NamedZone, ...] = ()
    sole_coated: bool = False
