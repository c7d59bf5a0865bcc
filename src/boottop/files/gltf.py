"""The hull as a glTF 2.0 binary file, one node and material a zone: metres, Y up, the bow towards +Z."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boottop import __version__
from boottop.measure.mesh import Array, HullMesh
from boottop.measure.shell_outline import flat_corners

_MAGIC, _VERSION, _JSON, _BIN = 0x46546C67, 2, 0x4E4F534A, 0x004E4942
_FLOAT, _UINT = 5126, 5125
_VERTICES, _INDICES = 34962, 34963


def glb(mesh: HullMesh, colours: Mapping[str, str], *, name: str, extras: Mapping[str, Any]) -> bytes:
    """A .glb with one node, mesh and material for each zone that has facets.

    `colours`: "#rrggbb" in sRGB by zone, grey where none is given. `extras` goes with the asset, each zone's area with
    its node; texture coordinates are the flat view in metres (length, girth). Frame: ours is x aft, y to starboard, z
    up from the waterline; glTF's is +Y up and +Z forward, so X is to port. Source: Khronos, glTF 2.0 specification,
    2021, sections 3.3 (frame), 3.6 (accessors), 4 (GLB) (from memory).
    """
    pack = _Pack()
    vertex, flat_m, all_corners = flat_corners(mesh)
    nodes: list[Any] = []
    meshes: list[Any] = []
    materials: list[Any] = []
    for number, zone in enumerate(mesh.zone_names):
        facets = all_corners[mesh.zone_of == number]
        if not len(facets):
            continue
        used, place = np.unique(facets, return_inverse=True)
        corners = place.reshape(-1, 3).astype(np.uint32)
        points, flat = to_gltf(mesh.vertices_m[vertex[used]]), flat_m[used]
        normals = _smooth_normals(points, corners)
        attributes = {
            "POSITION": pack.add(points, _VERTICES, bounds=True),
            "NORMAL": pack.add(normals, _VERTICES),
            "TEXCOORD_0": pack.add(flat, _VERTICES),
        }
        primitive = {"attributes": attributes, "indices": pack.add(corners, _INDICES), "material": len(materials)}
        extra = {"zone": zone, "drawn_m2": round(mesh.zone_area_m2(zone), 4)}
        nodes.append({"name": zone, "mesh": len(meshes), "extras": extra})
        meshes.append({"name": zone, "primitives": [primitive]})
        materials.append(_material(zone, colours.get(zone, "#8a9296")))
    tree = {
        "asset": {"version": "2.0", "generator": f"boottop {__version__}", "extras": dict(extras)},
        "scene": 0,
        "scenes": [{"name": name, "nodes": list(range(len(nodes)))}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": materials,
        "accessors": pack.accessors,
        "bufferViews": pack.views,
        "buffers": [{"byteLength": len(pack.bytes)}],
    }
    return _container(tree, bytes(pack.bytes))


def _smooth_normals(points: Array, corners: NDArray[np.uint32]) -> Array:
    """Unit normals of the corners, facets weighing by their area; down where a corner has none."""
    one, two, three = (points[corners[:, k]] for k in range(3))
    doubled = np.cross(two - one, three - one)
    normals = np.zeros_like(points)
    for k in range(3):
        np.add.at(normals, corners[:, k], doubled)
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    return np.where(lengths > 1e-12, normals / np.maximum(lengths, 1e-12), np.array([0.0, -1.0, 0.0]))


def to_gltf(points_m: Array) -> Array:
    """Our frame (x aft, y to starboard, z up) in glTF's (X to port, Y up, Z forward), m; shape (point, 3).

    >>> to_gltf(np.array([[1.0, 2.0, 3.0]])).tolist()
    [[-2.0, 3.0, -1.0]]
    """
    return np.stack((-points_m[:, 1], points_m[:, 2], -points_m[:, 0]), axis=1)


def _material(name: str, colour: str) -> dict[str, Any]:
    """A matt paint; colours of a material are linear, colours as people write them are not."""
    srgb = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
    linear = [round(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4, 5) for c in srgb]
    return {
        "name": name,
        "doubleSided": True,
        "pbrMetallicRoughness": {"baseColorFactor": [*linear, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.85},
    }


class _Pack:
    """The binary part: arrays one after the other, each on a border of four bytes."""

    def __init__(self) -> None:
        self.bytes = bytearray()
        self.views: list[dict[str, int]] = []
        self.accessors: list[dict[str, Any]] = []

    def add(self, values: Array | NDArray[np.uint32], target: int, *, bounds: bool = False) -> int:
        """Number of the accessor for an array, (n, 2) or (n, 3) floats or the corners of facets."""
        whole = values.astype("<u4").ravel() if target == _INDICES else values.astype("<f4")
        data = whole.tobytes()
        self.views.append({"buffer": 0, "byteOffset": len(self.bytes), "byteLength": len(data), "target": target})
        self.bytes += data + b"\0" * (-len(data) % 4)
        kind = "SCALAR" if target == _INDICES else f"VEC{whole.shape[1]}"
        accessor: dict[str, Any] = {
            "bufferView": len(self.views) - 1,
            "componentType": _UINT if target == _INDICES else _FLOAT,
            "count": len(whole),
            "type": kind,
        }
        if bounds:
            accessor |= {"min": whole.min(axis=0).tolist(), "max": whole.max(axis=0).tolist()}
        self.accessors.append(accessor)
        return len(self.accessors) - 1


def _container(tree: Mapping[str, Any], binary: bytes) -> bytes:
    text = json.dumps(tree, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    binary += b"\0" * (-len(binary) % 4)
    chunks = struct.pack("<II", len(text), _JSON) + text + struct.pack("<II", len(binary), _BIN) + binary
    return struct.pack("<III", _MAGIC, _VERSION, 12 + len(chunks)) + chunks
