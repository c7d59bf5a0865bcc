"""The record's drawings of the bottom: film told without colour, places where they were measured, kits on the hull."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from boottop.base.quantities import System
from boottop.measure.inputs import Hidden
from boottop.measure.mesh import MeshHull
from boottop.measure.mesh_bottom import bottom_of
from boottop.measure.mesh_frame import Waterline
from boottop.measure.mesh_repair import Repair
from boottop.measure.mesh_weld import welded
from boottop.measure.mesh_zones import Zoning, zoned
from boottop.measure.shell_outline import half_girth_at
from boottop.measure.spots import Spot
from boottop.record.facts import BareSpot
from boottop.record.record import Record
from boottop.report.flat_map import Shape, sheet_of
from boottop.report.hull_looks import PATTERNS
from boottop.report.hull_shape import shape_of
from boottop.report.kit_map import SPREAD_NOTE
from boottop.report.record_map import BOTTOM, LOOKS, batch_map, bottom_map, hatches, zone_looks
from boottop.report.record_pdf import printable
from boottop.report.record_words import Block, Words
from boottop.workflow import Ashore
from tests.measure.meshes import sloop
from tests.web.serving import Running


@pytest.fixture(scope="module")
def shape(finished: Running) -> Shape:
    """The boat of the demonstration as she is drawn."""
    return shape_of(finished.house.desk.ashore(finished.job))


def words(system: System = "metric") -> Words:
    return Words(zone=ZoneInfo("UTC"), system=system)


def bottom(record: Record, shape: Shape, system: System = "metric") -> tuple[ElementTree.Element, str]:
    """The drawing, and the words below it."""
    drawings: dict[str, str] = {}
    blocks = list(bottom_map(record, shape, words(system), drawings=drawings))
    return ElementTree.fromstring(drawings[BOTTOM]), blocks[-1].text


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in root.iter() if name in one.get("class", "").split()]


def texts(root: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in root.iter("text")]


def placed(record: Record, *readings: tuple[float, float]) -> Record:
    """The record with one reading a place on the port side: (station, girth below the waterline), m."""
    one = next(one for one in record.readings if one.layer == "dry" and one.zone == "port side")
    made = tuple(
        replace(one, spot=str(number), station_m=station, girth_m=girth)
        for number, (station, girth) in enumerate(readings)
    )
    return replace(record, readings=made, bare=())


def dots(root: ElementTree.Element) -> list[tuple[float, float]]:
    """Where the dots of spots read are; the last is the legend's."""
    circles = [one for one in root.iter("circle")]
    return [(float(one.get("cx", "0")), float(one.get("cy", "0"))) for one in circles][:-1]


def test_down_from_the_waterline_is_towards_the_centreline(record: Record, shape: Shape) -> None:
    half_m = half_girth_at(shape.mesh, 5.0, "port")
    root, _ = bottom(placed(record, (5.0, 0.0), (5.0, 0.5 * half_m), (5.0, half_m), (5.0, 9.0)), shape)
    keel = sheet_of(shape.mesh).y(0.0)
    away = [keel - y for _, y in dots(root)]
    assert away[0] == pytest.approx(2.0 * away[1], abs=0.2)
    assert away[2:] == pytest.approx([0.0, 0.0], abs=0.1)


def test_stations_run_from_the_bow_at_the_left(record: Record, shape: Shape) -> None:
    x = [x for x, _ in dots(bottom(placed(record, (1.0, 0.2), (4.0, 0.2), (7.0, 0.2)), shape)[0])]
    assert x[1] - x[0] == pytest.approx(x[2] - x[1], abs=0.2)
    assert x[0] < x[1]


def test_every_spot_stands_there_with_its_film_and_a_thin_one_by_shape_and_word(record: Record, shape: Shape) -> None:
    root, said = bottom(record, shape)
    found = texts(root)
    thin = [one for film in record.films for one in film.thin]
    assert thin
    for one in thin:
        assert f"{one.film_um:.0f} thin" in found
    assert len(of_class(root, "sign")) == len({(one.zone, one.area, one.spot) for one in record.readings
                                               if one.layer == "dry" and one.coat == 0}) + 2  # fmt: skip
    assert "µm, the mean of a spot" in said


