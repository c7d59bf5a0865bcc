"""The cost document: what is written when there is none, what is refused and how, and that the page names every key."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.files.cost_case import DaysAshore, JobFacts, case_of
from boottop.files.cost_job import facts_of, known_of, load_odds, needs_plan, work_hours
from boottop.files.cost_sheet import CostSheet, parse_cost
from boottop.files.cost_template import Known, cost_text
from boottop.files.cost_words import fuel_price
from boottop.files.jobsheet_table import Table
from boottop.money.decide import decide
from tests.demo_job import demo_job

DOCS = Path(__file__).parents[2] / "docs" / "cost.md"
KNOWN = Known(
    currency="EUR", lift_minor=84_000, day_minor=3_800, wage_minor=0, system="Invented epoxy", hard=True,
    has_plan_prices=True, length_m=9.9, wetted_m2=31.0,
)  # fmt: skip
FACTS = JobFacts(
    currency="EUR", boat="Invented", length_m=9.9, wetted_m2=31.0, days=DaysAshore(days=(9,), from_where="the plan"),
    work_hours=(50.0,), materials_minor=180_000, missing={},
)  # fmt: skip


def _changed(old: str, new: str) -> str:
    text = cost_text(KNOWN)
    assert old in text
    return text.replace(old, new, 1)


def _refused(text: str, currency: str = "EUR") -> str:
    with pytest.raises(InputError) as caught:
        parse_cost(text, currency=currency)
    return str(caught.value)


@pytest.mark.parametrize("currency", ["EUR", "JPY", "KWD"])
@pytest.mark.parametrize("hard", [True, False])
@pytest.mark.parametrize("lift", [0, 84_000])
def test_what_is_written_is_read_back(currency: str, hard: bool, *, lift: int) -> None:
    known = replace(KNOWN, currency=currency, hard=hard, lift_minor=lift)
    sheet = parse_cost(cost_text(known), currency=currency)
    assert not sheet.checked
    assert needs_plan(sheet)
    found = decide(case_of(sheet, replace(FACTS, currency=currency)), draws=100)
    assert found.best != "leave it as it is"
    assert any("guesses" in note for note in found.case.notes)


def test_the_document_of_the_demonstration_takes_plan_and_order() -> None:
    demo = demo_job()
    facts = facts_of(demo.ashore, demo.plan)
    assert facts.days is not None
    charged = next(line for line in demo.plan.cost_lines if "days ashore" in line.what)
    assert charged.what == f"{facts.days.days[0]} days ashore"
    assert 40.0 < work_hours(demo.plan) < 71.0
    sheet = parse_cost(cost_text(known_of(demo.ashore)), currency="USD")
    case = case_of(sheet, facts)
    name = next(one.name for one in case.alternatives if "job sheet" in one.name)
    assert case.inputs[f"{name}: materials"].span[1] == demo.ashore.order.cost_minor
    assert case.inputs[f"{name}: days_renewing"].from_where == "the plan"


def test_without_a_plan_the_document_must_say_it_itself() -> None:
    sheet = parse_cost(cost_text(KNOWN), currency="EUR")
    lacking = replace(FACTS, days=None, work_hours=(), materials_minor=None, missing={"plan": "no", "order": "none"})
    with pytest.raises(InputError) as caught:
        case_of(sheet, lacking)
    assert [one.where.split(", ")[-1] for one in caught.value.problems] == ["days_renewing", "materials", "work"]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("horizon", "horizont", "Did you mean 'horizon'?"),
        ("dives_a_year = [1, 2, 4]", "dives_per_year = 2", "Did you mean 'dives_a_year'?"),
        ("dives_a_year = [1, 2, 4]", "dives_a_year = [4, 2, 1]", "rising order"),
        ("dives_a_year = [1, 2, 4]", "dives_a_year = [1, 2]", "[low, likely, high]"),
        ("dives_a_year = [1, 2, 4]", 'dives_a_year = "two"', "a number from 0 to 60"),
        ('horizon = "10 years"', 'horizon = "80 years"', "years"),
        ('horizon = "10 years"', "horizon = 10", "without a unit"),
        ('inflation = "2.5 %"', 'inflation = "250 %"', "-5 % to 50 %"),
        ('hauled_anyway = "2 years"', 'hauled_anyway = "1.5 years"', "whole years"),
        ('kind = "diesel"', 'kind = "petroleum"', "Did you mean 'petrol'?"),
        ('burn = "', 'burn = "12 L"  # "', "volume/h"),
        ("# curve", 'curve = [["5 kn", "90 L/h"], ["7 kn", "99 L/h"]]  #', "what the curve has at that speed"),
        ("# curve", 'curve = [["2 kn", "1 L/h"], ["3 kn", "2 L/h"]]  #', "a speed within the curve"),
        ("# curve", 'curve = [["5 kn", "1 L/h"]]  #', "two points and more"),
        ("# curve", 'curve = [["5 kn"]]  #', "speed"),
        ('fouls_to = "heavy slime"', 'fouls_to = "green"', "sand-grain roughness"),
        ('compare_with = "soft', 'compare_with = "soft and', "Did you mean 'soft paint every two years'?"),
        ("choice = false", 'choice = "no"', "true or false"),
        ('lift = ["760', 'lift = ["760 USD", "840', "EUR"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(old: str, new: str, *, words: str) -> None:
    told = _refused(_changed(old, new))
    assert words in told
    assert re.search(r"cost\.toml, line \d+", told)


def test_all_problems_at_once() -> None:
    told = _refused(_changed("horizon", "horizont").replace('"2.5 %"', '"two"').replace('"diesel"', '"coal"'))
    assert len(told.splitlines()) >= 4


def test_a_tie_to_nothing_is_refused_with_the_nearest_key() -> None:
    sheet = parse_cost(_changed('"prices.wash"]', '"prices.washing"]'), currency="EUR")
    with pytest.raises(InputError, match=r"Did you mean 'prices\.wash'"):
        case_of(sheet, FACTS)


def test_a_name_may_not_stand_twice() -> None:
    told = _refused(cost_text(KNOWN).replace('"leave it as it is"', '"soft paint every two years"'))
    assert "twice" in told


@pytest.mark.parametrize(
    ("text", "minor"), [("1.459 EUR/L", 145.9), ("EUR 1.5 per L", 150.0), ("5.00 EUR/US gal", 132.086), ("2/L", 200.0)]
)
def test_price_of_fuel(text: str, minor: float) -> None:
    assert fuel_price(text, "doc", "EUR") == pytest.approx(minor, rel=1e-5)


@pytest.mark.parametrize("text", ["1.45", "1.45 USD/L", "1.45 EUR/kg", "EUR/L", "5 EUR/gal", 3])
def test_what_is_no_price_of_fuel(text: object) -> None:
    with pytest.raises(InputError, match=r"doc: found"):
        fuel_price(text, "doc", "EUR")


def test_nominal_rates_become_real_ones() -> None:
    text = _changed('discount_is = "real"', 'discount_is = "nominal"').replace(
        'discount = ["1 %", "2 %", "4 %"]', 'discount = "5.5 %"'
    )
    case = case_of(parse_cost(text, currency="EUR"), FACTS)
    assert case.inputs["discount"].span[1] == pytest.approx(1.055 / 1.025 - 1.0)
    assert any("nominal, turned into a real one" in note for note in case.notes)


def test_odds_as_a_list_or_as_chances(tmp_path: Path) -> None:
    path = tmp_path / "odds.json"
    path.write_text(json.dumps({"days_ashore": [9, 9, 12]}), encoding="utf-8")
    assert load_odds(path).days == (9, 9, 12)
    path.write_text(json.dumps({"days_ashore": {"9": 0.25, "12": 0.75}}), encoding="utf-8")
    assert load_odds(path).days.count(12) == 3 * load_odds(path).days.count(9)


@pytest.mark.parametrize("content", ["", "[]", '{"days_ashore": []}', '{"days_ashore": [1.5]}', '{"days_ashore": [-1]}',
                                     '{"days_ashore": {"x": 1}}', '{"days": [3]}'])  # fmt: skip
def test_what_is_no_odds(tmp_path: Path, content: str) -> None:
    path = tmp_path / "odds.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(InputError, match="days_ashore"):
        load_odds(path)


# -- the page ------------------------------------------------------------------------------------------------------

EVERYTHING = (
    cost_text(KNOWN)
    + """
[[alternatives.extra]]
what = "survey"
when = "yearly"
cost = "10 EUR"
[log]
[log.columns]
time = "UTC"
"""
)


def _documented() -> dict[str, set[str]]:
    """Keys by section, as the tables of the page have them."""
    keys: dict[str, set[str]] = defaultdict(set)
    section = ""
    for line in DOCS.read_text(encoding="utf-8").split("## The cost document")[1].splitlines():
        if line.startswith("### "):
            section = re.sub(r"[\[\]#` ]", "", line)
        elif line.startswith("| `"):
            keys[section] |= set(re.findall(r"`(\w+)`", line.split("|")[1]))
    return keys


def test_the_page_names_every_key_and_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: dict[str, set[str]] = defaultdict(set)
    plain_has = Table.has

    def has(table: Table, key: str) -> bool:
        asked[".".join(part for part in table.path if isinstance(part, str))].add(key)
        return plain_has(table, key)

    monkeypatch.setattr(Table, "has", has)
    found: CostSheet = parse_cost(EVERYTHING, currency="EUR")
    assert found.log.columns == {"time": ("UTC", "")}
    sections = {section for section in asked if section}
    asked[""] -= {section.split(".")[0] for section in sections}
    assert dict(asked) == _documented()
