"""The hull document and the job sheet that names it: round trip, places on the hull, what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import trimesh

from boottop.base.errors import InputError
from boottop.files.hull_document import (
    Floats,
    HullDocument,
    OffsetsDocument,
    digest_of,
    document_text,
    import_mesh,
    load_document,
    open_document,
    pose_of,
)
from boottop.files.hull_mesh import load_mesh, read_mesh
from boottop.files.job import Job
from boottop.files.jobsheet import parse_job
from boottop.files.stand_record import load_record, record_text
from boottop.files.template import template_text, write_new
from boottop.measure.build import build_hull
from boottop.measure.mesh_frame import Pose, Told
from boottop.measure.mesh_zones import ZoneCut
from boottop.web.papers import check_inside
from tests.files.test_hull_offsets import TRADE
from tests.measure.boats import zone
from tests.measure.meshes import sloop, stl_bytes


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job folder with a hull in millimetres and its document."""
    write_new(tmp_path)
    (tmp_path / "sloop.stl").write_bytes(stl_bytes(sloop(), scale=1000.0))
    (tmp_path / "hull.toml").write_text(document_text(document(tmp_path), folder=tmp_path), encoding="utf-8")
    return tmp_path


def document(folder: Path, **changes: object) -> HullDocument:
    fields: dict[str, object] = {
        "path": folder / "sloop.stl",
        "pose": Pose(unit="mm", bow="-x", up="+z"),
        "floats": Floats(height_m=0.0, boot_top_m=0.05),
        "cuts": (ZoneCut(name='bow "patch"', side="port", from_m=0.0, to_m=1.5, above_m=-0.4),),
        "digest": digest_of(folder / "sloop.stl"),
    }
    return HullDocument(**{**fields, **changes})  # type: ignore[arg-type]


def job_of(folder: Path, *, spots: str = "", hull: str = "hull.toml") -> Job:
    text = template_text()
    start, end = text.index('method = "girths"'), text.index("# Or the designer's offsets")
    text = f'{text[:start]}method = "hull_file"\nhull_file = "{hull}"\n{text[end:]}'
    if spots:
        text = text.replace("count = 6\n", f"spots = {spots}\n", 1)
    return parse_job(text, folder=folder)


def test_a_document_comes_back_as_it_was_written(folder: Path) -> None:
    for made in (
        document(folder),
        document(folder, halves="whole", has_keel=False, cuts=()),
        document(folder, floats=Floats(fore_m=0.1, aft_m=-0.05, heel_deg=2.0), keel_root_m=-0.5),
        OffsetsDocument(path=folder / "t.csv", unit="ft-in-8", draft_m=0.5, digest="0"),
    ):
        path = folder / "again.toml"
        path.write_text(document_text(made, folder=folder), encoding="utf-8")
        assert load_document(path) == made


def test_the_hull_of_a_job_is_the_mesh_s(folder: Path) -> None:
    job = job_of(folder, spots='["both, 2.5 m, 1.6 m", "both, 7.0 m, 1.6 m"]')
    hull = build_hull(job.hull)
    assert hull.method.startswith("mesh sloop.stl (STL")
    assert zone(hull, "pads 1").area_m2 == pytest.approx(4 * 0.09, rel=0.03)
    assert zone(hull, 'bow "patch"').area_m2 > 0.3
    assert job.hull.hidden[0].count == 4
    assert any("boat.waterline_length" in note for note in job.notes)  # the template's boat is shorter
    assert sum(one.area_m2 for one in hull.zones) == pytest.approx(hull.total_m2)


def test_a_table_of_offsets_serves_as_well(folder: Path) -> None:
    (folder / "trade.csv").write_text(TRADE, encoding="utf-8")
    made = OffsetsDocument(path=folder / "trade.csv")
    (folder / "t.toml").write_text(document_text(made, folder=folder), encoding="utf-8")
    hull = build_hull(job_of(folder, hull="t.toml").hull)
    assert 20.0 < hull.total_m2 < 35.0
    assert "table of offsets trade.csv" in hull.method


def test_places_off_the_hull_are_told_at_the_sheet(folder: Path) -> None:
    with pytest.raises(InputError, match=r"measure.hull_file: stand pads, port: found station 14.00 m"):
        job_of(folder, spots='["port, 14 m, 1.6 m"]')
    with pytest.raises(InputError, match=r"hidden\[1\]\.spots\[1\].*side, station aft from the fore end"):
        job_of(folder, spots='["larboard, 2 m, 1 m"]')


@pytest.mark.parametrize(
    ("unit", "words"),
    [("m", r"unit: found m, which makes her 10,000\.00 m long.*Is the unit mm\?"), ("in", r"254\.00 m long.*mm")],
)
def test_metres_or_millimetres_is_asked(folder: Path, unit: str, words: str) -> None:
    made = document(folder, pose=Pose(unit=unit, bow="-x", up="+z"))  # type: ignore[arg-type]
    with pytest.raises(InputError, match=words):
        import_mesh(load_mesh(made.path), made)


