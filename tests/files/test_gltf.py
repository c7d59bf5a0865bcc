"""The hull as glTF: read back by another reader, its frame and bounds by the letter of the specification."""

from __future__ import annotations

import io
import json
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from typer.testing import CliRunner

from boottop.cli import DEMO_JOB, app
from boottop.files.gltf import glb, to_gltf
from boottop.measure.mesh import HullMesh
from tests.report.pictures import FAIR, shape
from tests.web.painted import painted

MESH: HullMesh = shape().mesh
CONTENT = glb(MESH, {"port side": "#7d1420"}, name="Nobody", extras={"drawn": True})


def chunks(content: bytes) -> tuple[dict[str, Any], bytes]:
    """The two parts of a .glb (glTF 2.0, section 4.4, from memory)."""
    magic, version, length = struct.unpack_from("<III", content)
    assert (magic, version, length) == (0x46546C67, 2, len(content))
    first, kind = struct.unpack_from("<II", content, 12)
    assert kind == 0x4E4F534A
    second, kind = struct.unpack_from("<II", content, 20 + first)
    assert kind == 0x004E4942
    assert first % 4 == second % 4 == 0
    return json.loads(content[20 : 20 + first]), content[28 + first : 28 + first + second]


def test_another_reader_finds_every_zone_with_its_area() -> None:
    scene: Any = trimesh.load(io.BytesIO(CONTENT), file_type="glb")
    assert set(scene.geometry) == set(MESH.zone_names)
    for name, found in scene.geometry.items():
        assert found.area == pytest.approx(MESH.zone_area_m2(name), rel=1e-4)


def test_up_is_up_the_bow_is_forward_and_outside_is_outside() -> None:
    scene: Any = trimesh.load(io.BytesIO(CONTENT), file_type="glb")
    low, high = scene.bounds
    assert high[1] == pytest.approx(0.0, abs=1e-6)  # +Y up: the waterline
    assert high[2] == pytest.approx(0.0, abs=1e-6)  # +Z forward: the fore end
    assert low[2] < -9.0
    port = scene.geometry["port side"]
    assert np.average(port.face_normals[:, 0], weights=port.area_faces) > 0.3  # X is to port
    assert port.vertices[:, 0].min() >= -1e-6


def test_the_frame_is_turned_and_not_mirrored() -> None:
    axes = to_gltf(np.eye(3))
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_accessors_say_what_their_bytes_hold() -> None:
    tree, binary = chunks(CONTENT)
    assert tree["buffers"][0]["byteLength"] <= len(binary) <= tree["buffers"][0]["byteLength"] + 3
    widths = {"SCALAR": 1, "VEC2": 2, "VEC3": 3}
    for accessor in tree["accessors"]:
        view = tree["bufferViews"][accessor["bufferView"]]
        assert view["byteOffset"] % 4 == 0
        kind = np.dtype("<f4") if accessor["componentType"] == 5126 else np.dtype("<u4")
        count = accessor["count"] * widths[accessor["type"]]
        assert view["byteLength"] == count * 4
        values = np.frombuffer(binary, kind, count, view["byteOffset"]).reshape(accessor["count"], -1)
        if "min" in accessor:
            assert values.min(axis=0).tolist() == accessor["min"]
            assert values.max(axis=0).tolist() == accessor["max"]
        assert np.isfinite(values).all()
    for mesh in tree["meshes"]:
        part = mesh["primitives"][0]
        places = tree["accessors"][part["attributes"]["POSITION"]]
        assert "min" in places
        view = tree["bufferViews"][tree["accessors"][part["indices"]]["bufferView"]]
        corners = np.frombuffer(binary, "<u4", view["byteLength"] // 4, view["byteOffset"])
        assert corners.max() < places["count"]


def test_colours_are_written_linear_and_what_it_is_goes_with_it() -> None:
    tree, _ = chunks(CONTENT)
    port = next(one for one in tree["materials"] if one["name"] == "port side")
    red = 0x7D / 255.0
    assert port["pbrMetallicRoughness"]["baseColorFactor"][0] == pytest.approx(((red + 0.055) / 1.055) ** 2.4, abs=1e-5)
    assert tree["asset"]["extras"] == {"drawn": True}
    assert tree["asset"]["version"] == "2.0"


# The command


def run(*words: str) -> Any:
    return CliRunner().invoke(app, ["picture", *words])


@pytest.mark.parametrize("name", ["hull.glb", "hull.svg"])
def test_the_command_writes_the_demonstration_boat(tmp_path: Path, name: str) -> None:
    found = run(str(DEMO_JOB), "--out", str(tmp_path / name))
    assert found.exit_code == 0
    content = (tmp_path / name).read_bytes()
    assert content.startswith(b"glTF" if name.endswith("glb") else b"<svg")


def test_another_kind_of_file_is_refused_with_the_two_that_are_known(tmp_path: Path) -> None:
    found = run(str(DEMO_JOB), "--out", str(tmp_path / "hull.stl"))
    assert found.exit_code != 0
    assert ".glb or .svg" in str(getattr(found.exception, "problems", ""))
    assert not (tmp_path / "hull.stl").exists()


def _problems(found: Any) -> str:
    return str(getattr(found.exception, "problems", ""))


def test_the_command_lays_the_kits_of_a_log_on_the_hull(tmp_path: Path) -> None:
    log = tmp_path / "log.json"
    log.write_text(json.dumps({"events": painted(FAIR, coats=2)}), encoding="utf-8")
    assert run(str(DEMO_JOB), "--log", str(log), "--out", str(tmp_path / "kits.svg")).exit_code == 0
    assert "which kit went where" in (tmp_path / "kits.svg").read_text(encoding="utf-8")
    assert "in .svg" in _problems(run(str(DEMO_JOB), "--log", str(log), "--out", str(tmp_path / "kits.glb")))
    log.write_text("[]", encoding="utf-8")
    assert "no mix" in _problems(run(str(DEMO_JOB), "--log", str(log), "--out", str(tmp_path / "kits.svg")))
