"""The command line as a person meets it: every command, in a process of its own."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar
from jsonschema import Draft202012Validator, FormatChecker

from tests.e2e.runner import DEMO_SHEET, Run, run

COMMANDS = ("new", "check", "area", "order", "windows", "plan", "demo", "schema")
PLACE = ZoneInfo("America/New_York")
HEAVY = ("numpy", "pvlib", "ortools", "scipy", "numba", "pandas", "pydantic", "pint", "jinja2", "icalendar")


@lru_cache
def schema_of(name: str, folder: Path) -> Run:
    """`boottop schema NAME`."""
    return run("schema", name, cwd=folder)


def assert_valid(document: Any, name: str, tmp_path: Path) -> None:
    """The document keeps the schema that `boottop schema` prints."""
    schema = schema_of(name, tmp_path.parent)
    assert schema.code == 0
    Draft202012Validator.check_schema(schema.document)
    problems = [*Draft202012Validator(schema.document, format_checker=FormatChecker()).iter_errors(document)]
    assert problems == []
    assert document["schema"] == f"boottop.{name}/1"


def local_times(value: Any) -> list[datetime]:
    """Every RFC 3339 time of a document."""
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*", value):
        return [datetime.fromisoformat(value)]
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [when for one in inner for when in local_times(one)]


def test_help_names_every_command_and_each_explains_itself(tmp_path: Path) -> None:
    first = run("--help", cwd=tmp_path)
    assert first.code == 0
    named = re.findall(r"^│ ([a-z]+) ", first.out, re.M)
    assert set(COMMANDS) <= set(named)
    for command in named:
        found = run(command, "--help", cwd=tmp_path)
        assert found.code == 0
        assert f"boottop {command}" in found.out


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "boottop", "--help"], cwd=tmp_path, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    loaded = {line.rsplit("|", 1)[-1].strip().split(".")[0] for line in done.stderr.splitlines() if "|" in line}
    assert "typer" in loaded
    assert loaded.isdisjoint(HEAVY)


@pytest.mark.parametrize("name", ["area", "check", "order"])
def test_what_needs_no_weather_as_json(own: Path, tmp_path: Path, name: str) -> None:
    for sheet in (DEMO_SHEET, own / "job.toml"):
        found = run(name, sheet, "--json", cwd=tmp_path)
        assert (found.code, found.err) == (0, "")
        assert_valid(found.document, name, tmp_path)


@pytest.mark.parametrize("name", ["area", "check", "order"])
def test_what_needs_no_weather_for_the_eye_goes_to_stderr(own: Path, tmp_path: Path, name: str) -> None:
    found = run(name, own / "job.toml", cwd=tmp_path)
    assert (found.code, found.out) == (0, "")
    assert "port side" in found.err or name == "order"
    assert len(found.err) > 300


def test_area_sums_to_the_hull(tmp_path: Path) -> None:
    area = run("area", DEMO_SHEET, "--json", cwd=tmp_path).document
    assert {zone["name"] for zone in area["zones"]} >= {"port side", "starboard side", "running gear", "pads 1"}
    assert sum(zone["area_m2"] for zone in area["zones"]) == pytest.approx(area["total_m2"], rel=1e-9)
    assert all(zone["area_sd_m2"] > 0.0 for zone in area["zones"])


def test_order_as_a_table_beside_the_json(tmp_path: Path) -> None:
    found = run("order", DEMO_SHEET, "--json", "--csv", "order.csv", cwd=tmp_path)
    assert found.code == 0
    assert found.err.strip() == "wrote order.csv"
    lines = (tmp_path / "order.csv").read_bytes().decode().split("\r\n")
    for coating in found.document["coatings"]:
        assert any(line.startswith(f"{coating['product']},{coating['kits']},kits,") for line in lines)
        assert coating["kits"] * coating["kit_volume_l"] >= coating["litres"]
    priced = [coating["cost_minor"] for coating in found.document["coatings"]]
    assert sum(priced) == found.document["cost_minor"]
    assert any("respirator" in caution for caution in found.document["cautions"])


def test_windows_as_json(windows_run: Run, tmp_path: Path) -> None:
    assert (windows_run.code, windows_run.err) == (0, "")
    document = windows_run.document
    assert_valid(document, "windows", tmp_path)
    assert [(zone["zone"], zone["product"]) for zone in document["zones"]] == [
        ("running gear", "Demo metal primer D"), ("port side", "Demo copper epoxy A"),
        ("starboard side", "Demo copper epoxy A"), ("running gear", "Demo copper epoxy A"),
        ("pads 1", "Demo copper epoxy A"),
    ]  # fmt: skip


def test_windows_say_of_every_slot_whether_and_why(windows_run: Run) -> None:
    for zone in windows_run.document["zones"]:
        assert len(zone["slots"]) == 8 * 96
        assert {slot["may_start"] for slot in zone["slots"]} == {True, False}
        for slot in zone["slots"]:
            assert (slot["closed_by"] is None) == slot["may_start"]
            assert slot["surface_c"] - slot["dew_c"] == pytest.approx(slot["margin_k"], abs=0.011)
            start = datetime.fromisoformat(slot["start"])
            for following in slot["if_finished_now"]:
                earliest, latest = following["earliest_next"], following["latest_next"]
                assert earliest is None or datetime.fromisoformat(earliest) > start
                assert latest is None or datetime.fromisoformat(latest) > start


def test_windows_are_told_in_the_yards_zone(windows_run: Run) -> None:
    zone = windows_run.document["zones"][1]
    times = local_times(zone["slots"])
    assert len(times) > 8 * 96
    assert all(when.utcoffset() == when.astimezone(PLACE).utcoffset() for when in times)
    assert times[0] == datetime(2022, 4, 25, tzinfo=PLACE)


def test_demo_writes_its_files_and_prints_one_document(demo_run: Run, demo_out: Path, tmp_path: Path) -> None:
    assert demo_run.code == 0
    assert sorted(path.name for path in demo_out.iterdir()) == ["order.csv", "plan.html", "plan.ics"]
    assert "invented" in demo_run.err
    assert "a first plan: afloat" in demo_run.err
    assert_valid(demo_run.document, "plan", tmp_path)
    assert demo_run.document["status"] == "optimal"


def test_plan_tasks_carry_what_a_person_asks_of_them(demo_run: Run) -> None:
    document = demo_run.document
    tasks = document["tasks"]
    for task in tasks:
        assert {"kind", "zone", "coat", "start", "end", "people", "because"} <= set(task)
        assert datetime.fromisoformat(task["start"]) < datetime.fromisoformat(task["end"])
        assert len(task["because"]) > 10
    starts = [datetime.fromisoformat(task["start"]) for task in tasks]
    assert starts == sorted(starts)
    assert (tasks[0]["kind"], tasks[0]["start"]) == ("haul_out", document["haul_out"])
    assert (tasks[-1]["kind"], tasks[-1]["start"]) == ("launch", document["launch"])
    for zone in ("port side", "starboard side", "running gear", "pads 1"):
        assert [task["coat"] for task in tasks if (task["kind"], task["zone"]) == ("coat", zone)] == [1, 2, 3, 4]


def test_plan_times_are_the_yards(demo_run: Run) -> None:
    times = local_times(demo_run.document)
    assert len(times) > 40
    assert all(when.utcoffset() == when.astimezone(PLACE).utcoffset() for when in times)


def test_plan_cost_is_the_sum_of_its_lines(demo_run: Run) -> None:
    document = demo_run.document
    assert sum(line["amount_minor"] for line in document["cost_lines"]) == document["cost_minor"]
    assert document["cost"] == pytest.approx(document["cost_minor"] / 100)
    assert document["solver"]["bound_minor"] == document["cost_minor"]
    assert (document["reasons"], document["ways_out"]) == ([], [])
    assert len(document["checked"]) >= 12


def test_the_demos_calendar_and_page_hold_every_task(demo_run: Run, demo_out: Path) -> None:
    labels = [task["label"] for task in demo_run.document["tasks"]]
    calendar = Calendar.from_ical((demo_out / "plan.ics").read_bytes())
    assert [str(event["SUMMARY"]) for event in calendar.walk("VEVENT")] == labels
    page = (demo_out / "plan.html").read_text(encoding="utf-8")
    assert all(label in page for label in labels)


def test_a_new_sheet_is_planned_and_told_to_the_eye(own_2022: Path, tmp_path: Path) -> None:
    weather = DEMO_SHEET.parent / "weather.csv"
    found = run("plan", own_2022, "--weather", weather, "--days", "45", "--calendar", "plan.ics", cwd=tmp_path)
    assert found.code == 0, found.err
    assert found.out == ""
    words = " ".join(found.err.split())
    for part in (
        "proven best of the 45 days looked at",
        "What binds the start",
        "What it costs",
        "no fault",
        "Take care",
        "wrote plan.ics",
    ):
        assert part in words
    assert (tmp_path / "plan.ics").exists()


def test_windows_of_a_new_sheet_for_the_eye(own_2022: Path, tmp_path: Path) -> None:
    found = run("windows", own_2022, "--weather", DEMO_SHEET.parent / "weather.csv", "--days", "4", cwd=tmp_path)
    assert (found.code, found.out) == (0, "")
    assert re.search(r"port side: a coat of Demo copper epoxy A, \d+ min, may be started", " ".join(found.err.split()))


def test_no_plan_leaves_with_three_and_says_why(hopeless_run: Run, tmp_path: Path) -> None:
    assert hopeless_run.code == 3, hopeless_run.err
    document = hopeless_run.document
    assert_valid(document, "plan", tmp_path)
    assert document["status"] == "infeasible"
    assert (document["tasks"], document["cost"], document["launch"]) == ([], None, None)
    assert any("port side" in reason and "4 coats" in reason for reason in document["reasons"])
    assert document["ways_out"]
    assert "wrote plan.html" in hopeless_run.err
    assert "wrote plan.ics" not in hopeless_run.err


def test_schemas_are_listed_and_closed(tmp_path: Path) -> None:
    names = run("schema", cwd=tmp_path).document["schemas"]
    assert names == ["area", "check", "order", "windows", "plan", "choose", "cost", "odds", "proof", "record"]
    for name in names:
        schema = schema_of(name, tmp_path.parent).document
        assert schema["additionalProperties"] is False
        assert "schema" in schema["required"]


def test_json_is_utf_8_whatever_the_terminal_speaks(tmp_path: Path) -> None:
    found = run("area", DEMO_SHEET, "--json", cwd=tmp_path, PYTHONIOENCODING="ascii", LC_ALL="C")
    assert found.code == 0
    assert found.document["boat"] == "Marsh Wren (invented)"


def test_a_reader_that_leaves_early_is_no_fault(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "boottop", "windows", str(DEMO_SHEET), "--days", "8", "--json"], cwd=tmp_path,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stderr is not None
    assert process.stdout.read(1) == b"{"
    process.stdout.close()
    said = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait(timeout=60) in (0, 1)
    assert said == ""
