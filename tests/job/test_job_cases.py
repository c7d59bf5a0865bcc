"""The conformance file is what the code makes, and reading it back gives the same board."""

from __future__ import annotations

import json
from typing import Any

import pytest

from boottop.job.coding import event_dict, event_of, plain, table_dict, table_of
from boottop.job.conformance import conformance
from boottop.job.conformance_tables import tables
from boottop.job.fold import fold
from boottop.job.learn import learn
from boottop.job.next_step import board_at
from tests.job.make_conformance import FILE, text_of

READ: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))


def test_file_is_up_to_date() -> None:
    assert FILE.read_text(encoding="utf-8") == text_of(conformance()), "run tests/job/make_conformance.py"


def test_file_is_small_enough_for_a_repository() -> None:
    assert FILE.stat().st_size <= 450_000


@pytest.mark.parametrize("number", range(len(READ["tables"])))
def test_table_survives_the_journey(number: int) -> None:
    table = table_of(READ["tables"][number])
    assert table == tables()[number]
    assert table_dict(table) == READ["tables"][number]


@pytest.mark.parametrize("case", READ["cases"], ids=lambda case: str(case["name"]))
def test_case_read_back_gives_the_same_board(case: dict[str, Any]) -> None:
    events = [event_of(event) for event in case["events"]]
    assert [event_dict(event) for event in events] == case["events"]
    table, state = table_of(READ["tables"][case["table"]]), fold(events)
    learned = learn(state, table)
    assert plain(state) == case["state"]
    assert plain(learned) == case["learned"]
    for ask in case["asks"]:
        assert plain(board_at(state, table, now_s=ask["now_s"], learned=learned)) == ask["board"]


def test_cases_reach_what_matters() -> None:
    steps = [step for case in READ["cases"] for ask in case["asks"] for step in ask["board"]["steps"]]
    kinds = {(step["kind"], step["may_now"]) for step in steps}
    assert {
        ("coat", True),
        ("coat", False),
        ("sand", True),
        ("wipe", True),
        ("finish", True),
        ("activate", False),
    } <= kinds
    assert {"tacky", "wet", "past tacky"} & {step["touch"] for step in steps}
    reasons = {step["why_not"]["rule"] for step in steps if step["why_not"]}
    assert {"rain", "dew_margin", "too_soft_to_sand", "stands", "not_tacky"} <= reasons
