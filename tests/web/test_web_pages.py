"""Every page of a worked-out job: what it shows, what must not be in it, and what follows from units and light."""

from __future__ import annotations

import json
import re

import httpx
import pytest
from jsonschema import Draft202012Validator

from boottop.files.documents import json_schema
from boottop.job.coding import table_of
from boottop.web.style import stylesheet
from tests.web.html_reading import read
from tests.web.serving import Running

PAGES = ("today", "plan", "odds", "weather", "order", "cost", "areas", "log", "record", "sheet", "sheet?view=text",
         "crew", "product/demo-copper-epoxy-a.toml")  # fmt: skip
EVERY = ("/", "/join", *(f"/jobs/{{job}}/{page}" for page in PAGES))


@pytest.fixture(scope="module")
def keeper(planned: Running) -> httpx.Client:
    """The browser of this computer."""
    return planned.keeper()


@pytest.mark.parametrize("page", EVERY)
def test_nothing_inline_and_nothing_from_elsewhere(planned: Running, keeper: httpx.Client, *, page: str) -> None:
    """What the policy would forbid is not in the page, so that nothing is silently missing from it."""
    answer = keeper.get(page.format(job=planned.job))
    assert answer.status_code == 200
    seen = read(answer.text)
    assert seen.all("style") == []
    for tag, attributes in seen.tags:
        assert "style" not in attributes, tag
        assert not [name for name in attributes if name.startswith("on")], tag
        for name in ("src", "href", "action"):
            assert not re.match(r"(?i)[a-z]+:|//", attributes.get(name, "")), attributes
    assert all("src" in script for script in seen.all("script"))


