"""What is proven of a plan is said in the same words on terminal and page: best of the days that were looked at."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

from boottop.plan.gap import proof_words
from boottop.report.page import plan_page
from boottop.terminal import headline
from tests.demo_job import DemoJob
from tests.report.html_read import Page

WORDS = "proven best of the 21 days looked at"


def test_over_how_many_days_it_is_proven(demo: DemoJob) -> None:
    plan, zone = demo.plan, ZoneInfo(demo.ashore.job.plan.yard.zone_name)
    assert demo.outlook.grid.days == 21
    assert headline(plan, zone, days=21).endswith(f"({WORDS})")
    assert f"P{WORDS[1:]}: no cheaper plan exists" in Page(plan_page(demo.ashore, demo.outlook, demo.planned)).text


def test_one_that_is_not_proven_says_so_over_the_same_days(demo: DemoJob) -> None:
    late = replace(demo.plan, status="feasible")
    assert proof_words(late, days=7) == "not proven best of the 7 days looked at: the time ran out"
