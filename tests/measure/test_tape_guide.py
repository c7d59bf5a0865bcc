"""The guided list of girths: order, doubts after each, what stays, and the sentence on kits; and its picture."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from boottop.measure.girths import girth_area
from boottop.measure.guide import Body, tape_guide, usual_girths, worth
from boottop.report.tape_guide import tape_picture
from tests.measure.boats import girths


def test_a_usual_hull_starts_with_the_quarters_and_the_ends() -> None:
    guide = tape_guide(usual_girths(Body(waterline_length_m=10.0)), most=9)
    assert [step.station_m for step in guide.steps[:5]] == [2.5, 5.0, 7.5, 0.0, 10.0]
    assert [step.sd_m2 for step in guide.steps[:2]] == [None, None]
    sds = [step.sd_m2 for step in guide.steps if step.sd_m2 is not None]
    assert sds == sorted(sds, reverse=True)
    assert sds[-1] > guide.floor_sd_m2 > 0.1
    assert len({step.station_m for step in guide.steps}) == 9
    assert 18.0 < guide.area_m2 < 28.0


def test_girths_already_taped_are_kept_and_the_next_is_where_it_helps_most() -> None:
    whole = girths()
    few = replace(whole, readings=whole.readings[:7])  # nothing taped aft of 6.9 m
    guide = tape_guide(few, few.readings, most=9)
    taped = [step for step in guide.steps if step.taped]
    to_come = [step for step in guide.steps if not step.taped]
    assert len(taped) == 7
    assert min(step.station_m for step in to_come) > 6.9
    assert taped[-1].sd_m2 == pytest.approx(girth_area(few).sd_m2)
    assert (to_come[-1].sd_m2 or 9.0) < 0.5 * (taped[-1].sd_m2 or 0.0)
    said = worth(guide, m2_per_kit=5.0)
    assert said.startswith("2 more girths aft would take")
    assert "kits" in said


def test_words_where_nothing_is_left_to_do() -> None:
    whole = girths()
    assert worth(tape_guide(whole, whole.readings, most=9)).startswith("Taped enough: give or take")
    assert worth(tape_guide(usual_girths(Body(waterline_length_m=8.0)), most=3)).startswith("The first three girths")
    halved = tape_guide(usual_girths(Body(waterline_length_m=8.0)), most=5)
    assert "off the doubt" in worth(halved) or "halve the doubt" in worth(halved)


def test_short_bays_are_not_divided() -> None:
    guide = tape_guide(usual_girths(Body(waterline_length_m=3.0)), most=15)
    stations = sorted(step.station_m for step in guide.steps)
    assert min(b - a for a, b in pairwise(stations)) >= 0.37
    assert len(stations) < 12


def test_the_picture_has_every_station_and_is_plain_svg() -> None:
    guide = tape_guide(usual_girths(Body(waterline_length_m=10.0)), most=7)
    for system, place in (("metric", "2.5 m"), ("us", "8 ft 2.4 in")):
        svg = tape_picture(guide, system=system)  # type: ignore[arg-type]
        root = ElementTree.fromstring(svg)
        words = [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]
        assert {str(number) for number in range(1, 8)} <= set(words)
        assert place in words
        assert "http" not in svg.replace("http://www.w3.org/2000/svg", "")
