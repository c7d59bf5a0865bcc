"""Meshes of a 3MF package, read as a stream: a million facets without a tree of them in memory."""

from __future__ import annotations

import io
import zipfile
from array import array
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

import numpy as np
from numpy.typing import NDArray

from boottop.files.hull_guard import MOST_FACETS, too_many
from boottop.measure.mesh import Array
from boottop.measure.mesh_frame import Unit

UNITS: dict[str, Unit] = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in", "foot": "ft"}
Key = tuple[str, str]
Part = tuple[Array, NDArray[np.int32]]


@dataclass(kw_only=True)
class _Object:
    corners: array[float] = field(default_factory=lambda: array("d"))
    facets: array[int] = field(default_factory=lambda: array("i"))
    components: list[tuple[Key, Array]] = field(default_factory=list)


@dataclass(kw_only=True)
class _Models:
    """Everything read from the models of a package."""

    objects: dict[Key, _Object] = field(default_factory=dict)
    items: list[tuple[Key, Array]] = field(default_factory=list)
    unit: str = "millimeter"

    def read(self, name: str, text: bytes) -> None:
        """Read one model file; raises ValueError or expat.ExpatError for what is none."""
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        current = _Object()

        def start(tag: str, a: dict[str, str]) -> None:
            nonlocal current
            what = tag.rpartition(" ")[2]
            if what == "vertex":
                current.corners.extend((float(a["x"]), float(a["y"]), float(a["z"])))
            elif what == "triangle":
                current.facets.extend((int(a["v1"]), int(a["v2"]), int(a["v3"])))
            elif what == "object":
                current = self.objects.setdefault((name, a["id"]), _Object())
            elif what in ("component", "item"):
                place = (_key(a, name), _matrix(a.get("transform")))
                (current.components if what == "component" else self.items).append(place)
            elif what == "model":
                self.unit = a.get("unit", self.unit)

        parser.StartElementHandler = start
        parser.Parse(text, True)

    def parts(self) -> Iterator[Part]:
        """Every mesh where the build and the components put it; bounds on their number have been checked."""
        items = self.items or [(key, np.eye(4)) for key in self.objects]
        stack = [*items]
        while stack:
            key, matrix = stack.pop()
            one = self.objects.get(key)
            if one is None:
                continue
            stack += [(inner, matrix @ place) for inner, place in one.components]
            if one.facets:
                yield _placed(one, matrix)


def _key(attributes: dict[str, str], name: str) -> Key:
    path = next((value for tag, value in attributes.items() if tag.rpartition(" ")[2] == "path"), name)
    return path.strip("/"), attributes["objectid"]


def _matrix(text: str | None) -> Array:
    """A 3MF transform: twelve numbers, row vectors, so the transpose of the usual matrix."""
    matrix = np.eye(4)
    if text:
        matrix[:3, :] = np.asarray([float(word) for word in text.split()]).reshape(4, 3).T
    return matrix


def _placed(one: _Object, matrix: Array) -> Part:
    points = np.frombuffer(one.corners, dtype=np.float64).reshape(-1, 3)
    facets = np.frombuffer(one.facets, dtype=np.int32).reshape(-1, 3)
    if np.any(matrix != np.eye(4)):
        points = points @ matrix[:3, :3].T + matrix[:3, 3]
        facets = facets[:, ::-1] if np.linalg.det(matrix[:3, :3]) < 0.0 else facets
    return points, facets


def read_3mf(content: bytes) -> tuple[list[Any], Unit | None]:
    """Corners and facets of every part of a package, and its unit; the package has passed `hull_guard.check`."""
    models = _Models()
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        names = [name for name in archive.namelist() if name.lower().endswith(".model")]
        root = min(names, key=lambda name: ("3d/3dmodel.model" not in name.lower(), name))
        for name in sorted(names, key=lambda name: name != root):
            models.read(name, archive.read(name))
    parts, count = [], 0
    for points, facets in models.parts():
        count += len(facets)
        if count > MOST_FACETS:
            raise too_many("3MF", count)
        parts.append((points, facets))
    return parts, UNITS.get(models.unit)