def test_up_of_a_glb_counts_only_where_she_looks_upright(folder: Path) -> None:
    surface = sloop()
    for order, up, guessed in (([1, 2, 0], "+y", False), ([0, 1, 2], "+z", True)):
        make: Callable[..., Any] = trimesh.Trimesh
        mesh = make(vertices=surface.vertices_m[:, order], faces=surface.facets, process=False)
        raw = read_mesh(mesh.export(file_type="glb"), name="a.glb")
        guess = pose_of(raw, Told())
        assert (guess.pose.up, "up" in guess.guessed) == (up, guessed)
        assert guess.pose.unit == "m"
        assert "unit" not in guess.guessed
        assert any("should have +y up" in sentence for sentence in guess.because) == guessed


def test_a_hull_of_another_size_than_the_boat_is_refused(folder: Path) -> None:
    (folder / "sloop.stl").write_bytes(stl_bytes(sloop(), scale=3048.0))
    made = document(folder)  # feet exported as millimetres
    (folder / "hull.toml").write_text(document_text(made, folder=folder), encoding="utf-8")
    with pytest.raises(InputError, match=r"measure.hull_file: unit: found mm, which makes her 30.48 m long"):
        job_of(folder)


def test_another_file_under_the_same_name_is_refused(folder: Path) -> None:
    (folder / "sloop.stl").write_bytes(stl_bytes(sloop(), scale=999.0))
    with pytest.raises(InputError, match=r"another file than the one that was looked at"):
        open_document(folder / "hull.toml", label="hull.toml")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('unit = "mm"', 'unit = "yd"', r'unit: found .yd.; allowed: "m", "mm"'),
        ('up = "+z"', "", r"up: found nothing"),
        ('height = "0.0000 m"', "", "exactly one of height, draft, and fore with aft"),
        ('height = "0.0000 m"', 'height = "0 m"\ndraft = "1 m"', "height and draft"),
        ('side = "port"', 'side = "left"', r"cuts\[1\]\.side"),
        ("format = 1", "format = 2", "format: found 2"),
        ('kind = "mesh"', 'kind = "photo"', r"kind: found .photo."),
        ("keel = true", "keel = true\nkeell = 1", "an unknown key"),
        ('file = "sloop.stl"', 'file = "../sloop.stl"', "beside the document"),
        ('file = "sloop.stl"', 'file = "/etc/hostname"', "beside the document"),
    ],
)
def test_what_is_wrong_in_a_document_is_told(folder: Path, old: str, *, new: str, words: str) -> None:
    path = folder / "hull.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError, match=words):
        load_document(path, label="hull.toml")


def test_a_mesh_named_in_the_sheet_itself_is_sent_to_the_command(folder: Path) -> None:
    with pytest.raises(InputError, match=r"boottop hull FILE --out hull.toml"):
        job_of(folder, hull="sloop.stl")


def test_the_record_of_stands_grows_and_reads_back(folder: Path) -> None:
    job = job_of(folder, spots='["both, 2.5 m, 1.6 m"]')
    spots = job.hull.hidden[0].spots
    day = job.plan.wishes.earliest_haul.date()
    path = folder / "stood.csv"
    path.write_text(record_text((), spots, day=day, boat="Wren, the"), encoding="utf-8")
    kept = load_record(path)
    assert [one.spot for one in kept] == list(spots)
    assert {one.boat for one in kept} == {"Wren, the"}
    path.write_text(record_text(kept, spots, day=day, boat="Wren, the"), encoding="utf-8")
    assert len(load_record(path)) == 2  # the same day is written anew
    later = record_text(kept, spots, day=day.replace(year=day.year + 1), boat="Wren, the")
    path.write_text(later, encoding="utf-8")
    assert len(load_record(path)) == 4
    path.write_text(later.replace("port", "left", 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"stood.csv, line 2"):
        load_record(path)


def test_a_document_is_written_beside_its_file(folder: Path) -> None:
    (folder / "below").mkdir()
    assert 'file = "sloop.stl"' in document_text(document(folder), folder=folder)
    with pytest.raises(InputError, match="beside its file"):
        document_text(document(folder), folder=folder / "below")


def test_a_sheet_from_the_network_may_name_no_file_elsewhere() -> None:
    check_inside('[measure]\nhull_file = "wren.hull.toml"\n')
    for name in ("../wren.hull.toml", "/etc/wren.hull.toml"):
        with pytest.raises(InputError, match=r"measure\.hull_file"):
            check_inside(f'[measure]\nhull_file = "{name}"\n')


def test_a_coating_may_name_a_zone_that_was_drawn(folder: Path) -> None:
    (folder / "hull.toml").write_text(
        document_text(document(folder, cuts=(ZoneCut(name="bow", to_m=1.5),)), folder=folder), encoding="utf-8"
    )
    text = template_text()
    start, end = text.index('method = "girths"'), text.index("# Or the designer's offsets")
    text = f'{text[:start]}method = "hull_file"\nhull_file = "hull.toml"\n{text[end:]}'
    coating = text.rindex("[[coatings]]")
    text = text[:coating] + text[coating:].replace("loss =", 'zones = ["bow"]\nloss =', 1)
    job = parse_job(text, folder=folder)
    assert job.plan.systems[-1].zones == ("bow",)
    with pytest.raises(InputError, match=r'zones\[1\]: found \'keel\'|"bow"'):
        parse_job(text.replace('["bow"]', '["stern"]'), folder=folder)
