"""Which way each part of the bottom looks, what it sees, and what it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import cos, radians
from typing import Literal

from boottop.measure.hull import Layer, Patch, Side, View
from boottop.measure.inputs import Appendage, HullMeasure
from boottop.measure.materials import MATERIALS

HalfSide = Literal["port", "starboard"]
Group = Literal["hull", "end", "keel", "sole", "gear"]

FROM_BOW_DEG: Mapping[Side, float] = {"port": 270.0, "starboard": 90.0, "centre": 180.0}
VIEW_TILTS_DEG: Mapping[View, float] = {"topsides": 93.0, "bilge": 145.0, "bottom": 167.0}
"""Tilts of the rows of the view-factor table; the nearest row is used (the fin keel has its own)."""
USUAL_BILGE_SHARE = 0.4
SKIN_M = 0.005
"""Skin of a moulded rudder or fin over its foam: common practice, no source."""
SOLID_FAMILIES = frozenset({"steel", "aluminium", "lead", "bronze", "stainless"})


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A patch under construction and the group that deductions look for."""

    group: Group
    patch: Patch

    def scaled(self, factor: float) -> Piece:
        return replace(self, patch=replace(self.patch, area_m2=self.patch.area_m2 * factor))


def view_of(tilt_deg: float) -> View:
    """Row of the view-factor table nearest in tilt.

    >>> view_of(95.0), view_of(125.0), view_of(160.0)
    ('topsides', 'bilge', 'bottom')
    """
    return min(VIEW_TILTS_DEG, key=lambda view: abs(VIEW_TILTS_DEG[view] - tilt_deg))


def bilge_tilt_deg(deadrise_deg: float) -> float:
    """Tilt of the bilge, degrees: halfway from the bottom (180 less the deadrise) to the vertical. Source: ours.

    >>> bilge_tilt_deg(20.0)
    125.0
    """
    return 135.0 - deadrise_deg / 2.0


def bilge_share(deadrise_deg: float, flatness_ratio: float | None) -> float:
    """Share of a side that belongs to the bilge, the rest being bottom, dimensionless.

    Two straight panels, the bottom at the deadrise and the bilge halfway from it to the vertical, that have together
    the boat's own ratio of half-beam to half-girth (`flatness_ratio`, waterplane over wetted area):
    share = (cos d - ratio) / (cos d - cos((90 + d)/2)), kept within 0.1 to 0.8; `USUAL_BILGE_SHARE` without beams.
    Source: ours (geometry); the usual share is common practice, no source.

    >>> round(bilge_share(20.0, 0.80), 3)
    0.382
    """
    if flatness_ratio is None:
        return USUAL_BILGE_SHARE
    bottom, bilge = cos(radians(deadrise_deg)), cos(radians(45.0 + deadrise_deg / 2.0))
    return min(0.8, max(0.1, (bottom - flatness_ratio) / (bottom - bilge)))


def side_pieces(
    measure: HullMeasure, side: Side, *, area_m2: float, ends_m2: tuple[float, float], flatness_ratio: float | None
) -> list[Piece]:
    """Bilge, bottom and flat ends of one side; the tilts follow from the deadrise."""
    share = bilge_share(measure.deadrise_deg, flatness_ratio)
    rows: list[tuple[Group, str, float, float, float]] = [
        ("hull", "bilge", share * area_m2, FROM_BOW_DEG[side], bilge_tilt_deg(measure.deadrise_deg)),
        ("hull", "bottom", (1.0 - share) * area_m2, FROM_BOW_DEG[side], 180.0 - measure.deadrise_deg),
        ("end", "bow face", ends_m2[0], 0.0, 90.0),
        ("end", "transom", ends_m2[1], 180.0, 90.0),
    ]
    return [
        Piece(
            group=group,
            patch=Patch(
                name=name, area_m2=area, from_bow_deg=bow, tilt_deg=tilt, view=view_of(tilt), layers=measure.laminate
            ),
        )
        for group, name, area, bow, tilt in rows
        if area > 0.0
    ]


def hull_piece(measure: HullMeasure, name: str, side: Side, *, area_m2: float, tilt_deg: float) -> Piece:
    """A piece of plain hull on one side (a pad, a named zone)."""
    return Piece(
        group="hull",
        patch=Patch(
            name=name if side == "centre" else f"{name}, {side}",
            area_m2=area_m2,
            from_bow_deg=FROM_BOW_DEG[side],
            tilt_deg=tilt_deg,
            view=view_of(tilt_deg),
            layers=measure.laminate,
        ),
    )


def material_of(appendage: Appendage, measure: HullMeasure) -> str:
    """Its material; a fin keel or bulb left at the default "grp" is of the boat's keel material."""
    keel = appendage.kind in ("fin_keel", "bulb") and appendage.material == "grp"
    return measure.keel_material if keel else appendage.material


def layers_of(material: str, thickness_m: float) -> tuple[Layer, ...]:
    """Layers of an appendage from one face inwards: metal and timber solid, moulded ones a skin over foam.

    Metal has the whole thickness (the far face is the same metal); source: common practice, no source.
    """
    if MATERIALS[material].family in SOLID_FAMILIES or thickness_m <= 2 * SKIN_M:
        return (Layer(material=material, thickness_m=max(thickness_m, 0.001)),)
    if MATERIALS[material].family == "grp":
        core = max(0.5 * thickness_m - SKIN_M, 0.001)
        return (Layer(material=material, thickness_m=SKIN_M), Layer(material="foam", thickness_m=core))
    return (Layer(material=material, thickness_m=0.5 * thickness_m),)


def appendage_pieces(
    appendage: Appendage, measure: HullMeasure, *, faces_m2: float, sole_m2: float
) -> dict[HalfSide, list[Piece]]:
    """Pieces that look to port and to starboard, each with half of what looks down.

    Foils, shafts and bulbs stand in the shade of the hull like a fin keel ("keel" row); a tunnel's wall sees no sky.
    Gear is named by its material, so that alike pieces become one patch; keels and bulbs keep their own names.
    """
    material = material_of(appendage, measure)
    layers = layers_of(material, appendage.thickness_m)
    keel = appendage.kind in ("fin_keel", "bulb")
    tunnel = appendage.kind == "thruster_tunnel"
    name = appendage.name if keel or tunnel else f"{material} gear"
    face: tuple[float, View] = (180.0, "bottom") if tunnel else (90.0, "keel")
    made: dict[HalfSide, list[Piece]] = {}
    sides: tuple[HalfSide, ...] = ("port", "starboard")
    for side in sides:
        rows: list[tuple[Group, str, float, float, View]] = [
            ("keel" if keel else "gear", f"{name}, {side}", faces_m2, *face),
            ("sole" if keel else "gear", f"{name}, ends", sole_m2, 180.0, "bottom"),
        ]
        made[side] = [
            Piece(
                group=group,
                patch=Patch(
                    name=name,
                    area_m2=0.5 * area,
                    from_bow_deg=FROM_BOW_DEG[side],
                    tilt_deg=lean,
                    view=row,
                    layers=layers,
                ),
            )
            for group, name, area, lean, row in rows
            if area > 0.0
        ]
    return made
