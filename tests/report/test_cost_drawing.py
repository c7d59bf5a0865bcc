"""Drawings of the cost: well formed, escaped, the same on paper and page, and telling ways apart without colour."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from boottop.files.cost_case import DaysAshore, JobFacts
from boottop.files.cost_sheet import parse_cost
from boottop.files.cost_template import Known, cost_text
from boottop.money.decide import Decision
from boottop.report import cost_drawing
from boottop.report.cost_page import cost_page
from boottop.report.cost_view import CostView, turning_of, view_of

SVG = "{http://www.w3.org/2000/svg}"
NASTY = 'a <b>"way"</b> & more'
KNOWN = Known(
    currency="EUR", lift_minor=84_000, day_minor=3_800, wage_minor=2_000, system="Invented epoxy", hard=True,
    has_plan_prices=True, length_m=9.9, wetted_m2=31.0,
)  # fmt: skip
FACTS = JobFacts(
    currency="EUR", boat=NASTY, length_m=9.9, wetted_m2=31.0, days=DaysAshore(days=(9, 10, 14), from_where="odds"),
    work_hours=(50.0,), materials_minor=180_000, missing={},
)  # fmt: skip
DRAWINGS: tuple[Callable[..., str], ...] = (
    cost_drawing.draw_groups, cost_drawing.draw_years, cost_drawing.draw_spread, cost_drawing.draw_tornado,
)  # fmt: skip


@pytest.fixture(scope="module")
def view() -> CostView:
    """The document as boottop writes it, one way with a name that must be escaped."""
    text = cost_text(KNOWN).replace('"leave it as it is"', f"'{NASTY}'")
    return view_of(parse_cost(text, currency="EUR"), FACTS, draws=300)


@pytest.mark.parametrize("draw", DRAWINGS)
@pytest.mark.parametrize("width", [None, 640])
def test_a_drawing_is_well_formed_and_within_its_frame(
    view: CostView, draw: Callable[..., str], *, width: int | None
) -> None:
    palette = cost_drawing.PAGE if width is None else cost_drawing.PRINT
    svg = draw(view.decision, palette=palette, width_px=width)
    root = ElementTree.fromstring(svg)
    assert root.attrib["aria-label"]
    assert ("var(--" in svg) == (width is None)
    height = float(root.attrib["height"])
    for element in root.iter():
        for name in ("x", "x1", "x2"):
            place = element.attrib.get(name, "0").rstrip("%")
            assert 0.0 <= float(place) <= (100.0 if width is None else width)
        assert 0.0 <= float(element.attrib.get("y", "0")) <= height


def test_ways_are_told_apart_without_colour(view: CostView) -> None:
    years = ElementTree.fromstring(cost_drawing.draw_years(view.decision))
    dashes = {line.attrib.get("stroke-dasharray") for line in years.iter(f"{SVG}line")} - {None}
    letters = {text.text for text in years.iter(f"{SVG}text")}
    assert len(dashes) == len(view.decision.outcomes) == 3
    assert {"A", "B", "C"} <= letters


def test_letters_at_the_ends_of_lines_do_not_cover_each_other(view: CostView) -> None:
    same = tuple(replace(one, by_year_minor=view.decision.outcomes[0].by_year_minor) for one in view.decision.outcomes)
    decision: Decision = replace(view.decision, outcomes=same)
    root = ElementTree.fromstring(cost_drawing.draw_years(decision))
    places = sorted(float(one.attrib["y"]) for one in root.iter(f"{SVG}text") if one.text in {"A", "B", "C"})
    assert min(second - first for first, second in itertools.pairwise(places)) >= cost_drawing.TEXT_PX


def test_inputs_of_a_way_go_by_its_letter(view: CostView) -> None:
    assert cost_drawing.lettered(view.decision, f"{NASTY}: days ashore") == "C: days ashore"
    assert cost_drawing.lettered(view.decision, "a diver's visit") == "a diver's visit"


def test_the_page_escapes_every_name_and_fetches_nothing(view: CostView) -> None:
    page = cost_page(view)
    assert "<b>" + '"way"' not in page
    assert "a &lt;b&gt;" in page
    assert not re.search(r"https?://(?!www\.w3\.org)", page)
    assert "<script" not in page


def test_two_sentences_say_what_turns_it(view: CostView) -> None:
    assert len(turning_of(view)) == 2
    without = replace(view, decision=replace(view.decision, turned_by=view.decision.turned_by[:1]))
    assert turning_of(without)[1] == "No other single input turns it, as far as was looked."
    nothing = replace(view, decision=replace(view.decision, turned_by=()))
    assert turning_of(nothing) == ["No single input turns the choice, as far as was looked."]
