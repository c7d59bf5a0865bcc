"""Which kit went where: from times alone, nothing lost, nothing invented."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import combinations
from math import hypot
from typing import Any
from uuid import UUID
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.job.events import Event
from boottop.job.state import State
from boottop.measure.shell_outline import stations_at
from boottop.report.kit_map import kit_maps, kit_uses, kits_file, unplaced
from tests.report.pictures import START_S, shape, state

SHAPE = shape()
AREAS = dict(SHAPE.reckoned_m2)
COPPER = "hull copper"
SVG = "{http://www.w3.org/2000/svg}"


class Log:
    """Events one after the other."""

    def __init__(self) -> None:
        self.events: list[Event] = []

    def add(self, at_h: float, kind: str, zone: str | None = None, **data: Any) -> str:
        when = datetime.fromtimestamp(START_S + at_h * 3600, UTC)
        name = str(UUID(int=len(self.events) + 1))
        self.events.append(
            Event(id=name, kind=kind, happened=when, recorded=when, device="d", order=len(self.events), who="Ana",
                  zone=zone, data=data)
        )  # fmt: skip
        return name

    def mix(self, at_h: float, until_h: float, litres: float, *, thrown_l: float = 0.0, product: str = COPPER) -> None:
        name = self.add(at_h, "batch_mixed", product=product, litres=litres)
        self.add(until_h, "batch_done", batch=name, thrown_l=thrown_l)

    def coat(self, zone: str, from_h: float, to_h: float, *, coat: int = 1) -> None:
        self.add(from_h, "coat_started", zone, product=COPPER, coat=coat)
        self.add(to_h, "coat_finished", zone, product=COPPER, coat=coat)

    @property
    def state(self) -> State:
        return state(*self.events)


def test_kits_lie_along_the_zone_in_the_order_of_mixing_by_their_litres() -> None:
    log = Log()
    log.coat("port side", 10.0, 12.0)
    log.mix(9.9, 10.5, 1.0)
    log.mix(10.5, 11.2, 2.0)
    log.mix(11.2, 12.0, 1.5, thrown_l=0.5)
    uses = kit_uses(log.state, AREAS)
    assert [(use.number, use.litres) for use in uses] == [(1, 1.0), (2, 2.0), (3, 1.0)]
    assert [(use.from_share, use.to_share) for use in uses] == [(0.0, 0.25), (0.25, 0.75), (0.75, 1.0)]
    assert not any(use.alone for use in uses)


def test_one_kit_for_two_zones_is_shared_by_their_areas() -> None:
    log = Log()
    log.coat("port side", 10.0, 12.0)
    log.coat("running gear", 10.0, 11.0)
    log.mix(9.9, 12.0, 3.0)
    uses = {use.zone: use for use in kit_uses(log.state, AREAS)}
    total = AREAS["port side"] + AREAS["running gear"]
    assert uses["port side"].litres == pytest.approx(3.0 * AREAS["port side"] / total)
    assert all(use.alone for use in uses.values())


def test_another_product_or_another_time_does_not_fit() -> None:
    log = Log()
    log.coat("port side", 10.0, 12.0)
    log.mix(13.0, 14.0, 1.0)
    log.mix(10.0, 11.0, 1.0, product="undercoat")
    assert kit_uses(log.state, AREAS) == ()
    assert unplaced(log.state, ()) == (1, 2)


def test_a_pot_and_a_coat_without_an_end_count_for_some_hours() -> None:
    log = Log()
    log.add(10.0, "coat_started", "port side", product=COPPER, coat=1)
    log.add(10.1, "batch_mixed", product=COPPER, litres=1.0)
    log.add(20.0, "batch_mixed", product=COPPER, litres=1.0)
    assert [use.number for use in kit_uses(log.state, AREAS)] == [1]
    assert unplaced(log.state, kit_uses(log.state, AREAS)) == (2,)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.0, 20.0), st.floats(0.05, 3.0), st.floats(0.1, 4.0)), min_size=1, max_size=8),
    st.lists(st.tuples(st.sampled_from(("port side", "starboard side")), st.floats(0.0, 20.0)), min_size=1, max_size=4),
)
def test_litres_are_neither_lost_nor_made(
    mixes: list[tuple[float, float, float]], coats: list[tuple[str, float]]
) -> None:
    log = Log()
    for number, (zone, at_h) in enumerate(coats, start=1):
        log.coat(zone, at_h, at_h + 1.5, coat=number)
    for at_h, long_h, litres in mixes:
        log.mix(at_h, at_h + long_h, litres)
    found = log.state
    uses = kit_uses(found, AREAS)
    for number, batch in enumerate(found.batches, start=1):
        used = sum(use.litres for use in uses if use.number == number)
        assert used == pytest.approx(0.0 if number in unplaced(found, uses) else batch.litres - batch.thrown_l)
    for use in uses:
        assert 0.0 <= use.from_share <= use.to_share <= 1.0 + 1e-9


def test_the_map_has_a_drawing_for_each_coat_with_the_numbers_on_it() -> None:
    log = Log()
    for coat in (1, 2):
        log.coat("port side", 10.0 * coat, 10.0 * coat + 2.0, coat=coat)
        log.mix(10.0 * coat, 10.0 * coat + 1.0, 1.0)
        log.mix(10.0 * coat + 1.0, 10.0 * coat + 2.0, 1.0)
    maps = kit_maps(SHAPE, kit_uses(log.state, AREAS), standalone=True)
    assert [one.title for one in maps] == [f"{COPPER}, coat 1", f"{COPPER}, coat 2"]
    tree = ElementTree.fromstring(maps[1].svg)
    assert {"3", "4"} <= {one.text for one in tree.iter(f"{SVG}text")}
    bands = [one for one in tree.iter(f"{SVG}rect") if one.get("class") == "kit"]
    border = stations_at(SHAPE.mesh, "port side", np.asarray([0.5]))[0]
    assert len(bands) == 2
    assert 2.0 < border < 7.0
    assert float(bands[0].get("x") or 0) + float(bands[0].get("width") or 0) == pytest.approx(
        float(bands[1].get("x") or 0), abs=0.2
    )


def test_all_coats_go_into_one_file_with_the_words_that_belong_to_them() -> None:
    log = Log()
    for coat in (1, 2):
        log.coat("port side", 10.0 * coat, 10.0 * coat + 2.0, coat=coat)
        log.mix(10.0 * coat, 10.0 * coat + 2.0, 1.0)
    text = kits_file(SHAPE, kit_uses(log.state, AREAS), units="us", boat="<Nobody>")
    tree = ElementTree.fromstring(text)
    words = [one.text or "" for one in tree.iter(f"{SVG}text")]
    assert "<Nobody>: which kit went where" in words
    assert " ".join(words).count("bow to stern") == 1
    assert [word for word in words if word.startswith(COPPER)] == [f"{COPPER}, coat 1", f"{COPPER}, coat 2"]
    assert len(tree.findall(f"{SVG}svg")) == 2
    identities = [one.get("id") for one in tree.iter() if one.get("id")]
    assert len(identities) == len(set(identities))
    assert kits_file(SHAPE, (), units="us", boat="Nobody") == ""


def test_kits_of_one_coat_have_hatches_of_their_own_and_numbers_apart() -> None:
    log = Log()
    for number in range(6):  # an earlier coat shifts the numbers
        log.mix(1.0 + number, 1.5 + number, 1.0)
    log.coat("port side", 0.9, 8.0)
    for number, zone in enumerate(("port side", "starboard side", "pads 1")):
        log.coat(zone, 20.0 + number, 20.9 + number, coat=2)
        log.mix(20.0 + number, 20.8 + number, 1.0)
    second = kit_maps(SHAPE, kit_uses(log.state, AREAS), standalone=True)[1]
    found = ElementTree.fromstring(second.svg)
    fills = {one.get("fill") for one in found.iter(f"{SVG}rect") if one.get("class") == "kit"}
    assert len(fills) == len({use.number for use in second.uses})
    places = [
        (float(one.get("x") or 0), float(one.get("y") or 0))
        for one in found.iter(f"{SVG}text")
        if (one.text or "").isdigit() and one.get("class") == "name halo"
    ]
    assert len(places) >= len(fills)
    assert all(hypot(a[0] - b[0], a[1] - b[1]) > 15.0 for a, b in combinations(places, 2))


def test_a_kit_of_a_zone_that_is_not_drawn_stands_in_the_list_alone() -> None:
    log = Log()
    log.coat("port side", 10.0, 12.0)
    log.coat("dagger board", 10.0, 12.0)
    log.mix(10.0, 12.0, 1.0)
    found = kit_maps(SHAPE, kit_uses(log.state, AREAS), standalone=True)
    assert {use.zone for use in found[0].uses} == {"port side", "dagger board"}
    assert "dagger board" not in found[0].svg