def test_films_stand_in_mil_and_the_scale_in_feet_where_that_is_asked(record: Record, shape: Shape) -> None:
    root, said = bottom(record, shape, "us")
    thin = next(one for film in record.films for one in film.thin)
    assert f"{thin.film_um / 25.4:.1f} thin" in texts(root)
    assert "ft aft of the fore end of the waterline" in texts(root)
    assert "mil, the mean of a spot" in said


def test_a_spot_without_a_name_is_thin_by_its_own_film(record: Record, shape: Shape) -> None:
    """Readings without a spot are numbered in the list that they are in: the number says nothing of another list."""
    film = next(film for film in record.films if film.thin)
    thin = film.thin[0]
    there = {"zone": film.zone, "spot": "", "station_m": thin.station_m, "girth_m": thin.girth_m}
    dry = next(one for one in record.readings if one.layer == "dry")
    low, high = (replace(dry, low_um=um, high_um=um, **there) for um in (thin.film_um, 300.0))  # type: ignore[arg-type]
    one = replace(film, thin=(replace(thin, spot="#7"),))
    root, _ = bottom(replace(record, readings=(high, low), films=(one,)), shape)
    assert [text for text in texts(root) if text.endswith(" thin")] == [f"{thin.film_um:.0f} thin"]
    assert "300" in texts(root)


def test_film_is_told_by_its_hatch_and_in_words(record: Record, shape: Shape) -> None:
    films = tuple(
        replace(film, nominal_um=2.0 * film.nominal_um) if film.zone == "port side" else film for film in record.films
    )
    looks = zone_looks(replace(record, films=films))
    assert looks["port side"] is LOOKS["thin"]
    assert looks["starboard side"] is not LOOKS["thin"]
    assert {looks[one.name].key for one in record.zones if not one.coated} == {LOOKS["bare"].key}
    root, _ = bottom(replace(record, films=films), shape)
    assert LOOKS["thin"].words in texts(root)
    assert len({PATTERNS[look.pattern] for look in LOOKS.values()}) == len(LOOKS)


def test_what_nobody_surveyed_is_dashed_and_said(record: Record, shape: Shape) -> None:
    root, _ = bottom(record, shape)
    assert of_class(root, "guess")
    assert "place not written down" in texts(root)
    known = replace(shape, spots=tuple(replace(one, written_down=True) for one in shape.spots))
    surveyed, _ = bottom(record, known)
    assert not of_class(surveyed, "guess")
    assert "place not written down" not in texts(surveyed)


def test_bare_spots_lie_where_they_were_measured_and_the_rest_is_counted(record: Record, shape: Shape) -> None:
    bare = (
        BareSpot(zone="port side", kind="slings", words="scuffed", station_m=4.0, girth_m=0.5, side="port"),
        BareSpot(zone="keel", kind="blocks", words="no room", station_m=5.0, girth_m=1.9),
        BareSpot(zone="port side", kind="other", words="somewhere"),
    )
    root, said = bottom(replace(record, bare=bare), replace(shape, spots=()))
    assert texts(root).count("X") == 2 + 1  # with that of the legend
    assert {"under a sling", "on the keel blocks", "bare spot"} <= set(texts(root))
    assert "nobody wrote down where: 1 of the bare spots below" in said


def test_a_word_at_the_stern_stands_to_the_left_of_its_spot(record: Record, shape: Shape) -> None:
    aft = float(shape.mesh.unrolled_m[:, :, 1].max())
    spot = BareSpot(zone="port side", kind="fitting", words="x", station_m=aft - 0.1, girth_m=0.1, side="port")
    root, _ = bottom(replace(record, bare=(spot,)), shape)
    assert next(one for one in root.iter("text") if one.text == "left bare on purpose").get("class") == "by end halo"


def test_what_the_drawing_is_goes_with_it(record: Record, shape: Shape) -> None:
    _, said = bottom(record, shape)
    assert all(note in said for note in shape.notes)


# Kits


def kits(record: Record, shape: Shape) -> tuple[Sequence[Block], dict[str, str]]:
    drawings: dict[str, str] = {}
    return list(batch_map(record, shape, words(), drawings=drawings)), drawings


