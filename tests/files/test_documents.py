"""The JSON documents: closed, versioned, in the yard's time and the currency's own digits."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from boottop.files import document_of as made
from boottop.files.documents import DOCUMENTS, Document, as_json, json_schema
from boottop.plan.inputs import WindowKey
from boottop.workflow import Ashore
from tests.demo_job import DemoJob


def documents(demo: DemoJob) -> dict[str, Document]:
    """Every document of the demonstration."""
    return {
        "area": made.area_document(demo.ashore),
        "check": made.check_document(demo.ashore),
        "order": made.order_document(demo.ashore),
        "windows": made.windows_document(demo.ashore, demo.outlook),
        "plan": made.plan_document(demo.ashore, demo.outlook, demo.planned),
    }


def in_currency(demo: DemoJob, code: str) -> DemoJob:
    """The same plan with its minor units read in another currency."""
    job = replace(demo.ashore.job, plan=replace(demo.ashore.job.plan, currency=code))
    plan = replace(demo.plan, currency=code)
    return replace(demo, ashore=Ashore(job), planned=replace(demo.planned, plan=plan))


def printed(document: Document) -> Any:
    """The document as a reader of its JSON has it."""
    return json.loads(as_json(document), parse_constant=pytest.fail)


def test_every_document_keeps_its_own_schema_and_no_other(demo: DemoJob) -> None:
    found = documents(demo)
    assert set(found) == set(DOCUMENTS)
    for name, document in found.items():
        for other in DOCUMENTS:
            problems = [*Draft202012Validator(json_schema(other)).iter_errors(printed(document))]
            assert (problems == []) == (name == other), (name, other)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_schemas_name_their_version_and_are_closed(name: str) -> None:
    schema = json_schema(name)
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["properties"]["schema"]["const"] == f"boottop.{name}/1"
    for part in (schema, *schema.get("$defs", {}).values()):
        assert part["additionalProperties"] is False
        assert set(part["required"]) == set(part["properties"])


def test_a_document_takes_no_unknown_key() -> None:
    with pytest.raises(ValidationError, match="moon"):
        DOCUMENTS["check"].model_validate({"boat": "x", "findings": [], "notes": [], "moon": 1})


def test_documents_come_back_from_their_own_json(demo: DemoJob) -> None:
    for name, document in documents(demo).items():
        assert as_json(DOCUMENTS[name].model_validate_json(as_json(document))) == as_json(document)


@pytest.mark.parametrize(("code", "digits"), [("USD", 2), ("JPY", 0), ("KWD", 3)])
def test_cost_is_in_major_units_of_the_currency(demo: DemoJob, code: str, digits: int) -> None:
    there = in_currency(demo, code)
    document = printed(made.plan_document(there.ashore, there.outlook, there.planned))
    assert document["cost_minor"] == demo.plan.cost_minor
    assert document["cost"] == pytest.approx(document["cost_minor"] / 10**digits)
    assert document["currency"] == code


def test_without_a_plan_there_is_no_cost_and_no_time(demo: DemoJob) -> None:
    plan = replace(
        demo.plan, status="infeasible", tasks=(), cost_minor=None, cost_lines=(), haul_out=None, launch=None,
        reasons=("rain",), ways_out=("a tent",),
    )  # fmt: skip
    nothing = replace(demo.planned, plan=plan)
    document = printed(made.plan_document(demo.ashore, demo.outlook, nothing))
    assert [document[key] for key in ("cost", "cost_minor", "haul_out", "launch")] == [None] * 4
    assert (document["reasons"], document["ways_out"]) == (["rain"], ["a tent"])
    assert [*Draft202012Validator(json_schema("plan")).iter_errors(document)] == []


def test_a_plan_tells_what_its_weather_rests_on(demo: DemoJob) -> None:
    document = printed(made.plan_document(demo.ashore, demo.outlook, demo.planned))
    assert demo.outlook.weather.licence in document["weather"]
    assert set(demo.outlook.weather.findings) | set(demo.outlook.climate.notes) <= set(document["findings"])
    assert len(document["findings"]) == len(set(document["findings"]))


def test_windows_are_those_that_the_plan_reads(demo: DemoJob) -> None:
    document = printed(made.windows_document(demo.ashore, demo.outlook))
    zone = next(one for one in document["zones"] if one["zone"] == "port side")
    windows = demo.outlook.windows[WindowKey("port side", "Demo copper epoxy A", False)]
    duration = zone["coat_minutes"] // 15
    assert [slot["may_start"] for slot in zone["slots"]] == windows.may_apply(duration).tolist()
    assert [slot["surface_c"] for slot in zone["slots"]] == pytest.approx(windows.surface_c, abs=0.0051)
    assert [slot["margin_k"] for slot in zone["slots"]] == pytest.approx(windows.margin_k, abs=0.0051)


def test_next_coats_are_the_cautious_marks_of_a_coat_finished_then(demo: DemoJob) -> None:
    document = printed(made.windows_document(demo.ashore, demo.outlook))
    zone = next(one for one in document["zones"] if one["zone"] == "port side")
    windows = demo.outlook.windows[WindowKey("port side", "Demo copper epoxy A", False)]
    for slot in (0, 200, len(zone["slots"]) - 1):
        following = zone["slots"][slot]["if_finished_now"]
        assert [one["coat"] for one in following] == [1, 2, 3]
        for key, mark in (("earliest_next", windows.ready.late), ("latest_next", windows.overcoat_until.early)):
            told = {one[key] for one in following}
            known = mark[slot] <= windows.grid.count
            assert {None if one is None else datetime.fromisoformat(one) for one in told} == {
                windows.grid.time_of(int(mark[slot])) if known else None
            }


def test_a_closed_slot_says_why_also_when_it_is_only_too_short(demo: DemoJob) -> None:
    document = printed(made.windows_document(demo.ashore, demo.outlook))
    said = {slot["closed_by"] for zone in document["zones"] for slot in zone["slots"]} - {None}
    assert {"rain", "too dark to see the film", "rain before the film is rain-safe"} <= said
    assert "open" not in said


def test_the_last_slots_of_known_weather_say_that_nothing_is_known_after(demo: DemoJob) -> None:
    windows = demo.outlook.windows[WindowKey("port side", "Demo copper epoxy A", False)]
    slots = printed(made.windows_document(demo.ashore, demo.outlook))["zones"][1]["slots"]
    assert slots[-1]["if_finished_now"][0]["earliest_next"] is None
    assert int(windows.ready.late[windows.grid.count - 1]) > windows.grid.count
    assert np.isfinite(windows.surface_c).all()


def test_order_holds_whole_kits_and_their_price(demo: DemoJob) -> None:
    document = printed(made.order_document(demo.ashore))
    for coating in document["coatings"]:
        assert coating["litres"] + coating["left_over_l"] == pytest.approx(
            coating["kits"] * coating["kit_volume_l"], rel=1e-6
        )
    assert document["cost_minor"] == sum(coating["cost_minor"] for coating in document["coatings"])
    assert document["freight_kg"] == pytest.approx(sum(coating["mass_kg"] for coating in document["coatings"]))


def test_cautions_say_whose_word_counts(demo: DemoJob) -> None:
    order = printed(made.order_document(demo.ashore))["cautions"]
    plan = printed(made.plan_document(demo.ashore, demo.outlook, demo.planned))["cautions"]
    assert all(" The last word has " in caution for caution in (*order, *plan))
    assert any("respirator" in caution for caution in order)
    assert any("skin" in caution for caution in plan)
