"""What is done shows in words and by a sign, never by colour; and what is not proven of a plan is said in money."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from rich.console import Console

from boottop import console, terminal
from boottop.files.calendar_file import calendar_text
from boottop.files.document_of import plan_document
from boottop.files.documents import json_schema
from boottop.plan.gap import gap_minor, gap_words
from boottop.plan.plan import Plan, TaskState
from boottop.report.page import plan_page
from boottop.workflow import Planned
from tests.demo_job import DemoJob

MADE = datetime(2026, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def begun(demo: DemoJob) -> Planned:
    """The first four tasks are done, one of them not written down, and the fifth is in hand."""
    states: tuple[TaskState, ...] = ("done", "done", "taken as done", "done", "in hand")
    tasks = tuple(
        replace(task, state=state) for task, state in zip(demo.plan.tasks, states, strict=False)
    ) + demo.plan.tasks[len(states) :]  # fmt: skip
    return replace(demo.planned, plan=replace(demo.plan, tasks=tasks))


def unproven(plan: Plan, bound_minor: int | None) -> Plan:
    return replace(plan, status="feasible", report=replace(plan.report, bound_minor=bound_minor, proof_s=None))


def shown(demo: DemoJob, planned: Planned, monkeypatch: pytest.MonkeyPatch) -> str:
    """What the terminal says of a plan."""
    out = Console(file=io.StringIO(), width=200)
    monkeypatch.setattr(terminal, "console", lambda: out)
    monkeypatch.setattr(console, "console", lambda: out)
    terminal.show_plan(demo.ashore, demo.outlook, planned)
    file = out.file
    assert isinstance(file, io.StringIO)
    return file.getvalue()


def test_document_and_its_schema(demo: DemoJob, begun: Planned) -> None:
    document = plan_document(demo.ashore, demo.outlook, begun)
    assert [task.state for task in document.tasks[:6]] == ["done", "done", "taken as done", "done", "in hand", "to do"]
    schema = json_schema("plan")["$defs"]["TaskOut"]["properties"]["state"]
    assert schema["enum"] == ["to do", "in hand", "done", "taken as done"]


def test_terminal(demo: DemoJob, begun: Planned, monkeypatch: pytest.MonkeyPatch) -> None:
    said = shown(demo, begun, monkeypatch)
    assert "State" in said
    assert said.count("taken as done") == 1
    assert "State" not in shown(demo, demo.planned, monkeypatch)


def test_page(demo: DemoJob, begun: Planned) -> None:
    page = plan_page(demo.ashore, demo.outlook, begun)
    assert page.count('<td class="state">✓ done</td>') == 3
    assert page.count('<td class="state">✓ taken as done</td>') == 1
    assert page.count('<td class="state">◐ in hand</td>') == 1
    assert ">✓ out</text>" in page
    assert "(in hand)" in page
    plain = plan_page(demo.ashore, demo.outlook, demo.planned)
    assert "✓" not in plain
    assert 'class="state"' not in plain


def test_calendar_is_for_what_is_to_come(demo: DemoJob, begun: Planned) -> None:
    zone = ZoneInfo(demo.ashore.job.plan.yard.zone_name)
    text = calendar_text(begun.plan, job="job", zone=zone, made=MADE).decode()
    assert text.count("BEGIN:VEVENT") == len(begun.plan.tasks) - 4
    assert "SUMMARY:Launch" in text
    assert "SUMMARY:Haul out" not in text


@pytest.mark.parametrize(
    ("less", "says"),
    [
        (None, "Nothing is proven of how much could still be saved."),
        (0, "No cheaper plan exists; one as cheap may be afloat sooner."),
        (4_000, "At most 40\xa0USD (1 %) could still be saved, less than one day ashore costs."),
        (4_500, "At most 45\xa0USD (1 %) could still be saved, as much as 1 day ashore costs."),
        (31_950, "At most 319.50\xa0USD (10 %) could still be saved, as much as 7 days ashore cost."),
    ],
)
def test_the_gap_of_a_plan_that_is_not_proven(demo: DemoJob, less: int | None, says: str) -> None:
    """The demonstration costs 3195\xa0USD, and its yard takes 45\xa0USD a day."""
    assert demo.plan.cost_minor == 319_500
    plan = unproven(demo.plan, None if less is None else demo.plan.cost_minor - less)
    assert gap_minor(plan) == less
    said = gap_words(plan, day_charge_minor=demo.ashore.job.plan.yard.day_charge_minor)
    assert said.startswith("Not proven best: the search ran out of time. ")
    assert says in said
    assert "--time-limit" in said


def test_no_gap_where_it_is_proven_and_no_days_where_they_are_free(demo: DemoJob) -> None:
    assert gap_words(demo.plan, day_charge_minor=4_500) == ""
    assert gap_minor(demo.plan) == 0
    free = gap_words(unproven(demo.plan, 300_000), day_charge_minor=0)
    assert "195\xa0USD (6 %) could still be saved; days ashore cost nothing at this yard" in free


def test_the_gap_is_on_terminal_page_and_document(demo: DemoJob, monkeypatch: pytest.MonkeyPatch) -> None:
    planned = replace(demo.planned, plan=unproven(demo.plan, 310_500))
    words = "At most 90\xa0USD (3 %) could still be saved, as much as 2 days ashore cost."
    assert words in shown(demo, planned, monkeypatch)
    assert "At most 90\xa0USD" in plan_page(demo.ashore, demo.outlook, planned)
    document = plan_document(demo.ashore, demo.outlook, planned)
    assert words in document.gap
    assert document.gap_minor == 9_000
