"""Rain on a film that was not rain-safe: cured, its spots sanded, then on; the last coat too; not under a tent."""

from __future__ import annotations

import json

import pytest

from boottop.job.nexts import NextStep
from tests.job.make_conformance import FILE
from tests.job.small_board import COATED, Line, log, seconds, step, system, table

RAINED: tuple[Line, ...] = (*COATED, (9.0, "rain", {"what": "began"}), (9.25, "rain", {"what": "ended"}))
ALL_ON: tuple[Line, ...] = (
    *COATED,
    (8.75, "coat_finished", {"coat": 2}),
    (10.0, "coat_finished", {"coat": 3}),
)
LAST_RAINED: tuple[Line, ...] = (*ALL_ON, (11.0, "rain", {"what": "began"}), (11.25, "rain", {"what": "ended"}))
"""Coat 3 is on at 10:00 and rain-safe at 12:00; it bears a stand, and the paper, at 20:00."""


def told(found: NextStep) -> tuple[str, int | None, str | None, bool]:
    return found.kind, found.coat, found.because, found.rained_on


def test_the_coat_is_let_cure_and_sanded_though_the_next_would_be_in_time() -> None:
    found = step(log(*RAINED), 9.5)
    assert told(found) == ("sand", 1, "rained_on", True)
    assert found.may_from_s == seconds(17.5), "ten hours after it was finished"
    assert [one.name for one in found.countdowns] == ["rain_safe"], "no time for the next coat is promised"


def test_once_sanded_the_zone_is_wiped_and_the_next_coat_follows() -> None:
    assert told(step(log(*RAINED, (18.0, "abraded", {})), 18.5)) == ("wipe", None, None, False)
    ready = log(*RAINED, (18.0, "abraded", {}), (18.5, "wiped", {}))
    assert told(step(ready, 18.5)) == ("coat", 2, None, False)


def test_rain_after_the_film_was_safe_is_no_matter() -> None:
    assert told(step(log(*COATED, (9.5, "rain", {"what": "began"})), 9.6)) == ("coat", 2, None, False)


def test_a_coat_that_is_being_rolled_over_the_rain_is_finished_first() -> None:
    assert step(log(*RAINED, (9.5, "coat_started", {"coat": 2})), 9.6).kind == "finish"


@pytest.mark.parametrize(
    ("roof", "rained"),
    [((36, 38), False), ((20, 60), False), ((37, 60), True), ((20, 36), True), ((60, 90), True)],
    ids=["just over the rain", "all day", "up too late", "down too soon", "on another day"],
)
@pytest.mark.parametrize("hours", [9.5, 14.0, 23.0])
def test_under_the_tent_no_rain_falls_whenever_it_is_asked(roof: tuple[int, int], rained: bool, hours: float) -> None:
    """The rain lasts from mark 36 to mark 37."""
    assert step(log(*RAINED), hours, table(system(sheltered=roof))).rained_on is rained


def test_rain_that_goes_on_has_fallen_until_now() -> None:
    going_on = log(*COATED, (8.0, "rain", {"what": "began"}))
    tent = table(system(sheltered=(30, 36)))
    assert not step(going_on, 8.9, tent).rained_on
    assert step(going_on, 9.1, tent).rained_on


def test_the_last_coat_of_all_is_cured_and_its_spots_are_sanded_before_the_launch() -> None:
    found = step(log(*LAST_RAINED), 12.0)
    assert told(found) == ("sand", 3, "rained_on", True)
    assert found.may_from_s == seconds(20.0)
    assert told(step(log(*LAST_RAINED, (20.5, "abraded", {})), 21.0)) == ("launch", None, None, False)


def test_where_copper_is_laid_bare_the_spots_go_with_it() -> None:
    bared = table(system(activation=True))
    assert told(step(log(*LAST_RAINED), 12.0, bared)) == ("activate", None, "spots_with_it", True)
    assert told(step(log(*LAST_RAINED, (20.5, "activated", {})), 21.0, bared)) == ("launch", None, None, False)
    assert told(step(log(*ALL_ON), 12.0, bared)) == ("activate", None, None, False)


def test_the_phone_is_held_to_every_way_that_rain_takes() -> None:
    steps = [one for case in json.loads(FILE.read_text())["cases"] for ask in case["asks"]
             for one in ask["board"]["steps"]]  # fmt: skip
    found = {(one["kind"], one["because"], one["coat"] == 3) for one in steps if one["rained_on"]}
    assert found >= {
        ("sand", "rained_on", False),
        ("sand", "rained_on", True),
        ("activate", "spots_with_it", False),
    }
