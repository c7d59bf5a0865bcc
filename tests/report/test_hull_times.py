"""What state a zone is in when: the plan alone, the log alone, and the plan after the log."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.job.events import Event
from boottop.job.state import State
from boottop.report.hull_data import PictureInput, anchors, picture_document, shown_span, zone_lines
from boottop.report.hull_looks import STATE_LOOKS
from boottop.report.hull_times import Step, at, film_at, zone_times
from tests.report.pictures import DRY_UM, FAIR, START_S, empty, hull, shape, state, zone

PORT = "port side"


def hour(at_h: float) -> int:
    return START_S + round(3600 * at_h)


def event(at_h: float, kind: str, of: str | None = PORT, *, number: int = 0, **data: Any) -> Event:
    when = datetime.fromtimestamp(hour(at_h), UTC)
    return Event(
        id=str(UUID(int=number or round(at_h * 1000))), kind=kind, happened=when, recorded=when, device="d", order=0,
        who="Ana", zone=of, data=data,
    )  # fmt: skip


def looks(name: str, found: State | None = None) -> list[tuple[float, str, int]]:
    times = zone_times(FAIR, zone(name), found or empty(), dry_film_um=DRY_UM)
    return [((step.at_s - START_S) / 3600, step.look, step.coats) for step in times.steps]


def at_hour(name: str, at_h: float, found: State | None = None) -> Step:
    return at(zone_times(FAIR, zone(name), found or empty(), dry_film_um=DRY_UM).steps, hour(at_h))


def test_a_plan_goes_from_fresh_to_the_next_coat() -> None:
    assert at_hour(PORT, 9.0).look == "s-none"
    assert at_hour(PORT, 11.25) == Step(at_s=hour(11.0), look="s-wet", coats=0)
    assert at_hour(PORT, 12.0) == Step(at_s=hour(11.75), look="s-wet", coats=1)
    primer = zone("running gear").systems[0]
    ready_h, late_h = primer.ready[39] / 4, primer.overcoat_until[39] / 4  # finished at mark 39, 9:45
    assert at_hour("running gear", ready_h - 0.25).look == "s-wet"
    assert at_hour("running gear", ready_h).look == "s-next"
    assert at_hour("running gear", late_h - 0.25).look == "s-next"
    assert at_hour("running gear", late_h).look == "s-late"
    assert at_hour(PORT, 13.25).look == "s-wet"


def test_a_window_that_passes_says_so_until_the_next_work() -> None:
    late = [step for step in looks(PORT) if step[1] == "s-late"]
    assert [coats for _, _, coats in late] == [2]  # two of three coats are in this plan
    assert at_hour(PORT, 40.0).look == "s-late"
    assert at_hour(PORT, 63.5).look == "s-bare"


def test_the_last_coat_hardens_and_may_then_float() -> None:
    done = state(
        *(event(1.0 + 5 * n, "coat_started", number=10 + n, product="hull copper", coat=n + 1) for n in range(3)),
        *(event(2.0 + 5 * n, "coat_finished", number=20 + n, product="hull copper", coat=n + 1) for n in range(3)),
    )
    assert [look for _, look, _ in looks(PORT, done)][-4:-1] == ["s-wet", "s-hard", "s-done"]
    assert looks(PORT, done)[-1][1] == "s-bare"


def test_pads_stay_under_the_stands_until_these_are_moved() -> None:
    assert [look for _, look, _ in looks("pads 1")] == ["s-pads"]
    moved = state(event(30.0, "stands_moved", None, stand_set=1))
    assert looks("pads 1", moved) == [(0.0, "s-pads", 0), (30.0, "s-none", 0)]


def test_the_log_counts_up_to_its_last_entry_and_the_plan_from_there_on() -> None:
    found = state(event(10.0, "abraded"), event(12.0, "coat_started", product="hull copper", coat=1),
                  event(12.5, "coat_finished", product="hull copper", coat=1))  # fmt: skip
    assert at_hour(PORT, 11.2, found).look == "s-sand"  # the plan had the coat on by then
    assert at_hour(PORT, 12.6, found) == Step(at_s=hour(12.5), look="s-wet", coats=1)
    assert at_hour(PORT, 13.25, found).look == "s-wet"  # coat 2 of the plan, still to come


def test_a_coat_that_was_begun_and_not_finished_stays_fresh() -> None:
    found = state(event(70.0, "coat_started", product="hull copper", coat=1))
    assert looks(PORT, found)[-1] == (70.0, "s-wet", 0)


def test_beyond_the_weather_nothing_is_promised() -> None:
    found = state(event(71.4, "coat_started", product="hull copper", coat=1),
                  event(71.7, "coat_finished", product="hull copper", coat=1))  # fmt: skip
    assert looks(PORT, found)[-1][1:] == ("s-wet", 1)


def test_film_follows_the_litres_where_they_were_written_down() -> None:
    system = zone(PORT).systems[0]
    found = state(
        event(10.0, "coat_finished", product="hull copper", coat=1, litres=0.5 * system.litres_per_coat, number=1),
        event(12.0, "coat_finished", product="hull copper", coat=2, number=2),
        event(70.0, "note", None, text="later than the plan", number=3),
    )
    times = zone_times(FAIR, zone(PORT), found, dry_film_um=DRY_UM)
    assert [step.dry_um for step in times.film] == pytest.approx([35.0, 105.0])
    assert times.film[1].share == pytest.approx(0.5)
    assert film_at(times.film, hour(9.0)) is None
    assert times.coats_due == 3


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 71.0), st.sampled_from(("abraded", "wiped", "stripped", "coat"))), max_size=8))
def test_steps_are_in_order_and_known_whatever_was_logged(entries: list[tuple[float, str]]) -> None:
    events = []
    for number, (at_h, what) in enumerate(entries, start=1):
        if what == "coat":
            data: dict[str, Any] = {"product": "hull copper", "coat": 1 + number % 3}
            events.append(event(at_h, "coat_started", number=2 * number, **data))
            events.append(event(at_h + 0.5, "coat_finished", number=2 * number + 1, **data))
        else:
            events.append(event(at_h, what, number=2 * number))
    times = zone_times(FAIR, zone(PORT), state(*events), dry_film_um=DRY_UM)
    stamps = [step.at_s for step in times.steps]
    assert stamps == sorted(stamps)
    assert {step.look for step in times.steps} <= set(STATE_LOOKS)
    assert all(0 <= step.coats <= 8 for step in times.steps)
    shares = [step.share for step in times.film]
    assert shares == sorted(shares)


# The document


def given_of(table: bool = True) -> PictureInput:
    return PictureInput(
        boat="Nobody", shape=shape(), zones=hull().zones, table=FAIR if table else None, state=empty(),
        dry_film_um=DRY_UM, now_s=hour(12.0), units="metric",
    )  # fmt: skip


def test_the_document_holds_every_facet_once_in_the_order_of_the_zones() -> None:
    given_now = given_of()
    found = picture_document(given_now)
    part, mesh = found["shape"], given_now.shape.mesh
    assert sum(part["zones"].values()) == mesh.surface.count == len(part["facets"]) // 3 == len(part["skin"])
    assert list(part["zones"]) == [one.name for one in given_now.zones]
    assert max(part["facets"]) < len(part["xyz_mm"]) // 3 == len(part["flat_mm"]) // 2
    assert max(map(abs, part["xyz_mm"])) <= 9300
    start = 0
    for name, count in part["zones"].items():
        corners = part["facets"][3 * start : 3 * (start + count)]
        y = [part["xyz_mm"][3 * corner + 1] for corner in corners]
        if name == PORT:
            assert max(y) <= 0
        start += count


def test_the_document_and_the_table_agree() -> None:
    found = picture_document(given_of())
    lines = {line.name: line for line in zone_lines(given_of(), hour(12.0))}
    for one in found["zones"]:
        steps = [step for step in one["steps"] if step[0] <= hour(12.0)]
        assert lines[one["name"]].look.key == steps[-1][1]
        assert sum(length for _, length in one["surface"]) in (0, FAIR.count)
    assert lines[PORT].surface_c == zone(PORT).systems[0].surface_c[48]
    assert set(found["looks"]) >= {key for scale in found["scales"].values() for key in scale["keys"]}


def test_the_slider_runs_from_before_the_haul_out_to_after_the_launch_within_the_weather() -> None:
    first, last = shown_span(FAIR)
    assert first == hour(2.0)
    assert last == START_S + (FAIR.count - 1) * FAIR.slot_s


def test_without_a_plan_the_hull_alone_is_shown() -> None:
    found = picture_document(given_of(table=False))
    assert found["time"] is None
    assert {step[0][1] for step in (one["steps"] for one in found["zones"])} == {"s-none", "s-skip"}


def test_labels_are_tied_to_their_zone_and_look_outwards() -> None:
    mesh = shape().mesh
    port = anchors(mesh, PORT)
    assert len(port) == 1
    assert port[0][1] < 0.0
    assert port[0][4] < 0.0
    assert len(anchors(mesh, "pads 1")) == 2
    assert anchors(mesh, "no such zone") == []
