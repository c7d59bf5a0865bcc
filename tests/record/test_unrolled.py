"""The unrolled bottom: places, hatches that tell film without colour, and a drawing that is sound XML."""

from __future__ import annotations

import itertools
from dataclasses import replace
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from boottop.measure.spots import Spot
from boottop.record.record import Record
from boottop.report.record_hull import outline_of, unrolled_of
from boottop.report.record_words import Words
from boottop.report.unrolled import Face, Film, Mark, Unrolled, unrolled_svg
from tests.web.serving import Running

BOX = ((0.0, 1.0), (10.0, 1.0))
"""A hull as wide at both ends."""


def drawn(*marks: Mark, port: Film = "full", starboard: Film = "full") -> ElementTree.Element:
    """The drawing as its elements."""
    made = Unrolled(
        outline=BOX,
        port=port,
        starboard=starboard,
        marks=marks,
        faces=(Face(name="keel <&>", length_m=1.0, height_m=1.0, film="thin"),),
    )
    return ElementTree.fromstring(unrolled_svg(made))


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in root.iter() if name in one.get("class", "").split()]


@pytest.mark.parametrize(("side", "way"), [("port", -1.0), ("starboard", 1.0)])
def test_down_from_the_waterline_is_towards_the_centreline(side: str, way: float) -> None:
    marks = [Mark(kind="read", station_m=5.0, girth_m=girth, side=side) for girth in (0.0, 0.5, 1.0)]
    root = drawn(*marks)
    middle = float(of_class(root, "centre")[0].get("y1", "0"))
    away = [way * (float(one.get("cy", "0")) - middle) for one in of_class(root, "read")]
    assert away[0] == pytest.approx(2.0 * away[1], rel=0.01)
    assert away[2] == pytest.approx(0.0, abs=0.1)


def test_stations_run_from_the_bow_at_the_left() -> None:
    root = drawn(*(Mark(kind="read", station_m=at, girth_m=0.5, side="port") for at in (0.0, 5.0, 10.0)))
    x = [float(one.get("cx", "0")) for one in of_class(root, "read")]
    assert x[1] - x[0] == pytest.approx(x[2] - x[1], abs=0.2)


def test_film_is_told_by_strokes_too() -> None:
    assert len(of_class(drawn(port="full"), "strokes")) == 2  # the two faces of the keel
    assert len(of_class(drawn(port="thin", starboard="less"), "strokes")) == 4
    thin, less = of_class(drawn(port="thin", starboard="less"), "strokes")[:2]
    assert thin.get("d", "").count("M") > 2 * less.get("d", "").count("M")


def test_what_nobody_surveyed_is_dashed() -> None:
    root = drawn(Mark(kind="pad", station_m=5.0, girth_m=0.5, side="port", surveyed=False))
    assert of_class(root, "guess") == of_class(root, "pad")


def test_taped_girths_are_the_outline(finished: Running, record: Record) -> None:
    measure = finished.house.desk.ashore(finished.job).job.hull
    assert measure.girths is not None
    assert outline_of(record, measure) == [(one.station_m, one.half_girth_m) for one in measure.girths.readings]


def test_without_girths_the_outline_has_the_area_of_a_side(finished: Running, record: Record) -> None:
    measure = replace(finished.house.desk.ashore(finished.job).job.hull, girths=None)
    outline = outline_of(record, measure)
    area_m2 = sum((b[0] - a[0]) * (a[1] + b[1]) / 2.0 for a, b in itertools.pairwise(outline))
    assert area_m2 == pytest.approx(next(zone.area_m2 for zone in record.zones if zone.kind == "side"))


def test_measured_stations_of_pads_are_used(finished: Running, record: Record) -> None:
    measure = finished.house.desk.ashore(finished.job).job.hull
    spot = Spot(name="pad", kind="pads", side="port", station_m=3.21, height_m=1.0, length_m=0.3, width_m=0.3)
    hidden = tuple(replace(one, spots=(spot,)) if one.kind == "pads" else one for one in measure.hidden)
    words = Words(zone=ZoneInfo("UTC"), system="metric")
    made = unrolled_of(record, replace(measure, hidden=hidden), words)
    assert [(one.station_m, one.side) for one in made.marks if one.kind == "pad"] == [(3.21, "port")]


def test_names_are_escaped() -> None:
    assert "keel <&>, port" in [one.text for one in drawn().iter()]
    wild = Mark(kind="bare", station_m=1.0, girth_m=0.1, side="port", text="<script>")
    assert "<script" not in unrolled_svg(Unrolled(outline=BOX, port="full", starboard="full", marks=(wild,)))
