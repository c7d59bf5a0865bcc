"""Meshes from the disk: the same hull in five formats, and everything that can be wrong with a file, quickly told."""

from __future__ import annotations

import io
import json
import struct
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError, Problem
from boottop.files import hull_guard
from boottop.files.hull_mesh import RawHull, load_mesh, read_mesh
from tests.measure.meshes import stl_bytes, wigley_half

HALF = wigley_half(21, 11)
QUICK = settings(max_examples=60, deadline=4000, suppress_health_check=[HealthCheck.too_slow])


def exported(kind: str) -> bytes:
    """The hull as the format's own library writes it."""
    make: Callable[..., Any] = trimesh.Trimesh
    mesh = make(vertices=HALF.vertices_m, faces=HALF.facets, process=False)
    made = mesh.export(file_type=kind)
    return made.encode() if isinstance(made, str) else bytes(made)


FILES = {kind: exported(kind) for kind in ("stl", "obj", "ply", "glb", "3mf")}
FILES["txt.stl"] = exported("stl_ascii")


@pytest.mark.parametrize("kind", FILES)
def test_the_same_hull_in_every_format(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"hull.{kind}"
    path.write_bytes(FILES[kind])
    raw = load_mesh(path)
    assert raw.surface.count == HALF.count
    assert len(raw.surface.vertices_m) == len(HALF.vertices_m)
    assert raw.surface.area_m2() == pytest.approx(HALF.area_m2(), rel=2e-6)
    assert raw.kind == kind.rsplit(".", 1)[-1]
    assert (raw.unit, raw.up) == {"glb": ("m", "+y"), "3mf": ("mm", "+z")}.get(kind, (None, None))


def test_content_counts_and_not_the_ending() -> None:
    assert read_mesh(FILES["glb"], name="hull.stl").kind == "glb"


def test_bytes_behind_an_stl_are_left_alone() -> None:
    assert read_mesh(FILES["stl"] + b"written by a program\0", name="hull.stl").surface.count == HALF.count


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("hull.stl", b"", "an empty file"),
        ("hull.stl", b"\x89PNG\r\n\x1a\n" + bytes(500), "facets promised|cannot be read|corners|less than"),
        ("hull.obj", b"\0\1\2" * 50, "ends in .obj and is none inside"),
        ("hull.xyz", b"1 2 3\n4 5 6\n", "a file of another kind"),
        ("hull.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", "points without facets"),
        ("hull.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 99\n" * 4, "cannot be read"),
        ("hull.stl", stl_bytes(HALF)[:-700], "facets promised"),
        ("hull.stl", b"solid boat\nendsolid boat\n", "without a facet"),
        ("hull.ply", b"ply\nformat ascii 1.0\n", "without the end of its header"),
        ("hull.ply", b"ply\nformat ascii 1.0\nelement vertex 99999999999\nend_header\n0 0 0\n", "elements"),
        ("hull.ply", b"ply\nformat binary_little_endian 1.0\nelement vertex 900000\nend_header\n0", "promised in"),
        ("hull.glb", FILES["glb"][:100], "less than its header says"),
        ("hull.3mf", FILES["3mf"][:200], "cannot be unpacked"),
        ("hull.3mf", b"PK\x03\x04" + bytes(300), "cannot be unpacked"),
    ],
)
def test_rubbish_is_told(name: str, content: bytes, *, words: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        load_mesh(path)


def test_no_file_a_folder_and_a_giant(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="no such file"):
        load_mesh(tmp_path / "none.stl")
    with pytest.raises(InputError, match="a folder"):
        load_mesh(tmp_path)
    giant = tmp_path / "giant.stl"
    with giant.open("wb") as out:
        out.truncate(3_000_000_000)  # holes: no disk is used, and nothing may be read
    start = time.perf_counter()
    with pytest.raises(InputError, match=r"3000 MB; allowed: at most 250 MB"):
        load_mesh(giant)
    assert time.perf_counter() - start < 1.0
    monkeypatch.setattr(hull_guard, "LARGEST_TEXT_BYTES", 1000)
    with pytest.raises(InputError, match="of text"):
        read_mesh(FILES["txt.stl"], name="hull.stl")


def test_too_many_facets_are_refused_from_the_header() -> None:
    with pytest.raises(InputError, match="4,000,000,000 facets"):
        read_mesh(bytes(80) + struct.pack("<I", 4_000_000_000) + bytes(100), name="hull.stl")


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 3e38])
def test_corners_that_are_no_number_are_refused(value: float) -> None:
    surface = HALF.moved(HALF.vertices_m.copy())
    surface.vertices_m[5, 1] = value
    with pytest.raises(InputError, match=r"no number|thousand million"):
        read_mesh(stl_bytes(surface), name="hull.stl")


