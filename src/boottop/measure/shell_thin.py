"""Fewer facets of the same hull, for a screen: a scan has more than a phone can turn."""

from __future__ import annotations

import numpy as np

from boottop.measure.mesh import Bools, Facets, HullMesh

SCREEN_FACETS = 24_000
FINER, COARSER = 0.8, 1.3
"""First size of the grid over the edge of a facet of the size wanted, and the step by which it grows: ours."""


def thinned(mesh: HullMesh, facets_max: int = SCREEN_FACETS) -> HullMesh:
    """The mesh with at most `facets_max` facets where that can be had; for looking at only, never for an area.

    Corners that lie within one cell of a grid are pulled together, but none on a border: the waterline, and where
    zones, sides and parts meet, so outlines stay as they were. A mesh with more borders than that keeps more facets.
    Source: vertex clustering, as in Rossignac and Borrel, Multi-resolution 3D approximations, 1993 (from memory).
    """
    if mesh.surface.count <= facets_max:
        return mesh
    kept = _borders(mesh)
    size_m = FINER * float(np.sqrt(2.0 * mesh.surface.area_m2() / max(facets_max, 1)))
    found, before = _clustered(mesh, kept, size_m), mesh.surface.count
    while facets_max < found.surface.count < before:
        before = found.surface.count
        size_m *= COARSER
        found = _clustered(mesh, kept, size_m)
    return found


def _borders(mesh: HullMesh) -> Bools:
    """Vertices where zones or parts meet, or where the surface ends; shape (vertex,)."""
    count = len(mesh.vertices_m)
    kind = mesh.zone_of.astype(np.int64) * 8 + mesh.part_of
    low, high = np.full(count, np.iinfo(np.int64).max), np.full(count, -1)
    for corner in range(3):
        np.minimum.at(low, mesh.facets[:, corner], kind)
        np.maximum.at(high, mesh.facets[:, corner], kind)
    edges = np.sort(mesh.facets[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1).astype(np.int64)
    keys, times = np.unique(edges[:, 0] * count + edges[:, 1], return_counts=True)
    border = low != high
    border[np.concatenate(np.divmod(keys[times == 1], count))] = True
    return np.asarray(border)


def _clustered(mesh: HullMesh, kept: Bools, size_m: float) -> HullMesh:
    corners = mesh.facets.ravel().astype(np.int64)
    cells = np.floor((mesh.vertices_m - mesh.vertices_m.min(axis=0)) / size_m).astype(np.int64)
    spans = cells.max(axis=0) + 1
    cell = (cells[:, 0] * spans[1] + cells[:, 1]) * spans[2] + cells[:, 2]
    kind = np.repeat(mesh.zone_of.astype(np.int64) * 8 + mesh.part_of, 3)
    pulled = len(kept) + cell[corners] * (int(kind.max()) + 1) + kind
    own = np.where(kept[corners], corners, pulled)
    side = 1 + np.sign(mesh.unrolled_m[:, :, 0].sum(axis=1)).astype(np.int64)
    _, first, number = np.unique(own * 3 + np.repeat(side, 3), return_index=True, return_inverse=True)
    facets = number.reshape(-1, 3).astype(np.int32)
    whole = np.flatnonzero(
        (facets[:, 0] != facets[:, 1]) & (facets[:, 1] != facets[:, 2]) & (facets[:, 2] != facets[:, 0])
    )
    _, once = np.unique(np.sort(facets[whole], axis=1), axis=0, return_index=True)
    keep = whole[np.sort(once)]
    return HullMesh(
        surface=Facets(vertices_m=mesh.vertices_m[corners[first]], facets=facets[keep]),
        zone_names=mesh.zone_names,
        zone_of=mesh.zone_of[keep],
        part_of=mesh.part_of[keep],
        unrolled_m=mesh.unrolled_m.reshape(-1, 2)[first][facets[keep]],
        closed=False,
    )
