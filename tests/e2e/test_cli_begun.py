"""`boottop plan JOB --log FILE --now TIME` as a person meets it: a good log, a wrong one, and none at all."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

import pytest

from tests.e2e.runner import DEMO_SHEET, refused, run

COPPER = "Demo copper epoxy A"


def event(kind: str, happened: str, zone: str | None = None, **data: Any) -> dict[str, Any]:
    """An event as the server gives it."""
    return {
        "id": str(uuid5(NAMESPACE_URL, f"{kind} {happened} {zone}")), "kind": kind, "happened": happened,
        "recorded": happened, "device": "phone-1", "order": 0, "who": "Ana", "zone": zone, "data": data,
    }  # fmt: skip


DONE = [
    event("hauled_out", "2022-04-25T15:00:00Z"),
    event("washed", "2022-04-25T16:30:00Z"),
    event("other_work", "2022-04-26T14:00:00Z", work="service SEACOCKS"),
    event("stripped", "2022-04-26T15:00:00Z", "port side"),
]
NOW = "2022-04-26T12:00"
"""Noon at the yard is four in the afternoon, UTC."""


def written(folder: Path, found: object) -> Path:
    path = folder / "log.json"
    path.write_text(found if isinstance(found, str) else json.dumps(found), encoding="utf-8")
    return path


@pytest.mark.parametrize("as_answer", [False, True], ids=["a bare list", "the server's answer"])
def test_a_job_that_has_begun_is_planned_from_where_it_stands(tmp_path: Path, as_answer: bool) -> None:
    rows = [{"seq": number, "received_s": 0, "event": one} for number, one in enumerate(DONE, start=1)]
    log = written(tmp_path, {"schema": "boottop.events/1", "events": rows} if as_answer else DONE)
    page, calendar = tmp_path / "plan.html", tmp_path / "plan.ics"
    found = run(
        "plan", DEMO_SHEET, "--log", log, "--now", NOW, "--json", "--page", page, "--calendar", calendar, cwd=tmp_path
    )
    assert found.code == 0, found.err
    tasks = found.document["tasks"]
    states = {(task["kind"], task["zone"], task["state"]) for task in tasks}
    assert {("haul_out", None, "done"), ("wash", None, "done"), ("strip", "port side", "done")} <= states
    seacocks = next(task for task in tasks if task["label"] == "Service seacocks")
    assert (seacocks["state"], seacocks["end"]) == ("done", "2022-04-26T10:00:00-04:00")
    now = datetime.fromisoformat(f"{NOW}:00-04:00")
    assert all(datetime.fromisoformat(task["start"]) >= now for task in tasks if task["state"] == "to do")
    assert found.document["gap"] == ""
    assert "✓ done" in page.read_text(encoding="utf-8")
    assert "SUMMARY:Haul out" not in calendar.read_text(encoding="utf-8")


def test_the_terminal_has_the_state_of_every_task(tmp_path: Path) -> None:
    found = run("plan", DEMO_SHEET, "--log", written(tmp_path, DONE), "--now", NOW, cwd=tmp_path)
    assert found.code == 0
    assert "State" in found.err
    assert "to do" in found.err


@pytest.mark.parametrize(
    ("log", "says"),
    [
        ("not JSON at all", "no JSON"),
        ('{"events": 3}', "JSON without a list of events"),
        ([{"kind": "rain"}], "event 1"),
        ([DONE[0] | {"kind": "raised"}], "event 1, kind found: 'raised'"),
        ([*DONE, event("stripped", "2022-04-26T15:00:00Z")], "event 5, zone"),
        ([event("other_work", "2022-04-26T15:00:00Z")], "event 1, data.work"),
        ([DONE[0] | {"happened": "yesterday"}], "event 1, event.happened"),
    ],
)
def test_a_wrong_log_is_refused_with_the_number_of_the_event(tmp_path: Path, log: object, says: str) -> None:
    said = refused("plan", DEMO_SHEET, "--log", written(tmp_path, log), "--now", NOW, cwd=tmp_path)
    assert says in said, said


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--log", "nowhere.json"), "nowhere.json"),
        (("--now", NOW), "no --log beside it"),
        (("--hired", "tent"), "no --log beside it"),
        (("--log", "log.json", "--now", "noon"), "a time such as 2026-05-04T08:30"),
        (("--log", "log.json", "--now", NOW, "--hired", "crane"), "tent or helper"),
    ],
)
def test_options_that_make_no_sense(tmp_path: Path, options: tuple[str, ...], says: str) -> None:
    written(tmp_path, DONE)
    assert says in refused("plan", DEMO_SHEET, *options, cwd=tmp_path)