def packed(model: bytes, *, method: int = zipfile.ZIP_DEFLATED, more: int = 0) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        archive.writestr("3D/3dmodel.model", model)
        for number in range(more):
            archive.writestr(f"x{number}", b"")
    return out.getvalue()


MODEL = (
    b'<?xml version="1.0"?><model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
)
CORNERS = ((0, 0, 0), (9, 0, 0), (0, 9, 0), (0, 0, 9))
SIDES = ((0, 2, 1), (0, 1, 3), (1, 2, 3), (0, 3, 2))
TETRA = b"<mesh><vertices>%b</vertices><triangles>%b</triangles></mesh>" % (
    b"".join(b'<vertex x="%d" y="%d" z="%d"/>' % corner for corner in CORNERS),
    b"".join(b'<triangle v1="%d" v2="%d" v3="%d"/>' % side for side in SIDES),
)


def nested(levels: int) -> bytes:
    """Parts of two parts of two parts ...: a few lines that unfold to 2**levels."""
    objects = [b'<object id="1">' + TETRA + b"</object>"]
    for level in range(2, levels + 2):
        both = b'<component objectid="%d"/>' % (level - 1)
        objects.append(b'<object id="%d"><components>%b%b</components></object>' % (level, both, both))
    body = b"".join(objects)
    return MODEL + b"<resources>" + body + b'</resources><build><item objectid="%d"/></build></model>' % (levels + 1)


def test_zip_bombs_in_3mf() -> None:
    start = time.perf_counter()
    with pytest.raises(InputError, match=r"unpack from .* to 60. MB|unpack from"):
        read_mesh(packed(MODEL + b" " * 50_000_000 + b"</model>"), name="hull.3mf")
    with pytest.raises(InputError, match="files that unpack"):
        read_mesh(packed(MODEL, more=600), name="hull.3mf")
    with pytest.raises(InputError, match="parts once unfolded"):
        read_mesh(packed(nested(14)), name="hull.3mf")
    with pytest.raises(InputError, match="parts within parts"):
        read_mesh(packed(nested(60)), name="hull.3mf")
    circle = nested(3).replace(b'<object id="1">', b'<object id="1"><components><component objectid="4"/></components>')
    with pytest.raises(InputError, match="parts within parts"):
        read_mesh(packed(circle), name="hull.3mf")
    assert time.perf_counter() - start < 6.0


def test_entities_in_3mf_are_refused_and_parts_unfolded() -> None:
    bomb = b'<!DOCTYPE m [<!ENTITY a "' + b"x" * 100 + b'"><!ENTITY b "&a;&a;&a;">]>'
    with pytest.raises(InputError, match="entities"):
        read_mesh(packed(MODEL.replace(b"<model", bomb + b"<model")), name="hull.3mf")
    assert read_mesh(packed(nested(3)), name="hull.3mf").surface.count >= 4


def test_one_large_part_placed_a_thousand_times_is_refused() -> None:
    many = b"".join(b'<triangle v1="0" v2="1" v3="2"/>' for _ in range(3000))
    big = b'<object id="1">' + TETRA.replace(b"</triangles>", many + b"</triangles>") + b"</object>"
    items = b'<item objectid="1"/>' * 1000
    model = MODEL + b"<resources>" + big + b"</resources><build>" + items + b"</build></model>"
    start = time.perf_counter()
    with pytest.raises(InputError, match="at most 2,000,000 facets"):
        read_mesh(packed(model, method=zipfile.ZIP_STORED), name="hull.3mf")
    assert time.perf_counter() - start < 3.0