@pytest.mark.parametrize("page", EVERY)
def test_every_control_has_a_name_and_ids_are_unique(planned: Running, keeper: httpx.Client, *, page: str) -> None:
    text = keeper.get(page.format(job=planned.job)).text
    seen = read(text)
    ids = [attributes["id"] for _, attributes in seen.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    labelled = {label.get("for") for label in seen.all("label")}
    for tag in ("input", "select", "textarea"):
        for control in seen.all(tag):
            inside = re.search(rf'<label[^>]*>[^<]*<{tag} [^>]*name="{re.escape(control.get("name", ""))}"', text)
            hidden = control.get("type") == "hidden"
            assert hidden or control.get("id") in labelled or inside, control
    assert len(seen.all("h1")) == 1
    assert seen.all("html")[0]["lang"] == "en"


def test_the_drawing_s_rows_have_their_heights_in_the_style(planned: Running, keeper: httpx.Client) -> None:
    rows = set(re.findall(r'<div class="(h\d+)">', keeper.get(f"/jobs/{planned.job}/plan").text))
    assert rows
    assert all(f".{row} {{ height: {row[1:]}px; }}" in stylesheet() for row in rows)


def test_plan_and_weather_show_what_was_worked_out(planned: Running, keeper: httpx.Client) -> None:
    results = planned.house.desk.results(planned.job)
    assert results is not None
    assert results.planned is not None
    page, weather = (keeper.get(f"/jobs/{planned.job}/{name}").text for name in ("plan", "weather"))
    for task in results.planned.plan.tasks[:5]:
        assert task.because.split(";")[0].replace("'", "&#39;")[:40].split(" degC")[0].split(" m2")[0] in page
    assert '<svg class="days"' in page
    assert '<svg class="days"' in weather
    assert "refresh" not in [meta.get("http-equiv") for meta in read(page).all("meta")]


@pytest.mark.parametrize("name", ["area", "check", "order", "windows", "plan"])
def test_documents_are_those_of_the_command_line(planned: Running, keeper: httpx.Client, *, name: str) -> None:
    found = keeper.get(f"/jobs/{planned.job}/{name}.json").json()
    Draft202012Validator(json_schema(name)).validate(found)


def test_what_the_command_line_writes_can_be_kept(planned: Running, keeper: httpx.Client) -> None:
    for name, start in (("plan.html", b"<!doctype html>"), ("plan.ics", b"BEGIN:VCALENDAR"), ("order.csv", b"")):
        answer = keeper.get(f"/jobs/{planned.job}/{name}")
        assert answer.content.startswith(start)
        assert f'filename="{name}"' in answer.headers["content-disposition"]
    assert keeper.get(f"/jobs/{planned.job}/nothing.json").status_code == 404


def test_units_and_light_are_the_person_s(planned: Running) -> None:
    keeper = planned.keeper()
    path = f"/jobs/{planned.job}/areas"
    assert "m²" in keeper.get(path).text
    answer = keeper.post("/look", data={"units": "us", "theme": "dark", "back": path})
    assert answer.headers["location"] == path
    page = keeper.get(path).text
    assert "ft2" in page
    assert '<html lang="en" data-theme="dark">' in page
    keeper.post("/look", data={"units": "cubits", "theme": "<b>", "back": path})
    assert "ft2" in keeper.get(path).text


@pytest.mark.parametrize("back", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example", "", "x"])
def test_nobody_is_sent_elsewhere(planned: Running, back: str) -> None:
    assert planned.client().post("/look", data={"units": "us", "back": back}).headers["location"] == "/"


def test_the_board_is_one_that_a_phone_can_read(planned: Running, keeper: httpx.Client) -> None:
    answer = keeper.get(f"/api/jobs/{planned.job}/board")
    board = answer.json()
    held = planned.house.desk.board(planned.job)
    assert held is not None
    assert table_of(board["table"]) == held.table
    assert (board["state"], board["stale"], board["problems"]) == ("ready", "", [])
    assert board["clock"]["offset_s"] != 0
    assert answer.headers["content-encoding"] == "gzip"
    again = keeper.get(f"/api/jobs/{planned.job}/board", headers={"If-None-Match": answer.headers["etag"]})
    assert again.status_code == 304
    assert again.content == b""


def test_every_zone_of_the_board_has_what_its_rules_need(planned: Running) -> None:
    held = planned.house.desk.board(planned.job)
    assert held is not None
    table = held.table
    for zone in table.zones:
        for system in zone.systems:
            marks = (system.ready, system.ready_middle, system.overcoat_until, system.rain_safe, system.immersion)
            assert all(len(one) == table.count + 1 for one in marks)
            assert len(system.rule) == len(system.margin_k) == len(system.surface_c) == table.count
            assert system.litres_per_coat > 0.0
            assert system.coat_slots >= 1
    assert {step for zone in table.zones for step in zone.steps} >= {"abrade", "wipe"}
    assert len(table.midnights) == 21
    assert {task.kind for task in table.tasks} >= {"haul_out", "coat", "launch"}


def test_today_is_kept_for_a_week_and_says_who_looks(planned: Running) -> None:
    page = planned.paired("hand", "Zoë <b>").get(f"/jobs/{planned.job}/today")
    assert page.headers["cache-control"] == "private, max-age=604800"
    boot = json.loads(next(one["data-boot"] for one in read(page.text).all("div") if "data-boot" in one))
    assert (boot["role"], boot["who"], boot["job"]) == ("hand", "Zoë <b>", planned.job)
    assert boot["time_zone"] == "America/New_York"
    assert "Zoë <b>" not in page.text


def test_the_board_outlives_the_server(planned: Running) -> None:
    from boottop.web.serve import house_on

    held = planned.house.desk.board(planned.job)
    with house_on(planned.house.store) as another:
        kept = another.desk.board(planned.job)
        assert another.clock(planned.job) == planned.house.clock(planned.job)
    assert kept == held


def test_the_log_shows_strikes_and_corrections(planned: Running) -> None:
    hand, path = planned.paired("hand", "Ana"), f"/jobs/{planned.job}/log"
    assert hand.post(f"{path}/note", data={"text": "<script>alert(1)</script>"}).status_code == 303
    page = hand.get(path).text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    ident = re.search(r'id="e-([0-9a-f-]{36})"', page)
    assert ident is not None
    assert hand.post(f"{path}/time", data={"id": ident[1], "happened": "2022-04-25T09:15"}).status_code == 303
    assert "(corrected)" in hand.get(path).text
    assert hand.post(f"{path}/strike", data={"id": ident[1]}).status_code == 303
    assert "(struck out)" in hand.get(path).text
    assert hand.post(f"{path}/restore", data={"id": ident[1]}).status_code == 303
    assert "(struck out)" not in hand.get(path).text


@pytest.mark.parametrize(
    ("what", "data", "words"),
    [
        ("time", {"happened": "2022-11-06T01:30"}, "happens twice"),
        ("time", {"happened": "2022-03-13T02:30"}, "does not exist"),
        ("time", {"happened": "noon"}, "a date and a time"),
        ("strike", {"id": "nothing"}, "the id of an event"),
        ("note", {"text": ""}, "text of 1 to"),
        ("dance", {}, "note, work, strike, restore, time"),
    ],
)
def test_what_cannot_be_corrected_is_said(planned: Running, what: str, *, data: dict[str, str], words: str) -> None:
    answer = planned.paired("hand").post(f"/jobs/{planned.job}/log/{what}", data={"id": "0" * 36, **data})
    assert answer.status_code == 422
    assert words in answer.text


def test_a_changed_sheet_makes_the_board_stale(planned: Running) -> None:
    """Last of the file: it changes the job."""
    keeper = planned.keeper()
    path = f"/jobs/{planned.job}/sheet"
    old = re.search(r'name="job.name" value="([^"]*)"', keeper.get(path).text)
    assert old is not None
    assert keeper.post(path, data={"job.name": "Another name"}).status_code == 303
    assert keeper.get(f"/api/jobs/{planned.job}/board").json()["stale"] != ""
    assert "was changed after this plan was made" in keeper.get(f"/jobs/{planned.job}/plan").text
    assert keeper.post(path, data={"job.name": old[1]}).status_code == 303
    assert keeper.get(f"/api/jobs/{planned.job}/board").json()["stale"] == ""
