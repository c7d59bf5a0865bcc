"""hull, tape, stands and facing as a person runs them."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from boottop.base.errors import InputError
from boottop.cli_hull import hull
from tests.e2e.runner import DEMO_DIR, refused, run
from tests.files.test_hull_offsets import TRADE
from tests.measure.meshes import sloop, stl_bytes

SPOTS = 'spots = ["both, 2.5 m, 1.6 m", "both, 7.0 m, 1.6 m"]'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for path in DEMO_DIR.iterdir():
        if path.is_file():
            shutil.copy(path, tmp_path)
    (tmp_path / "sloop.stl").write_bytes(stl_bytes(sloop(), scale=1000.0))
    return tmp_path


def test_from_a_mesh_to_the_windows(folder: Path) -> None:
    """Looked at, asked for, written, named by the job sheet, and compared with the hull by side."""
    assert "--draft" in refused("hull", "sloop.stl", cwd=folder)
    waterline = ("--height", "0 m")
    said = refused("hull", "sloop.stl", *waterline, "--out", "hull.toml", cwd=folder)
    assert all(f"--{name}=" in said for name in ("unit", "bow", "up"))
    axes = ("--unit=mm", "--bow=-x", "--up=+z")
    made = run("hull", "sloop.stl", *waterline, *axes, "--out", "hull.toml", cwd=folder)
    assert made.code == 0
    assert "running gear" in made.err
    assert 'hull_file = "hull.toml"' in made.err
    sheet = (folder / "job.toml").read_text(encoding="utf-8")
    start, end = sheet.index("[measure]"), sheet.index("[[appendages]]")
    sheet = f'{sheet[:start]}[measure]\nmethod = "hull_file"\nhull_file = "hull.toml"\n\n{sheet[end:]}'
    sheet = re.sub(r'\[\[appendages\]\]\nname = "(fin keel|rudder)".*?\n\n', "", sheet, flags=re.S)
    sheet = sheet.replace("count = 6\nstand_set = 1", SPOTS)
    (folder / "mesh.toml").write_text(sheet, encoding="utf-8")
    area = run("area", "mesh.toml", "--json", cwd=folder).document
    assert {zone["name"] for zone in area["zones"]} >= {"port side", "starboard side", "pads 1", "running gear"}
    told = run("facing", "mesh.toml", "--days", "6", cwd=folder)
    assert told.code == 0
    assert "port side" in told.err
    assert "by groups of facets" in told.err


def test_tape_writes_its_picture(folder: Path) -> None:
    done = run("tape", "job.toml", "--stations", "11", "--picture", "tape.svg", cwd=folder)
    assert done.code == 0
    assert "to tape" in done.err
    assert (folder / "tape.svg").read_text(encoding="utf-8").startswith("<svg")


def test_stands_are_recorded_and_met_again(folder: Path) -> None:
    sheet = (folder / "job.toml").read_text(encoding="utf-8").replace("count = 6\nstand_set = 1", SPOTS)
    (folder / "job.toml").write_text(sheet, encoding="utf-8")
    assert run("stands", "job.toml", "--record", "stood.csv", cwd=folder).code == 0
    again = run("stands", "job.toml", "--before", "stood.csv", cwd=folder)
    assert again.code == 0
    assert "2022-04-25" in again.err
    assert "Only the yard moves a stand" in again.err


def test_a_table_of_offsets(folder: Path) -> None:
    (folder / "trade.csv").write_text(TRADE, encoding="utf-8")
    done = run("hull", "trade.csv", "--out", "t.toml", cwd=folder)
    assert done.code == 0
    assert "the file's own" in done.err
    assert "6.100" in done.err
    (folder / "bad.csv").write_text(TRADE.replace("2-9-4", "2-99-4"), encoding="utf-8")
    assert "line 11, column 4" in refused("hull", "bad.csv", cwd=folder)


@pytest.mark.parametrize(
    ("file", "options", "said"),
    [
        ("none.stl", {}, "no such file"),
        ("sloop.stl", {"unit": "parsec"}, "--unit"),
        ("sloop.stl", {"bow": "+x", "up": "-x"}, "another axis"),
        ("sloop.stl", {"draft": "9 m", "unit": "mm"}, "above the highest point"),
        ("sloop.stl", {"draft": "1 m", "height": "1 m"}, "--draft and --height"),
        ("sloop.stl", {"cut": ["bow; nearer 2 m"]}, "--cut bow"),
        ("weather.csv", {}, r"weather\.csv"),
    ],
)
def test_what_is_refused(folder: Path, file: str, *, options: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        hull(folder / file, **options)


def test_the_file_itself_is_not_written_over(folder: Path) -> None:
    assert "the file that is read" in refused("hull", "sloop.stl", "--out", "sloop.stl", cwd=folder)


def test_facing_needs_a_hull_from_a_file(folder: Path) -> None:
    assert "hull_file" in refused("facing", "job.toml", cwd=folder)
