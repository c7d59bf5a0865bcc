"""Bodies with a known area as meshes, and small craft with their keels."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from boottop.measure.mesh import Facets
from boottop.measure.mesh_weld import welded, without_slivers
from tests.measure.shapes import Shape

Array = NDArray[np.float64]


def grid_facets(points: Array) -> Facets:
    """A welded surface through a grid of points (row, column, 3); rows go aft, columns up: it faces to starboard."""
    rows, columns = points.shape[:2]
    number = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = number[:-1, :-1].ravel(), number[1:, :-1].ravel(), number[1:, 1:].ravel(), number[:-1, 1:].ravel()
    facets = np.concatenate((np.stack((a, c, b), axis=1), np.stack((a, d, c), axis=1))).astype(np.int32)
    surface = without_slivers(welded(Facets(vertices_m=points.reshape(-1, 3), facets=facets)))[0]
    return surface.kept((surface.vertices_m[surface.facets][:, :, 1] != 0.0).any(axis=1))


def wigley_half(rows: int = 121, columns: int = 61, *, size: tuple[float, float, float] = (10.0, 1.0, 0.625)) -> Facets:
    """Starboard half of the Wigley hull, keel at z = 0, deck edge at the waterline z = T."""
    length, beam, draft = size
    x = length * (0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, rows)))
    z = draft * np.sin(np.linspace(0.0, 0.5 * np.pi, columns))
    grid_x, grid_z = np.meshgrid(x, z, indexing="ij")
    y = 0.5 * beam * (1.0 - (2.0 * (grid_x - 0.5 * length) / length) ** 2) * (1.0 - ((draft - grid_z) / draft) ** 2)
    return grid_facets(np.stack((grid_x, np.maximum(y, 0.0), grid_z), axis=2))


def shape_half(shape: Shape, rows: int = 161, columns: int = 61, *, freeboard_m: float = 0.0) -> Facets:
    """Starboard half of a random small craft; keel line below, waterline at z = 0, topsides above it if wanted."""
    x = shape.length_m * (0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, rows)))
    s = np.linspace(0.0, 1.0, columns) ** 2
    beam, depth = shape.half_beam(x)[:, None], shape.depth(x)[:, None]
    y, z = beam * (1.0 - s[::-1] ** shape.fullness), -depth * s[::-1]
    y[:, 0] = 0.0
    if freeboard_m:
        y, z = np.concatenate((y, beam), axis=1), np.concatenate((z, np.full_like(beam, freeboard_m)), axis=1)
    grid_x = np.broadcast_to(x[:, None], y.shape)
    return grid_facets(np.stack((grid_x, np.maximum(y, 0.0), z), axis=2))


def revolved(radius: Callable[[Array], Array], length: float, *, rows: int = 161, columns: int = 81) -> Facets:
    """Half of a body of revolution about the waterline: the lower half, both sides, as one surface."""
    x = length * (0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, rows)))
    angle = np.linspace(0.0, 0.5 * np.pi, columns)
    r = radius(x)[:, None]
    points = np.stack((np.broadcast_to(x[:, None], (rows, columns)), r * np.sin(angle), -r * np.cos(angle)), axis=2)
    points[:, 0, 1] = 0.0
    return grid_facets(points).with_mirror_image()


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> Facets:
    """A closed box that faces outwards."""
    corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
    facets = [
        (0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1), (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4),
        (1, 5, 7), (1, 7, 3),
    ]  # fmt: skip
    return Facets(vertices_m=corners, facets=np.array(facets, dtype=np.int32))


def together(*parts: Facets) -> Facets:
    """Several surfaces in one list of facets, not joined."""
    starts = np.cumsum([0, *(len(part.vertices_m) for part in parts)])
    return Facets(
        vertices_m=np.concatenate([part.vertices_m for part in parts]),
        facets=np.concatenate([p.facets + np.int32(start) for p, start in zip(parts, starts, strict=False)]),
    )


def sloop() -> Facets:
    """A small cruiser of 10 m with fin keel and spade rudder, both halves, deck edge 0.8 m up; waterline at z = 0."""
    shape = Shape(
        length_m=10.0, half_beam_m=1.55, draft_m=0.5, fullness=2.2, widest=0.55, transom_beam=0.6,
        transom_draft=0.0, stem_draft=0.0, entry=2.0, run=1.9,
    )  # fmt: skip
    hull = shape_half(shape, freeboard_m=0.8).with_mirror_image()
    keel = box((4.2, -0.09, -1.9), (5.8, 0.09, -0.45))
    rudder = box((9.0, -0.04, -1.5), (9.5, 0.04, -0.12))
    return together(hull, keel, rudder)


def stl_bytes(surface: Facets, *, scale: float = 1.0) -> bytes:
    """A surface as a binary STL."""
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    out = np.zeros(surface.count, dtype=record)
    out["corners"] = scale * surface.vertices_m[surface.facets]
    return bytes(80) + int(surface.count).to_bytes(4, "little") + out.tobytes()
