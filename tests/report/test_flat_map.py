"""The flat hull as a drawing, and the looks that fill it."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from boottop.measure.shell_outline import half_girth_at
from boottop.measure.shell_spots import Footprint
from boottop.record.facts import BareSpot
from boottop.report.flat_map import FOOT_M, Shape, flat_map, sheet_of
from boottop.report.hull_looks import (
    FILM_EDGES_FRACTION,
    NO_NUMBER,
    PATTERNS,
    STATES,
    SURFACE_EDGES_C,
    Look,
    definitions,
    film_scale,
    hull_css,
    margin_scale,
    surface_scale,
)
from boottop.report.hull_shape import with_bare_spots
from tests.report.pictures import shape

SVG = "{http://www.w3.org/2000/svg}"
SHAPE = shape()
GROUNDS = dict(re.findall(r"\.g-([\w-]+) \{ fill: (#[0-9a-f]{6})", hull_css()))
INKS = dict(re.findall(r"\.i-([\w-]+) \{ stroke: (#[0-9a-f]{6})", hull_css()))


def tree(given: Shape = SHAPE, **rest: str) -> ElementTree.Element:
    looks = {name: STATES[k % 4] for k, name in enumerate(given.mesh.zone_names)}
    return ElementTree.fromstring(flat_map(given, looks, standalone=True, **rest))  # type: ignore[arg-type]


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_every_zone_is_drawn_once_with_its_look_and_words() -> None:
    paths = {one.get("data-zone"): one for one in tree().iter(f"{SVG}path") if one.get("data-zone")}
    assert set(paths) == set(SHAPE.mesh.zone_names)
    for name, path in paths.items():
        title = path.find(f"{SVG}title")
        assert title is not None
        assert title.text is not None
        assert title.text.startswith(f"{name}: ")
        assert re.fullmatch(r"url\(#h-s-\w+\)", path.get("fill") or "")


def test_hatches_that_are_used_are_defined_and_coloured() -> None:
    found = tree()
    used = set(re.findall(r"url\(#([\w-]+)\)", ElementTree.tostring(found, encoding="unicode")))
    assert used <= {one.get("id") for one in found.iter(f"{SVG}pattern")}


def test_port_lies_above_and_the_bow_to_the_left() -> None:
    sheet = sheet_of(SHAPE.mesh)
    assert sheet.y(-1.0) < sheet.y(0.0) < sheet.y(1.0)
    assert sheet.x(0.0) < sheet.x(9.0)
    port = next(one for one in tree().iter(f"{SVG}path") if one.get("data-zone") == "port side")
    heights = [float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", port.get("d") or "")]
    assert max(heights) <= sheet.y(0.0) + 0.1


def test_a_guessed_place_is_dashed_and_a_written_one_is_not() -> None:
    guessed = [one.get("class") for one in tree().iter(f"{SVG}rect")]
    assert "spot guess" in guessed
    assert "spot" not in guessed
    told = replace(SHAPE, spots=tuple(replace(one, written_down=True) for one in SHAPE.spots))
    assert "spot guess" not in [one.get("class") for one in tree(told).iter(f"{SVG}rect")]


def test_every_box_has_an_edge_of_paper_to_be_seen_on_any_ground() -> None:
    styles = [one.get("class") or "" for one in tree().iter(f"{SVG}rect")]
    boxes = [number for number, style in enumerate(styles) if style.startswith(("spot", "sling"))]
    assert boxes
    assert all(styles[number - 1] == "casing" for number in boxes)


def test_slings_run_right_round_her() -> None:
    sling = Footprint(
        kind="slings", name="fore sling", side="centre", station_m=2.5, girth_m=0.0, length_m=0.15, width_m=3.0
    )
    boxes = [
        one for one in tree(replace(SHAPE, spots=(sling,))).iter(f"{SVG}rect") if "sling" in (one.get("class") or "")
    ]
    sheet = sheet_of(SHAPE.mesh)
    assert len(boxes) == 1
    assert float(boxes[0].get("height") or 0) == pytest.approx(
        sheet.y(3.0) - sheet.y(0.0) + sheet.y(0.0) - sheet.y(-3.0), rel=0.2
    )


def test_bare_spots_of_the_record_lie_where_they_were_measured_down_from_the_waterline() -> None:
    measured = BareSpot(zone="port side", kind="other", words="scratch", station_m=4.6, girth_m=0.5, side="port")
    somewhere = BareSpot(zone="port side", kind="other", words="somewhere")
    marks = [spot for spot in with_bare_spots(SHAPE, (measured, somewhere)).spots if spot.kind == "bare"]
    assert [(spot.station_m, spot.side) for spot in marks] == [(4.6, "port")]
    assert marks[0].girth_m == pytest.approx(1.80 - 0.5, abs=0.02)  # 1.80 m was taped there
    assert half_girth_at(SHAPE.mesh, 40.0, "port") == 0.0
    assert "X" in [one.text for one in tree(replace(SHAPE, spots=tuple(marks))).iter(f"{SVG}text")]


def test_names_are_escaped() -> None:
    mesh = replace(SHAPE.mesh, zone_names=('<port> & "x"', *SHAPE.mesh.zone_names[1:]))
    names = {one.get("data-zone") for one in tree(replace(SHAPE, mesh=mesh)).iter(f"{SVG}path")}
    assert '<port> & "x"' in names


def test_the_scale_along_her_is_in_feet_where_that_is_asked() -> None:
    texts = [one.text for one in tree(units="us").iter(f"{SVG}text")]
    assert "ft aft of the fore end of the waterline" in texts
    numbers = [int(text) for text in texts if text and text.isdigit()]
    assert max(numbers) <= 9.2 / FOOT_M < max(numbers) + 4


# Looks


def test_every_look_has_a_ground_an_ink_and_a_hatch() -> None:
    scales = (surface_scale("metric"), margin_scale(3.0, "metric"), film_scale())
    looks = [*STATES, NO_NUMBER, *(look for scale in scales for look in scale.looks)]
    assert {look.key for look in looks} <= set(GROUNDS)
    assert {look.key for look in looks} <= set(INKS)
    assert all(look.pattern in PATTERNS for look in looks)
    assert len({look.words for look in STATES}) == len(STATES)


@pytest.mark.parametrize(
    "group", [STATES, surface_scale("us").looks, margin_scale(3.0, "us").looks, film_scale().looks]
)
def test_no_two_of_a_legend_differ_by_colour_alone(group: tuple[Look, ...]) -> None:
    """Two with one hatch are told apart by how bright they are, for whoever sees no colour."""
    for number, one in enumerate(group):
        for other in group[number + 1 :]:
            if one.pattern == other.pattern:
                lights = sorted((luminance(GROUNDS[one.key]), luminance(GROUNDS[other.key])))
                assert (lights[1] + 0.05) / (lights[0] + 0.05) > 1.6, (one, other)


@pytest.mark.parametrize("letter", ["t", "f"])
def test_a_scale_grows_steadily_brighter_or_darker(letter: str) -> None:
    lights = [luminance(GROUNDS[key]) for key in sorted(GROUNDS) if re.fullmatch(rf"{letter}-\d", key)]
    steps = [(b + 0.05) / (a + 0.05) for a, b in pairwise(lights)]
    assert all(step > 1.15 for step in steps) or all(step < 1 / 1.15 for step in steps)


def test_hatches_stand_out_from_their_ground() -> None:
    for key, ground in GROUNDS.items():
        if key == "s-bare":  # copper stays plain
            continue
        lights = sorted((luminance(ground), luminance(INKS[key])))
        assert (lights[1] + 0.05) / (lights[0] + 0.05) > 2.5, key


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (-2.0, "under 5 °C"),
        (4.9, "under 5 °C"),
        (5.0, "5 °C to 10 °C"),
        (34.9, "30 °C to 35 °C"),
        (35.0, "35 °C and over"),
    ],
)
def test_a_temperature_falls_into_its_class(value: float, words: str) -> None:
    assert surface_scale("metric").look_of(value).words == words


def test_classes_are_printed_in_the_units_of_the_person() -> None:
    assert surface_scale("us").looks[1].words == "41 °F to 50 °F"
    assert len(surface_scale("us").looks) == len(SURFACE_EDGES_C) + 1
    assert margin_scale(3.0, "metric").look_of(2.9).words == "too close, under 3 K"
    assert margin_scale(3.0, "metric").look_of(-0.1).words == "below the dew point: wet"


def test_film_is_sorted_by_its_share_and_no_number_is_no_number() -> None:
    words = [film_scale().look_of(share).words for share in (0.0, 0.25, 0.5, 0.75, 0.8, 1.0, 1.3)]
    assert words[0] == "none yet"
    assert words[-2:] == ["all of it", "more than the sheet says"]
    assert len(set(words)) == len(FILM_EDGES_FRACTION) + 1
    assert film_scale().look_of(None) is NO_NUMBER
    assert surface_scale("metric").look_of(float("nan")) is NO_NUMBER


def test_definitions_are_one_for_each_look() -> None:
    assert definitions(STATES).count("<pattern") == len(STATES)
