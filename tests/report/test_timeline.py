"""The drawing: well-formed, every bar where its time is, letters that do not collide, words that are only words."""

from __future__ import annotations

from datetime import UTC, datetime
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.typing import NDArray

from boottop.base.clock import Grid
from boottop.files.calendar_file import words_of
from boottop.plan.calendar import said
from boottop.report.axis import Axis, make_axis
from boottop.report.drawing import drawing_of
from boottop.report.timeline import Bar, Curve, Lane, Strip, draw, row_names
from boottop.report.typeset import typeset
from boottop.windows.windows import Rule
from tests.demo_job import DemoJob

GRID = Grid(start=datetime(2022, 4, 25, tzinfo=UTC), count=2 * 96)
AXIS = make_axis(GRID, ZoneInfo("UTC"), first=0, last=2 * 96)
PLACE = ZoneInfo("America/New_York")
EVIL = '<i onclick="x">&\'"]]></i>'


def bar(first: int, end: int, *, short: str = "1", words: str = "words") -> Bar:
    """A bar of the port side."""
    return Bar(first=first, end=end, short=short, words=words, colour="c-port")


def lane(*bars: Bar, rules: NDArray[np.int8] | None = None) -> Lane:
    """One lane."""
    return Lane(name="port side", rules=rules, bars=bars)


def tree(*lanes: Lane, strips: tuple[Strip, ...] = (), axis: Axis = AXIS) -> ElementTree.Element:
    """The drawing, parsed."""
    return ElementTree.fromstring(draw(axis, lanes, strips))


def groups(root: ElementTree.Element) -> list[ElementTree.Element]:
    """The bars drawn."""
    return [group for group in root.iter("g") if group.get("class", "").startswith("bar ")]


def letters(group: ElementTree.Element) -> tuple[str, str] | None:
    """What a bar bears, and how it is placed."""
    text = group.find("text")
    return None if text is None else (text.text or "", text.get("class", ""))


def test_a_bar_stands_where_its_time_is() -> None:
    (group,) = groups(tree(lane(bar(32, 48))))
    rect = group.find("rect")
    assert rect is not None
    assert float(rect.get("x", "nan")) == pytest.approx(AXIS.x(32), abs=0.06)
    assert float(rect.get("width", "nan")) == pytest.approx(AXIS.x(48) - AXIS.x(32), abs=0.06)


def test_letters_stand_inside_or_above_or_below_or_not_at_all() -> None:
    narrow = [bar(first, first + 1, short=f"strip {first}") for first in (32, 33, 34)]
    found = [letters(group) for group in groups(tree(lane(bar(60, 90, short="wide"), *narrow)))]
    assert found == [("strip 32", "over"), ("strip 33", "over"), None, ("wide", "in")]
    above, below = (group.find("text") for group in groups(tree(lane(*narrow)))[:2])
    assert above is not None
    assert below is not None
    assert float(above.get("y", "nan")) < float(below.get("y", "nan"))


def test_a_bar_of_no_time_is_still_seen() -> None:
    (group,) = groups(tree(lane(bar(40, 40))))
    rect = group.find("rect")
    assert rect is not None
    assert float(rect.get("width", "0")) >= 3.0


def test_words_are_only_words() -> None:
    strip = Strip(name=EVIL, unit="K", curves=(Curve(name=EVIL, values=np.arange(192.0), style="l-port"),))
    root = tree(lane(bar(32, 48, short=EVIL, words=EVIL)), strips=(strip,))
    assert root.find(".//i") is None
    assert [title.text for title in root.iter("title")].count(EVIL) == 2
    assert EVIL in [text.text for text in root.iter("text")]


def test_the_ground_of_a_lane_covers_it_without_gaps() -> None:
    rules = np.repeat(np.array([Rule.OPEN, Rule.RAIN, Rule.DARK, Rule.OPEN], dtype=np.int8), 48)
    bands = [rect for rect in tree(lane(rules=rules)).iter("rect") if rect.get("fill", "").startswith("url(#look-")]
    assert [band.get("fill") for band in bands] == [
        "url(#look-open)", "url(#look-wet)", "url(#look-dark)", "url(#look-open)",
    ]  # fmt: skip
    assert sum(float(band.get("width", "nan")) for band in bands) == pytest.approx(AXIS.width, abs=0.3)


def test_every_ground_that_is_used_is_defined() -> None:
    rules = np.resize(np.array([*Rule], dtype=np.int8), 192)
    root = tree(lane(rules=rules))
    defined = {pattern.get("id") for pattern in root.iter("pattern")}
    used = {rect.get("fill", "")[5:-1] for rect in root.iter("rect") if rect.get("fill", "").startswith("url(")}
    assert used == defined


@pytest.mark.parametrize(
    "values", [np.full(192, np.nan), np.zeros(192), np.full(192, 3.0)], ids=["none", "zero", "flat"]
)
def test_a_strip_without_much_to_show(values: NDArray[np.float64]) -> None:
    curve = Curve(name="x", values=values, style="l-port")
    strips = (
        Strip(name="x", unit="K", curves=(curve,), limit=3.0),
        Strip(name="r", unit="mm", curves=(curve,), filled=True),
    )
    text = draw(AXIS, (), strips)
    ElementTree.fromstring(text)
    assert "nan" not in text


def test_rows_are_as_many_as_their_names() -> None:
    strip = Strip(name="rain", unit="mm/h", curves=(Curve(name="r", values=np.zeros(192), style="l-rain"),))
    rows = row_names((lane(),), (strip,))
    assert [name for name, _ in rows] == ["port side", "rain, mm/h"]
    height = float(tree(lane(), strips=(strip,)).get("height", "nan"))
    assert height > sum(px for _, px in rows)


def test_the_demo_shows_every_task_once_with_its_words(demo: DemoJob) -> None:
    root = ElementTree.fromstring(drawing_of(demo.ashore, demo.outlook, demo.plan).svg)
    titles = [group.findtext("title") or "" for group in groups(root)]
    assert len(titles) == len(demo.plan.tasks)
    for task in demo.plan.tasks:
        start = f"{said(task.start.astimezone(PLACE))} to "
        (title,) = (one for one in titles if one.startswith(words_of(task)) and start in one)
        assert title.endswith(typeset(task.because))


def test_the_demo_lies_inside_its_drawing(demo: DemoJob) -> None:
    root = ElementTree.fromstring(drawing_of(demo.ashore, demo.outlook, demo.plan).svg)
    width = float(root.get("width", "nan"))
    for group in groups(root):
        rect = group.find("rect")
        assert rect is not None
        left = float(rect.get("x", "nan"))
        assert 0.0 < left < left + float(rect.get("width", "nan")) < width
