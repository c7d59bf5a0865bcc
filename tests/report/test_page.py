"""The page: one file that needs nothing else, in which words stay words, with what a person must know on it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from boottop.base.money import format_money
from boottop.files.calendar_file import words_of
from boottop.plan.plan import PlannedTask
from boottop.report.page import plan_page
from boottop.report.typeset import typeset
from boottop.workflow import Ashore, Planned
from tests.demo_job import DemoJob, with_tasks
from tests.report.html_read import Page

EVIL = '<i onclick="x">&\'"</i>{{ 7*7 }}</style></title>'


@pytest.fixture(scope="module")
def html(demo: DemoJob) -> str:
    """The page of the demonstration."""
    return plan_page(demo.ashore, demo.outlook, demo.planned)


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    """The same, read."""
    return Page(html)


@pytest.fixture(scope="module")
def none(demo: DemoJob) -> Page:
    """The page of a job for which there is no plan."""
    plan = replace(
        demo.plan, status="infeasible", tasks=(), options=(), cost_minor=None, cost_lines=(), haul_out=None,
        launch=None, reasons=("port side: no day has room for all 4 coats at 7 degC.",), ways_out=("One more person.",),
        unused=(),
    )  # fmt: skip
    return Page(plan_page(demo.ashore, demo.outlook, replace(demo.planned, plan=plan)))


def test_it_needs_no_other_file_and_runs_nothing(html: str, page: Page) -> None:
    assert set(page.tags).isdisjoint({"script", "link", "img", "iframe", "object", "embed", "form", "base", "use"})
    for name, value in page.attributes:
        assert not name.startswith("on")
        assert name not in {"src", "srcset", "action", "data", "poster", "style"} or value.startswith("height:")
        if name in {"href", "xlink:href"}:
            assert value.startswith("#")
    assert re.findall(r"url\((?!#)", html) == []
    assert "@import" not in html


def test_every_tag_is_closed_and_every_anchor_lands(page: Page) -> None:
    assert page.unclosed == []
    ids = [value for name, value in page.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    assert {value[1:] for name, value in page.attributes if name == "href"} <= set(ids)
    assert {ground for ground in re.findall(r"look-\w+", str(page.attributes))} <= set(ids)


def test_it_says_language_width_and_title(page: Page, demo: DemoJob) -> None:
    assert ("lang", "en") in page.attributes
    assert ("content", "width=device-width, initial-scale=1") in page.attributes
    assert page.text.strip().startswith(f"{demo.ashore.job.boat.name}: {demo.ashore.job.plan.job_name}")


def test_every_task_stands_in_the_table_with_its_reason(page: Page, demo: DemoJob) -> None:
    table = page.text[page.text.index("What binds the start") : page.text.index("What it costs")]
    for task in demo.plan.tasks:
        assert words_of(task) in table
        assert typeset(task.because) in table


def test_cost_order_findings_cautions_and_sources_are_there(page: Page, demo: DemoJob) -> None:
    order = demo.ashore.order
    for line in demo.plan.cost_lines:
        assert line.what in page.text
    assert format_money(demo.plan.cost_minor or 0, "USD") in page.text
    for words in (
        *(line.product for line in order.orders),
        *(item.what for item in order.consumables),
        *(caution.text for caution in order.cautions),
        *(finding.cause for finding in demo.ashore.findings),
        *demo.planned.check.checked,
        demo.outlook.weather.licence,
        "Ask the yard by",
    ):
        assert typeset(words) in page.text, words


def test_units_are_set_as_in_print(page: Page) -> None:
    assert re.findall(r"\d (?:degC|m2)\b.{20}", page.text) == []
    assert "°C" in page.text


def evil_job(ashore: Ashore) -> Ashore:
    """The same job, named by somebody with bad intentions."""
    job = ashore.job
    plan = replace(job.plan, job_name=EVIL)
    return Ashore(replace(job, boat=replace(job.boat, name=EVIL), plan=plan, notes=(EVIL,)))


def test_words_stay_words(demo: DemoJob) -> None:
    def spoil(task: PlannedTask) -> PlannedTask:
        key = f"extra/{EVIL}" if task.kind == "extra" else task.key
        return replace(task, because=EVIL, key=key)

    plan = replace(with_tasks(demo.plan, spoil), findings=(EVIL,), options=(EVIL,))
    plan = replace(plan, cost_lines=tuple(replace(line, what=EVIL) for line in plan.cost_lines))
    outlook = replace(demo.outlook, weather=replace(demo.outlook.weather, station=EVIL, source=EVIL, licence=EVIL))
    read = Page(plan_page(evil_job(demo.ashore), outlook, Planned(plan=plan, check=demo.planned.check)))
    assert "i" not in read.tags
    assert all(not name.startswith("on") for name, _ in read.attributes)
    assert read.unclosed == []
    assert read.text.count(EVIL) > 2 * len(plan.tasks), "once in the drawing, once in the table, and more"


def test_without_a_plan_it_says_why_and_what_would_help(none: Page) -> None:
    text = none.text
    assert "There is no plan under these rules in this weather." in text
    assert "no day has room for all 4 coats at 7 °C." in text
    assert "One more person." in text
    assert text.index("Why there is no plan") < text.index("The days")
    assert "What it costs" not in text
    assert "What binds the start" not in text
    assert none.unclosed == []


def test_without_a_way_out_it_says_that_too(demo: DemoJob) -> None:
    plan = replace(
        demo.plan, status="infeasible", tasks=(), haul_out=None, launch=None, reasons=("Rain.",), ways_out=()
    )
    text = Page(plan_page(demo.ashore, demo.outlook, replace(demo.planned, plan=plan))).text
    assert "None of the changes that were tried gives a plan in this weather." in text


def test_a_search_that_ran_out_of_time_does_not_claim_proof(demo: DemoJob) -> None:
    plan = replace(demo.plan, status="feasible", report=replace(demo.plan.report, bound_minor=310_500))
    text = Page(plan_page(demo.ashore, demo.outlook, replace(demo.planned, plan=plan))).text
    assert "Not proven best: the search ran out of time." in text
    assert "No cheaper plan exists" not in text
