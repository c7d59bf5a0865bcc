"""A real table of offsets, and what is said of tables that are too coarse."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from boottop.measure.inputs import Offsets
from boottop.measure.offsets import offsets_area, section_at
from boottop.measure.regressions import denny_mumford
from tests.measure.tables import offset_table, steps

GUNNERUS = Path(__file__).parents[1] / "data" / "gunnerus-offsets.json"


def gunnerus() -> tuple[Offsets, dict[str, float]]:
    """The research vessel's table, turned to count from the bow."""
    data = json.loads(GUNNERUS.read_text(encoding="utf-8"))
    size, hull = data["attributes"], data["halfBreadths"]
    columns = list(zip(*hull["table"], strict=True))[::-1]
    table = Offsets(
        stations_m=tuple(size["LOA"] * (1.0 - station) for station in reversed(hull["stations"])),
        waterlines_m=tuple(size["Depth"] * waterline for waterline in hull["waterlines"]),
        half_breadths_m=tuple(tuple(None if y is None else 0.5 * size["BOA"] * y for y in col) for col in columns),
        draft_m=data["design"]["Draft_design"],
    )
    return table, data["design"]


def test_gunnerus_is_told_to_be_coarse() -> None:
    table, design = gunnerus()
    result = offsets_area(table)
    own_m3 = design["Cb_design"] * design["LWL_design"] * 9.6 * design["Draft_design"]
    assert own_m3 == pytest.approx(584.5, abs=0.1)
    assert 485.0 < result.volume_m3 < 0.9 * own_m3
    assert 0.5 < result.block_coefficient < design["Cb_design"]
    assert any("too coarse to show the bottom, and the volume reads low" in note for note in result.notes)
    expected = denny_mumford(length_m=result.length_m, draft_m=result.draft_m, volume_m3=result.volume_m3)
    assert result.area_m2 == pytest.approx(expected, rel=0.10)
    assert result.sd_m2 > 0.012 * result.area_m2


def test_a_transom_left_open_is_added() -> None:
    table, _ = gunnerus()
    assert offsets_area(table).end_faces_m2 == pytest.approx((0.0, 4.5), abs=0.1)


def test_few_waterlines_are_noted() -> None:
    table = offset_table(lambda x, z: 1.0, stations_m=steps(8.0, 5), waterlines_m=steps(1.0, 3), draft_m=0.8)
    assert any("Only 2 waterlines under the draft" in note for note in offsets_area(table).notes)


def test_leaving_out_waterlines_is_noted_where_it_matters() -> None:
    bends = (0.1, 1.2, 0.3, 1.4, 0.5, 1.5, 1.5)
    table = offset_table(
        lambda x, z: bends[round(z / 0.1)], stations_m=steps(8.0, 5), waterlines_m=steps(0.6, 7), draft_m=0.6
    )
    assert any("every second waterline" in note for note in offsets_area(table).notes)


def test_sections_close_to_the_keel() -> None:
    flat = offset_table(lambda x, z: 1.0, stations_m=steps(8.0, 3), waterlines_m=(0.0, 0.25, 0.5), draft_m=0.5)
    section = section_at(flat, 1)
    assert section is not None
    assert section.girth_m == pytest.approx(1.5)
    assert section.half_area_m2 == pytest.approx(0.5)
    high = replace(flat, half_breadths_m=((None, 1.0, 1.0),) * 3)
    raised = section_at(high, 1)
    assert raised is not None
    assert raised.z_m.min() == pytest.approx(0.125)
    assert 1.25 < raised.girth_m < 1.5


def test_bulb_closes_below_the_waterline() -> None:
    table = offset_table(
        lambda x, z: 0.3 if z < 0.6 else 0.0, stations_m=steps(8.0, 3), waterlines_m=steps(1.0, 11), draft_m=1.0
    )
    section = section_at(table, 1)
    assert section is not None
    assert section.y_m[-1] == 0.0
    assert section.z_m[-1] == pytest.approx(0.6)


def test_no_section_where_there_is_no_hull() -> None:
    table = offset_table(lambda x, z: None, stations_m=steps(8.0, 3), waterlines_m=steps(1.0, 5), draft_m=1.0)
    assert section_at(table, 0) is None
