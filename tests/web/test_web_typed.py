"""What was typed into a form: told where it is wrong in the words of a form, and never lost."""

from __future__ import annotations

import hashlib
import re
from datetime import timedelta

import pytest

from boottop.base.errors import InputError
from boottop.web import papers
from boottop.web.forms_edit import edited, form_of
from boottop.web.forms_fields import Field
from boottop.web.forms_job import SECTIONS
from boottop.web.forms_values import typed_value
from boottop.web.new_jobs import demo_files, make_demo, make_imported, make_new
from tests.web.made_events import event
from tests.web.serving import Running


@pytest.fixture
def demo_job(server: Running) -> str:
    """The demonstration's sheet, without a plan."""
    return make_demo(server.house)


def test_what_was_typed_over_someone_elses_newer_sheet_is_shown_again(server: Running, demo_job: str) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}/sheet"
    fields = {"boat.length": "38 ft 2 in", "yard.name": "Lower yard", "crew.people": "2"}
    opened = re.search(r'name="base" value="(\d+)"', keeper.get(path).text)
    assert opened is not None
    keeper.post(path, data={"base": opened[1], "boat.beam": "3.3 m"})
    refused = keeper.post(path, data={"base": opened[1], "boat.beam": "3.20 m", **fields})
    assert refused.status_code == 422
    for value in ("38 ft 2 in", "Lower yard"):
        assert f'value="{value}"' in refused.text
    newest = re.search(r'name="base" value="(\d+)"', refused.text)
    assert newest is not None
    assert int(newest[1]) > int(opened[1])


def test_fields_that_only_somebody_else_changed_stay_theirs(server: Running, demo_job: str) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}/sheet"
    page = keeper.get(path).text
    base, beam = (re.search(rf'name="{name}" value="([^"]*)"', page) for name in ("base", "boat.beam"))
    assert base is not None
    assert beam is not None
    keeper.post(path, data={"base": base[1], "boat.beam": "3.33 m"})
    refused = keeper.post(path, data={"base": base[1], "boat.beam": beam[1], "yard.name": "Lower yard"})
    assert refused.status_code == 422
    assert 'name="boat.beam" value="3.33 m"' in refused.text


def test_a_strange_field_loses_nothing_that_was_typed(server: Running, demo_job: str) -> None:
    answer = server.keeper().post(f"/jobs/{demo_job}/sheet", data={"boat.length": "41 ft", "appendages[99].name": "x"})
    assert answer.status_code == 422
    assert 'value="41 ft"' in answer.text


def test_a_product_sheet_gives_back_what_was_typed(server: Running) -> None:
    job = make_new(server.house, "Mine")
    path = f"/jobs/{job}/product/coatings/demo-copper-epoxy-a.toml"
    answer = server.keeper().post(path, data={"film.dry_film": "3 mil", "parts[99].name": "x"})
    assert answer.status_code == 422
    assert 'value="3 mil"' in answer.text


def test_a_wrong_line_is_told_at_its_field(server: Running, demo_job: str) -> None:
    rows = "0 m, 0.9 m, 0.4 m\nabc, 1 m, 1 m"
    fields = {"measure.girths": rows, "crew.hours": "whenever", "yard.closed": "12/05/2026"}
    answer = server.keeper().post(f"/jobs/{demo_job}/sheet/check", json={"fields": fields}).json()["problems"]
    told = {one["key"]: one["at"] for one in answer}
    assert told["measure.girths"] == "line 2, station: "
    assert {"crew.hours", "yard.closed"} <= set(told)


def test_a_form_never_asks_for_quotes(server: Running, demo_job: str) -> None:
    keeper = server.keeper()
    text = demo_files()["job.toml"].decode()
    shown = [one for _, blocks in form_of(text, SECTIONS) for block in blocks for one in block.fields]
    names = [one.name for one in shown if one.field.kind != "file"]
    for value in ("abc", "5", "x" * 600):
        asked = keeper.post(f"/jobs/{demo_job}/sheet/check", json={"fields": dict.fromkeys(names, value)})
        problems = asked.json()["problems"]
        assert len(problems) > 40
        assert [one["advice"] for one in problems if "quotes" in one["advice"]] == []


def test_a_quantity_typed_in_quotes_is_taken_without_them() -> None:
    text = demo_files()["job.toml"].decode()
    assert 'length = "38 ft 6 in"' in edited(text, SECTIONS, {"boat.length": '"38 ft 6 in"'})


def test_a_weather_file_that_is_not_there_is_told_while_typing(server: Running, demo_job: str) -> None:
    asked = server.keeper().post(f"/jobs/{demo_job}/sheet/check", json={"fields": {"job.weather": "mine.csv"}})
    assert [one["key"] for one in asked.json()["problems"]] == ["job.weather"]


