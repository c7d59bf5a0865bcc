"""Fewer facets of the same hull, for a screen: a scan has more than a phone can turn."""

from __future__ import annotations

import numpy as np

from boottop.measure.mesh import Facets, HullMesh

SCREEN_FACETS = 24_000


def thinned(mesh: HullMesh, facets_max: int = SCREEN_FACETS) -> HullMesh:
    """The mesh with at most about `facets_max` facets, corners pulled together on a grid; for looking at only.

    Corners of different zones and sides are never pulled together, so that outlines stay where they are to within the
    grid. Source: vertex clustering, as in Rossignac and Borrel, Multi-resolution 3D approximations, 1993 (from memory).
    """
    size_m = float(np.sqrt(4.0 * mesh.surface.area_m2() / max(facets_max, 1)))
    found = mesh
    while found.surface.count > facets_max and facets_max > 0:
        found = _clustered(mesh, size_m)
        size_m *= 1.25
    return found


def _clustered(mesh: HullMesh, size_m: float) -> HullMesh:
    corners = mesh.facets.ravel()
    cells = np.floor((mesh.vertices_m - mesh.vertices_m.min(axis=0)) / size_m).astype(np.int64)[corners]
    side = 1 + np.sign(mesh.unrolled_m[:, :, 0].sum(axis=1)).astype(np.int64)
    keys = mesh.zone_of.astype(np.int64) * 8 + mesh.part_of
    packed = np.repeat(keys * 3 + side, 3)
    for axis in range(3):
        packed = packed * (int(cells[:, axis].max()) + 1) + cells[:, axis]
    _, first, number = np.unique(packed, return_index=True, return_inverse=True)
    facets = number.reshape(-1, 3).astype(np.int32)
    ordered = np.sort(facets, axis=1)
    keep = (ordered[:, 0] != ordered[:, 1]) & (ordered[:, 1] != ordered[:, 2])
    _, once = np.unique(ordered, axis=0, return_index=True)
    single = np.zeros(len(facets), dtype=np.bool_)
    single[once] = True
    keep &= single
    return HullMesh(
        surface=Facets(vertices_m=mesh.vertices_m[corners[first]], facets=facets[keep]),
        zone_names=mesh.zone_names,
        zone_of=mesh.zone_of[keep],
        part_of=mesh.part_of[keep],
        unrolled_m=mesh.unrolled_m.reshape(-1, 2)[first][facets[keep]],
        closed=False,
    )