def test_every_coat_has_its_map_and_every_batch_of_the_record_its_row(record: Record, shape: Shape) -> None:
    blocks, drawings = kits(record, shape)
    assert blocks[0].text == "Which kit went where"
    assert SPREAD_NOTE in blocks[1].text
    coats = {(one.product, one.coat.coat) for one in record.coats}
    assert len(drawings) == len(coats)
    assert {block.rows[0][1] for block in blocks if block.kind == "drawing"} == {f"{p}, coat {c}" for p, c in coats}
    rows = next(block for block in blocks if block.kind == "table").rows
    assert {int(row[1]) for row in rows} == {one.number for one in record.batches}


def test_litres_on_the_maps_are_those_of_the_batches(record: Record, shape: Shape) -> None:
    blocks, _ = kits(record, shape)
    rows = next(block for block in blocks if block.kind == "table").rows
    used = sum(one.batch.litres - one.batch.thrown_l for one in record.batches)
    assert sum(float(row[3]) for row in rows) == pytest.approx(used, abs=0.005 * len(rows))


def test_a_record_without_batches_has_no_batch_map(record: Record, shape: Shape) -> None:
    assert kits(replace(record, batches=()), shape) == ([], {})


def test_a_batch_that_met_no_coat_is_told(record: Record, shape: Shape) -> None:
    lost = replace(record.batches[0], batch=replace(record.batches[0].batch, product="something else"))
    blocks, _ = kits(replace(record, batches=(lost, *record.batches[1:])), shape)
    assert blocks[-1].text.startswith("Not on the maps: batch 1.")


# For paper


def test_hatches_that_are_used_are_there_once(record: Record, shape: Shape) -> None:
    drawings: dict[str, str] = {}
    list(bottom_map(record, shape, words(), drawings=drawings))
    list(batch_map(record, shape, words(), drawings=drawings))
    defined = re.findall(r'id="(h-[\w-]+)"', hatches())
    assert len(defined) == len(set(defined))
    used = set(re.findall(r"url\(#(h-[\w-]+)\)", "".join(drawings.values())))
    assert used <= set(defined)
    identities = re.findall(r' id="([\w-]+)"', "".join(drawings.values()))
    assert len(identities) == len(set(identities))


def test_on_paper_every_word_keeps_its_letters_and_stands_once(record: Record, shape: Shape) -> None:
    drawings: dict[str, str] = {}
    list(bottom_map(record, shape, words(), drawings=drawings))
    made = printable(drawings[BOTTOM], hatches())
    root = ElementTree.fromstring(made)
    space = "{http://www.w3.org/2000/svg}"
    assert sorted(one.text or "" for one in root.iter(f"{space}text")) == sorted(
        texts(ElementTree.fromstring(drawings[BOTTOM]))
    )
    assert "halo" not in made.partition("</style>")[2]
    assert "var(" not in made
    assert "system-ui" not in made


def test_a_scan_is_drawn_from_the_scan_and_kits_of_what_it_lacks_do_no_harm(finished: Running, record: Record) -> None:
    block = Spot(name="block", kind="blocks", side="centre", station_m=5.0, height_m=0.0, length_m=0.2, width_m=0.15)
    sling = Spot(name="sling", kind="slings", side="centre", station_m=2.0, height_m=1.4, length_m=0.2, width_m=3.0)
    bottom_seen = bottom_of(Repair(surface=welded(sloop())).whole_hull(), Waterline(fore_m=0.0, aft_m=0.0))
    mesh = zoned(bottom_seen, Zoning(spots=(("keel sole", block), ("under the slings", sling))))
    hidden = (
        Hidden(name="block", kind="blocks", area_each_m2=0.03, count=1, spots=(block,)),
        Hidden(name="slings", kind="slings", area_each_m2=0.5, count=1, spots=(sling,)),
    )
    job = finished.house.desk.ashore(finished.job).job
    seen = MeshHull(mesh=mesh, area_sd_m2=0.4, method="a scan", placed=frozenset({0, 1}))
    ashore = Ashore(job=replace(job, hull=replace(job.hull, girths=None, mesh=seen, hidden=hidden)))
    root, said = bottom(record, shape_of(ashore))
    assert "Drawn from the hull file: a scan." in said
    assert len(of_class(root, "sling")) == 1
    assert {"sling", "keel block"} <= set(texts(root))
    assert any(text.endswith(" thin") for text in texts(root))
    blocks, drawings = kits(record, shape_of(ashore))
    assert blocks[-1].text.endswith("not on the maps, for the drawing does not have it: pads 1.")
    assert len(drawings) == len({(one.product, one.coat.coat) for one in record.coats})
