"""Whatever stands in a cost document or a log, it is read or refused with words: never another error."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError, Problem
from boottop.files.cost_case import DaysAshore, JobFacts, case_of
from boottop.files.cost_log import LogSheet, log_of
from boottop.files.cost_sheet import parse_cost
from boottop.files.cost_template import Known, cost_text
from boottop.money.decide import Decision, decide
from boottop.money.proof import prove
from boottop.money.runs import LogTable, cut_runs
from tests.files.test_cost_logs import csv_log, nmea_log, signalk_log

KNOWN = Known(
    currency="EUR", lift_minor=84_000, day_minor=3_800, wage_minor=2_000, system="Invented epoxy", hard=True,
    has_plan_prices=True, length_m=9.9, wetted_m2=31.0,
)  # fmt: skip
FACTS = JobFacts(
    currency="EUR", boat="Invented", length_m=9.9, wetted_m2=31.0, days=DaysAshore(days=(9,), from_where="the plan"),
    work_hours=(50.0,), materials_minor=180_000, missing={},
)  # fmt: skip
LINES = cost_text(KNOWN).splitlines()
VALUES = [number for number, line in enumerate(LINES) if re.match(r"\w+ = ", line)]
JUNK = st.sampled_from(
    ['""', '"plan"', '"order"', '"never"', "0", "-1", "1e300", "nan", "inf", "true", "[]", "[1, 2]", "[[]]", "{}",
     "[3, 2, 1]", '"1 EUR"', '["1 EUR", "2 EUR", "3 EUR"]', '"1 h"', '"1 %"', '"9999 years"', '"1e9 kn"', '"0 L/h"',
     "2022-01-01", "'x'", '"1/0 years"', "[0, 0, 0]", '["0 years", "0 years", "1 year"]', "99999999999999999999"]
)  # fmt: skip


@given(changes=st.lists(st.tuples(st.sampled_from(VALUES), JUNK), min_size=1, max_size=3))
@settings(max_examples=150, deadline=None)
def test_any_value_is_read_or_refused(changes: list[tuple[int, str]]) -> None:
    lines = list(LINES)
    for number, junk in changes:
        lines[number] = f"{lines[number].split(' = ')[0]} = {junk}"
    found: Decision | None = None
    problems: tuple[Problem, ...] = ()
    try:
        sheet = parse_cost("\n".join(lines), currency="EUR")
        found = decide(case_of(sheet, FACTS), draws=100)
    except InputError as error:
        problems = error.problems
    assert all(one.where and one.found and one.allowed and one.advice for one in problems)
    assert problems if found is None else len(found.outcomes) == 3


@given(
    text=st.sampled_from([csv_log(), nmea_log(), signalk_log()]),
    place=st.floats(0.0, 1.0),
    put=st.text(max_size=12),
    cut=st.integers(0, 40),
)
@settings(max_examples=120, deadline=None)
def test_any_log_is_read_or_refused(text: str, place: float, *, put: str, cut: int) -> None:
    at = int(place * len(text))
    spoilt = text[:at] + put + text[at + cut :]
    table: LogTable | None = None
    problems: tuple[Problem, ...] = ()
    try:
        table = log_of([("log", spoilt.encode("utf-8", "replace"))], LogSheet(), zone=ZoneInfo("UTC"))
    except InputError as error:
        problems = error.problems
    assert problems if table is None else prove(cut_runs(table, hauled_s=2e9, launched_s=3e9)).effects == ()
