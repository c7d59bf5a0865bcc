"""From facets to the patches that the hull climate reckons with: which way each part of the bottom looks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from boottop.measure.hull import Layer, Patch, View
from boottop.measure.mesh import Array, Bools, HullMesh, Part
from boottop.measure.patches import Piece, layers_of, view_of

SMALL_SHARE = 0.04
BOW_SECTOR_DEG, BEAM_SECTOR_DEG = 75.0, 105.0
"""Groups smaller than 4 % of their zone join the nearest; facets that look within 75 deg of the bow or the stern form
groups of their own. Source: ours."""
HULL_NAMES = ("topsides", "bilge", "bottom")
_SECTORS = ("facing forward", "facing abeam", "facing aft")


def from_bow_deg(normals: Array) -> Array:
    """Azimuth of outward normals clockwise from the bow, degrees 0 to 360; shape (facet,).

    >>> from_bow_deg(np.array([[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0]])).tolist()
    [0.0, 90.0, 270.0]
    """
    return np.asarray(np.degrees(np.arctan2(normals[:, 1], -normals[:, 0])) % 360.0)


def tilt_deg(normals: Array) -> Array:
    """Tilt of outward normals, degrees: 0 up, 90 level, 180 down; shape (facet,)."""
    return np.asarray(np.degrees(np.arccos(np.clip(normals[:, 2], -1.0, 1.0))))


def facing_pieces(mesh: HullMesh, zone: str, *, laminate: tuple[Layer, ...], keel_material: str) -> list[Piece]:
    """Pieces of one zone: every group of facets as one patch that looks where its facets look on average.

    Plain hull by the row of the view-factor table nearest its tilt and by thirds of the compass on each side; flat
    ends, keel sides, sole and rudder each by itself. Areas sum to the zone's. A group's mean direction is that of its
    summed area vectors, so a round group is reckoned as the flat sheet that shades like it.
    """
    pieces = [*_hull(mesh, zone, laminate)]
    for part, name, view in (("end", "end", None), ("keel", "keel", "keel"), ("sole", "keel sole", "bottom")):
        pieces += _others(mesh, zone, (part, name, view), laminate=laminate, keel_material=keel_material)  # type: ignore[arg-type]
    gear = ("gear", "rudder", "keel")
    pieces += _others(mesh, zone, gear, laminate=laminate, keel_material=laminate[0].material)  # type: ignore[arg-type]
    return pieces


def _hull(mesh: HullMesh, zone: str, laminate: tuple[Layer, ...]) -> Iterator[Piece]:
    chosen = mesh.chosen(zone, "hull")
    if not chosen.any():
        return
    normals, areas = mesh.normals[chosen], mesh.areas_m2[chosen]
    starboard = normals[:, 1] > 0.0
    off_bow = np.where(starboard, from_bow_deg(normals), 360.0 - from_bow_deg(normals))
    tilts = tilt_deg(normals)
    row = np.digitize(tilts, (119.0, 156.0))
    sector = np.where(row == 2, 1, np.digitize(off_bow, (BOW_SECTOR_DEG, BEAM_SECTOR_DEG)))
    group = _joined(3 * row + sector, areas)
    for number in np.unique(group).tolist():
        here = group == number
        name = HULL_NAMES[number // 3]
        name = name if number // 3 == 2 else f"{name}, {_SECTORS[number % 3]}"
        yield _piece("hull", name, normals[here], areas=areas[here], laminate=laminate)


def _joined(group: NDArray[np.int64], areas: Array) -> NDArray[np.int64]:
    """Groups of less than `SMALL_SHARE` joined to the largest of the same row, else of all."""
    area = np.bincount(group, weights=areas, minlength=9)
    target = np.arange(9)
    for number in np.flatnonzero((area > 0.0) & (area < SMALL_SHARE * area.sum())).tolist():
        row = area[3 * (number // 3) : 3 * (number // 3) + 3]
        best = 3 * (number // 3) + int(np.argmax(row))
        target[number] = best if best != number else int(np.argmax(area))
    return np.asarray(target[group])


def _piece(
    part: Part, name: str, normals: Array, *, areas: Array, laminate: tuple[Layer, ...], view: View | None = None
) -> Piece:
    total = float(areas.sum())
    mean = (normals * areas[:, None]).sum(axis=0)
    size = float(np.linalg.norm(mean))
    mean = mean / size if size > 1e-9 * total else np.array([0.0, 0.0, -1.0])
    tilt = float(tilt_deg(mean[None])[0])
    return Piece(
        group=part,
        patch=Patch(
            name=name,
            area_m2=total,
            from_bow_deg=float(from_bow_deg(mean[None])[0]),
            tilt_deg=tilt,
            view=view or view_of(tilt),
            layers=laminate,
        ),
    )


def _others(
    mesh: HullMesh, zone: str, what: tuple[Part, str, View | None], *, laminate: tuple[Layer, ...], keel_material: str
) -> Iterator[Piece]:
    """Patches of one other part of a zone: fore and aft for flat ends, port and starboard for the rest."""
    part, name, view = what
    chosen = mesh.chosen(zone, part)
    if not chosen.any():
        return
    normals, areas = mesh.normals[chosen], mesh.areas_m2[chosen]
    layers = laminate if part == "end" else layers_of(keel_material, _thickness_m(mesh, chosen))
    first: Bools = np.asarray(normals[:, 0] < 0.0 if part == "end" else mesh.surface.centres_m[chosen, 1] > 0.0)
    names = ("bow face", "transom") if part == "end" else (f"{name}, starboard", f"{name}, port")
    for label, here in zip(names, (first, np.logical_not(first)), strict=True):
        if here.any():
            yield _piece(part, label, normals[here], areas=areas[here], laminate=layers, view=view)


def _thickness_m(mesh: HullMesh, chosen: Bools) -> float:
    """Mean thickness across the boat of what the facets enclose, m: twice their mean distance from the centreplane."""
    areas = mesh.areas_m2[chosen]
    return max(2.0 * float((np.abs(mesh.surface.centres_m[chosen, 1]) * areas).sum() / areas.sum()), 0.002)
