"""Meshes of hulls from the disk: STL, OBJ, PLY and GLB through trimesh, 3MF streamed, behind bounds."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from boottop.base.errors import InputError
from boottop.files.hull_3mf import read_3mf
from boottop.files.hull_guard import MOST_FACETS, check, is_text_stl, kind_of, read_bytes, refused, too_many
from boottop.measure.mesh import Facets
from boottop.measure.mesh_frame import Axis, Unit
from boottop.measure.mesh_weld import welded


@dataclass(frozen=True, kw_only=True, eq=False)
class RawHull:
    """A mesh as the file has it: its own units and axes. `unit` and `up` where the file or its kind says them."""

    kind: str
    surface: Facets
    unit: Unit | None
    up: Axis | None
    parts: int
    notes: tuple[str, ...] = ()


def load_mesh(path: Path) -> RawHull:
    """The mesh in a file; InputError when it is missing, of another kind, cut short, too large, or not finite.

    Nothing but this file is opened: materials, pictures and other files that it names are left alone.
    """
    return read_mesh(read_bytes(path), name=str(path))


def read_mesh(content: bytes, *, name: str) -> RawHull:
    """The same from bytes at hand."""
    kind = kind_of(content, name=name)
    check(content, kind, where=name)
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            parts, unit, skipped = _parts(content, kind)
            surface = _gathered(parts)
    except InputError:
        raise
    except Exception as error:  # a library under attack raises whatever it likes; the person gets one clear sentence
        found = f"{kind.upper()} inside, but it cannot be read ({type(error).__name__})"
        raise refused(name, found, advice="It was cut short or garbled: export it again.") from None
    _check_numbers(surface, name)
    return RawHull(
        kind=kind,
        surface=welded(surface),
        unit=unit,
        up="+y" if kind == "glb" else "+z" if kind == "3mf" else None,
        parts=len(parts),
        notes=(f"{skipped} lines or point clouds in the file were left out.",) if skipped else (),
    )


_Part = tuple[Any, Any]


def _parts(content: bytes, kind: str) -> tuple[list[_Part], Unit | None, int]:
    if kind == "stl":
        return _stl(content)
    if kind == "3mf":
        parts, unit = read_3mf(content)
        return parts, unit, 0
    return _scene(content, kind)


def _stl(content: bytes) -> tuple[list[_Part], None, int]:
    """Corners and facets of every solid of an STL."""
    from trimesh.exchange.stl import load_stl

    found = load_stl(io.BytesIO(_without_tail(content)))
    solids = list(found["geometry"].values()) if "geometry" in found else [found]
    return [(solid["vertices"], solid["faces"]) for solid in solids], None, 0


def _scene(content: bytes, kind: str) -> tuple[list[_Part], Unit | None, int]:
    """Corners and facets of every mesh of a scene where its place puts it, the unit, and what was no mesh."""
    import trimesh

    scene = trimesh.load_scene(
        io.BytesIO(content), file_type=kind, process=False, skip_materials=True, validate=False, resolver=None
    )
    parts, skipped = [], 0
    for node in scene.graph.nodes_geometry:
        matrix, name = scene.graph[node]
        part = scene.geometry[name]
        faces = np.asarray(getattr(part, "faces", ()))
        if faces.ndim != 2 or faces.shape[1:] != (3,):
            skipped += 1
            continue
        points = np.asarray(part.vertices, dtype=np.float64)
        if np.any(matrix != np.eye(4)):
            points = points @ matrix[:3, :3].T + matrix[:3, 3]
            faces = faces[:, ::-1] if np.linalg.det(matrix[:3, :3]) < 0.0 else faces
        parts.append((points, faces))
        if sum(len(faces) for _, faces in parts) > MOST_FACETS:
            raise too_many(kind, sum(len(faces) for _, faces in parts))
    return parts, "m" if kind == "glb" else None, skipped


def _without_tail(content: bytes) -> bytes:
    """A binary STL without what some programs write behind its facets."""
    end = 84 + 50 * int.from_bytes(content[80:84], "little")
    return content if is_text_stl(content) or end >= len(content) else content[:end]


def _gathered(parts: list[_Part]) -> Facets:
    """All parts in one list of facets."""
    if not parts:
        raise ValueError("no facets")
    vertices, facets, offset = [], [], 0
    for points, faces in parts:
        _check_indices(faces, len(points))
        vertices.append(np.asarray(points, dtype=np.float64))
        facets.append(np.asarray(faces).astype(np.int32) + np.int32(offset))
        offset += len(points)
    if len(facets) == 1:
        return Facets(vertices_m=vertices[0], facets=facets[0])
    return Facets(vertices_m=np.concatenate(vertices), facets=np.concatenate(facets))


def _check_indices(found: Any, count: int) -> None:
    if len(found) and (found.min() < 0 or found.max() >= count):
        raise ValueError("a facet names a corner that is not there")


def _check_numbers(surface: Facets, name: str) -> None:
    if surface.count < 4:
        raise refused(name, f"{surface.count} facets", allowed="a hull", advice="Export the hull's surface as a mesh.")
    bad = int(np.count_nonzero(~np.isfinite(surface.vertices_m).all(axis=1)))
    if bad:
        raise refused(
            name, f"{bad} corners that are no number", allowed="finite coordinates", advice="Export it again."
        )
    if float(np.abs(surface.vertices_m).max()) > 1e9:
        raise refused(
            name, "coordinates over a thousand million", allowed="a boat", advice="Move the hull near the origin."
        )
