"""Outlines of zones in the flat view, and how far along the boat a share of a zone's area reaches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from boottop.measure.mesh import Array, HullMesh, Ints

TOLERANCE_M = 0.002
SMALLEST_M2 = 1e-3
"""By how much an outline may be straightened, and below which area a loop is not drawn."""


def flat_corners(mesh: HullMesh) -> tuple[Ints, Array, Ints]:
    """The mesh with its corners told apart where the flat view tears them: the vertex of each corner (corner,), its
    flat place as length and girth (corner, 2), and the corners of each facet (facet, 3)."""
    flat = mesh.unrolled_m.reshape(-1, 2)
    keys = np.column_stack((mesh.facets.ravel().astype(np.int64), np.round(flat * 1e4).astype(np.int64)))
    _, first, number = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    corners = number.reshape(-1, 3).astype(np.int32)
    return mesh.facets.ravel()[first], flat[first][:, ::-1], corners


def zone_outlines(mesh: HullMesh) -> Mapping[str, tuple[Array, ...]]:
    """Closed lines round every zone in the flat view, m; each line (point, 2) as (length, girth). A hole (a pad) is a
    line of its own that runs the other way. Zones without facets are left out."""
    _, flat, corners = flat_corners(mesh)
    found: dict[str, tuple[Array, ...]] = {}
    for number, name in enumerate(mesh.zone_names):
        facets = corners[mesh.zone_of == number]
        if len(facets):
            loops = [straightened(flat[loop]) for loop in _loops(_boundary(facets))]
            found[name] = tuple(loop for loop in loops if len(loop) > 2 and _loop_area_m2(loop) > SMALLEST_M2)
    return found


def _boundary(facets: Ints) -> Ints:
    """Edges that only one facet has, in its own direction; shape (edge, 2)."""
    edges = facets[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    low, high = np.sort(edges, axis=1).astype(np.int64).T
    _, place, count = np.unique(low * (int(high.max()) + 1) + high, return_inverse=True, return_counts=True)
    return np.asarray(edges[count[place.ravel()] == 1])


def _loops(edges: Ints) -> Iterator[list[int]]:
    """Edges strung into closed lines of vertex numbers."""
    after: dict[int, list[int]] = {}
    for one, two in edges.tolist():
        after.setdefault(one, []).append(two)
    while after:
        start = next(iter(after))
        line, at = [start], start
        while at in after:
            following = after[at].pop()
            if not after[at]:
                del after[at]
            if following == start:
                break
            line.append(following)
            at = following
        yield line


def _loop_area_m2(line: Array) -> float:
    x, y = line.T
    return abs(0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def straightened(line: Array) -> Array:
    """A closed line without the points that lie within `TOLERANCE_M` of the straight between those kept."""
    keep = np.zeros(len(line), dtype=np.bool_)
    far = int(np.argmax(np.hypot(*(line - line[0]).T)))
    keep[[0, far]] = True
    closed = np.concatenate((line, line[:1]))
    spans = [(0, far), (far, len(line))]
    while spans:
        low, high = spans.pop()
        if high - low < 2:
            continue
        away = distances(closed[low + 1 : high], closed[low], closed[high])
        worst = int(np.argmax(away))
        if away[worst] > TOLERANCE_M:
            middle = low + 1 + worst
            keep[middle] = True
            spans += [(low, middle), (middle, high)]
    return line[keep]


def distances(points: Array, one: Array, two: Array) -> Array:
    """Distances from a stretch of line, m; shape (point,)."""
    along = two - one
    squared = float(along @ along)
    share = np.clip((points - one) @ along / squared, 0.0, 1.0) if squared > 0.0 else np.zeros(len(points))
    return np.asarray(np.hypot(*(points - one - share[:, None] * along).T))


def stations_at(mesh: HullMesh, zone: str, shares: Array) -> Array:
    """How far aft of the zone's fore end one must go in the flat view to have passed shares of its area, m.

    Valid for shares from 0 to 1; facets count where their middle is, spread over their own length.
    """
    chosen = mesh.zone_of == mesh.zone_names.index(zone)
    x = mesh.unrolled_m[chosen, :, 1]
    edges = np.unique(np.concatenate((x.min(axis=1), x.max(axis=1))))
    gone = np.zeros(len(edges))
    low, high = x.min(axis=1), x.max(axis=1)
    width = np.maximum(high - low, 1e-12)
    for area, fore, wide in zip(mesh.areas_m2[chosen], low, width, strict=True):
        gone += area * np.clip((edges - fore) / wide, 0.0, 1.0)
    return np.asarray(np.interp(shares, gone / gone[-1], edges))


def half_girth_at(mesh: HullMesh, station_m: float, side: str) -> float:
    """Girth from the centreline to the edge of the skin at a station of one side, m; 0 off the boat's ends."""
    skin = mesh.part_of == 0
    x = mesh.unrolled_m[skin, :, 1]
    crossed = (x.min(axis=1) <= station_m) & (x.max(axis=1) >= station_m)
    girths = mesh.unrolled_m[skin][crossed][:, :, 0]
    return float((-girths if side == "port" else girths).max(initial=0.0))