@pytest.mark.parametrize("content", [b"[[[ no toml", b"[job]\nname = \xff\xfe", b"a = " + b"[" * 3000])
def test_a_sheet_that_cannot_be_read_is_shown_as_text(server: Running, demo_job: str, *, content: bytes) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}"
    sent = keeper.post(f"{path}/documents", files=[("files", ("job.toml", content))])
    assert sent.status_code == 303
    page = keeper.get(f"{path}/sheet")
    assert page.status_code == 200
    assert '<textarea name="toml"' in page.text
    assert keeper.get(f"{path}/sheet.toml").status_code == 200
    assert keeper.post(f"{path}/sheet", data={"toml": demo_files()["job.toml"].decode()}).status_code == 303


def test_half_an_emoji_is_no_fault_of_the_server(server: Running, demo_job: str) -> None:
    body = b'{"fields": {"boat.name": "Wren \\ud83d"}}'
    headers = {"Content-Type": "application/json"}
    answer = server.keeper().post(f"/jobs/{demo_job}/sheet/check", content=body, headers=headers)
    assert answer.status_code == 200
    assert answer.json()["problems"] == []


def test_files_that_cannot_be_kept_leave_no_job_behind(server: Running) -> None:
    before = len(server.house.store.jobs.all())
    with pytest.raises(InputError, match="Rename the file"):
        make_imported(server.house, "Broken", {"job.toml": demo_files()["job.toml"], "été<b>.csv": b"x"})
    assert len(server.house.store.jobs.all()) == before


def test_old_papers_do_not_fill_the_disk(server: Running, demo_job: str) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}/sheet"
    for number in range(papers.VERSIONS_KEPT + 4):
        keeper.post(path, data={"yard.name": f"Yard {number}"})
        keeper.get(path)
    folder = server.house.cabinet.papers(demo_job).folder
    assert len(list(folder.parent.iterdir())) == papers.VERSIONS_KEPT
    assert "Yard 9" in (folder / "job.toml").read_text(encoding="utf-8")


def test_a_phone_is_named_in_words_and_a_single_entry_counted_as_one(server: Running) -> None:
    agent = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_0 like Mac OS X) AppleWebKit/605.1.15 Version/17.0 Safari/604.1"
    code = server.house.store.people.make_pairing(
        server.job, "hand", now=server.house.now(), valid_for=timedelta(minutes=15)
    )
    phone = server.client()
    joined = phone.post("/join", data={"code": code, "who": "Ana"}, headers={"User-Agent": agent})
    assert joined.status_code == 303
    assert "Ana: iPhone, Safari" in server.keeper().get(f"/jobs/{server.job}/crew").text
    assert phone.post(f"/jobs/{server.job}/log/note", data={"text": "<script>alert(1)</script>"}).status_code == 303
    page = phone.get(f"/jobs/{server.job}/log").text
    assert "1 entry." in page
    assert "<script>alert" not in page


def test_arrival_in_the_log_of_the_demonstration_is_told_by_its_own_clock(server: Running, demo_job: str) -> None:
    keeper = server.keeper()
    keeper.post(f"/jobs/{demo_job}/log/note", data={"text": "by the clock"})
    arrived = re.search(r"arrived \w+ (\d+ \w+) ", keeper.get(f"/jobs/{demo_job}/log").text)
    assert arrived is not None
    assert arrived[1] == f"{server.house.job_now(demo_job):%d %b}"


def test_a_photograph_is_shown_in_the_log_not_its_hash(server: Running) -> None:
    hand, content = server.paired("hand"), b"\xff\xd8\xff invented"
    digest = hashlib.sha256(content).hexdigest()
    place = f"/api/jobs/{server.job}/photos/{digest}"
    hand.put(place, content=content, headers={"Content-Type": "image/jpeg"}).raise_for_status()
    data = {"sha256": digest, "name": "keel.jpg", "bytes": len(content)}
    sent = hand.post(f"/api/jobs/{server.job}/events", json={"events": [event(kind="photo", data=data)]})
    assert sent.json()["refused"] == []
    page = hand.get(f"/jobs/{server.job}/log").text
    assert f'src="{place}"' in page
    assert f"<dd>{digest}</dd>" not in page
    assert "keel.jpg" in page


def test_digits_of_another_script_are_read_as_the_numbers_they_mean() -> None:
    """Latitude goes to the sheet as a bare number, which TOML writes with 0 to 9 alone."""
    for kind, text, value in (("coordinate", "\u0664\u0661.\u0665", 41.5), ("whole", "\uff13", 3)):
        assert typed_value(text, Field(key="x", kind=kind, hint="")) == value