def test_units_and_places_of_a_3mf() -> None:
    place = b'transform="1 0 0 0 1 0 0 0 1 5 6 7" '
    model = nested(1).replace(b'<item objectid="2"', b"<item " + place + b'objectid="2"', 1)
    raw = read_mesh(packed(model.replace(b"millimeter", b"inch")), name="hull.3mf")
    assert raw.unit == "in"
    assert raw.surface.vertices_m.min(axis=0).tolist() == [5.0, 6.0, 7.0]
    mirrored = nested(1).replace(b'<item objectid="2"', b'<item transform="-1 0 0 0 1 0 0 0 1 0 0 0" objectid="2"', 1)
    assert read_mesh(packed(mirrored), name="hull.3mf").surface.signed_volume_m3() > 0.0


def glb(tree: dict[str, Any], blob: bytes = b"") -> bytes:
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    chunks = struct.pack("<I4s", len(text), b"JSON") + text
    if blob:
        chunks += struct.pack("<I4s", len(blob), b"BIN\0") + blob
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


@pytest.mark.parametrize(
    ("tree", "words"),
    [
        ({"accessors": [{"count": 10**15, "type": "VEC3", "componentType": 5126}]}, "corners"),
        ({"accessors": [{"count": 5_000_000, "type": "VEC3", "componentType": 5126}]}, "more corners promised"),
        ({"extensionsRequired": ["KHR_draco_mesh_compression"]}, "compressed mesh"),
        ({"buffers": [{"uri": "file:///etc/hostname", "byteLength": 10}]}, "in another file"),
        ({"nodes": [{"children": [0]}], "scenes": [{"nodes": [0]}]}, "parts within parts"),
        ({"nodes": [{"children": [i + 1, i + 1]} for i in range(12)] + [{}], "scenes": [{"nodes": [0]}]}, "unfolded"),
        ({"accessors": [{"count": "many"}]}, "description that cannot be read"),
        ({"nodes": 7}, "description that cannot be read|cannot be read"),
    ],
)  # fmt: skip
def test_glb_that_lies(tree: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_mesh(glb({"asset": {"version": "2.0"}, **tree}), name="hull.glb")


def refused_or_read(content: bytes, name: str) -> None:
    """Either a finite mesh or one clear error; nothing else, and soon."""
    start = time.perf_counter()
    raw: RawHull | None = None
    problems: tuple[Problem, ...] = ()
    try:
        raw = read_mesh(content, name=name)
    except InputError as error:
        problems = error.problems
    assert all(problem.where and problem.advice for problem in problems)
    if raw is not None:
        assert np.isfinite(raw.surface.vertices_m).all()
        assert 0 <= raw.surface.facets.min() <= raw.surface.facets.max() < len(raw.surface.vertices_m)
    assert (raw is None) == bool(problems)
    assert time.perf_counter() - start < 3.0


KINDS = st.sampled_from(sorted(FILES))


@QUICK
@given(kind=KINDS, share=st.floats(0.0, 1.0))
def test_any_file_cut_short(kind: str, share: float) -> None:
    content = FILES[kind]
    refused_or_read(content[: int(share * len(content))] or b"x", f"hull.{kind}")


@QUICK
@given(kind=KINDS, places=st.lists(st.tuples(st.floats(0.0, 0.9999), st.integers(0, 255)), min_size=1, max_size=12))
def test_any_file_with_bytes_changed(kind: str, places: list[tuple[float, int]]) -> None:
    content = bytearray(FILES[kind])
    for share, value in places:
        content[int(share * len(content))] = value
    refused_or_read(bytes(content), f"hull.{kind}")


@QUICK
@given(content=st.binary(min_size=1, max_size=2000), kind=KINDS, head=st.booleans())
def test_any_bytes_under_any_name(content: bytes, kind: str, head: bool) -> None:
    refused_or_read(FILES[kind][:84] + content if head else content, f"hull.{kind}")


@QUICK
@given(text=st.text(alphabet="vf 0123456789.-eE/nanif\n#", min_size=1, max_size=400))
def test_any_text_as_obj(text: str) -> None:
    refused_or_read(b"v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 2 3\n" + text.encode(), "hull.obj")
