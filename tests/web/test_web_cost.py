"""The Cost page: what it shows of a planned job, how the document is saved, and what a log brings."""

from __future__ import annotations

import re

import httpx
import pytest

from boottop.store.people import Role
from tests.files.test_cost_logs import csv_log
from tests.web.html_reading import read
from tests.web.serving import Running


@pytest.fixture(scope="module")
def keeper(planned: Running) -> httpx.Client:
    """The browser of this computer."""
    return planned.keeper()


def _document(planned: Running, client: httpx.Client) -> str:
    return client.get(f"/jobs/{planned.job}/cost.toml").text


def _save(planned: Running, client: httpx.Client, text: str) -> httpx.Response:
    page = client.get(f"/jobs/{planned.job}/cost").text
    base = re.search(r'name="base" value="(\d+)"', page)
    assert base is not None
    return client.post(f"/jobs/{planned.job}/cost", data={"toml": text, "base": base[1]})


def test_the_ways_stand_side_by_side(planned: Running, keeper: httpx.Client) -> None:
    page = keeper.get(f"/jobs/{planned.job}/cost")
    assert page.status_code == 200
    for words in ("soft paint every two years", "as on the job sheet", "What would turn it", "Guesses."):
        assert words in page.text
    figures = [attributes["aria-label"] for attributes in read(page.text).all("svg") if "aria-label" in attributes]
    assert len(figures) == 5


def test_the_page_has_nothing_inline_and_nothing_from_elsewhere(planned: Running, keeper: httpx.Client) -> None:
    seen = read(keeper.get(f"/jobs/{planned.job}/cost").text)
    assert seen.all("style") == []
    for tag, attributes in seen.tags:
        assert "style" not in attributes, tag
        assert not [name for name in attributes if name.startswith("on")], tag
        for name in ("src", "href", "action"):
            assert not re.match(r"(?i)[a-z]+:|//", attributes.get(name, "")), attributes
    assert len(seen.all("h1")) == 1


def test_days_of_the_plan_and_price_of_the_order_are_in_it(planned: Running, keeper: httpx.Client) -> None:
    results = planned.house.desk.results(planned.job)
    assert results is not None
    assert results.planned is not None
    document = keeper.get(f"/jobs/{planned.job}/cost.json").json()
    way = next(one for one in document["ways"] if "job sheet" in one["name"])
    lines = {line["what"]: line for line in way["lines"]}
    assert lines["Coating"]["paid_minor"] == results.ashore.order.cost_minor
    charged = next(one for one in results.planned.plan.cost_lines if "days ashore" in one.what)
    assert lines["Days ashore, renewing"]["paid_minor"] == charged.amount_minor
    assert document["schema"] == "boottop.cost/1"


def test_a_new_price_is_kept_and_the_plan_is_not_stale(planned: Running) -> None:
    skipper = planned.paired("skipper", "Eva")
    text = _document(planned, skipper)
    assert _save(planned, skipper, text.replace("checked = false", "checked = true")).status_code == 303
    page = skipper.get(f"/jobs/{planned.job}/cost").text
    assert "Guesses." not in page
    assert not planned.house.desk.stale(planned.job)
    assert _save(planned, skipper, text).status_code == 303


def test_a_document_with_mistakes_is_handed_back(planned: Running) -> None:
    skipper = planned.paired("skipper", "Eva")
    before = _document(planned, skipper)
    answer = _save(planned, skipper, before.replace("horizon", "horizont"))
    assert answer.status_code == 422
    assert "Did you mean &#39;horizon&#39;?" in answer.text
    assert "horizont = " in answer.text
    assert _document(planned, skipper) == before


def test_nobody_overwrites_a_newer_document(planned: Running) -> None:
    skipper = planned.paired("skipper", "Eva")
    text = _document(planned, skipper)
    assert _save(planned, skipper, text + "\n# first\n").status_code == 303
    answer = skipper.post(f"/jobs/{planned.job}/cost", data={"toml": text + "\n# second\n", "base": "0"})
    assert answer.status_code == 422
    assert "saved by someone else" in answer.text


@pytest.mark.parametrize("role", ["guest", "hand"])
def test_only_the_skipper_changes_prices(planned: Running, role: Role) -> None:
    phone = planned.paired(role)
    assert phone.get(f"/jobs/{planned.job}/cost").status_code == 200
    assert "<button>Save and reckon" not in phone.get(f"/jobs/{planned.job}/cost").text
    assert phone.post(f"/jobs/{planned.job}/cost", data={"toml": "format = 1"}).status_code == 403
    assert phone.post(f"/jobs/{planned.job}/cost/log", files={"files": ("a.csv", b"x")}).status_code == 403


def test_nothing_for_who_is_not_paired(planned: Running) -> None:
    for name in ("cost", "cost.toml", "cost.json", "cost.html"):
        assert planned.client().get(f"/jobs/{planned.job}/{name}").status_code == 401


def test_units_are_the_person_s(planned: Running) -> None:
    keeper = planned.keeper()
    assert " L</td>" in keeper.get(f"/jobs/{planned.job}/cost").text
    keeper.post("/look", data={"units": "us", "back": "/"})
    assert "US gal</td>" in keeper.get(f"/jobs/{planned.job}/cost").text


def test_the_page_to_keep_stands_alone(planned: Running, keeper: httpx.Client) -> None:
    answer = keeper.get(f"/jobs/{planned.job}/cost.html")
    assert 'filename="cost.html"' in answer.headers["content-disposition"]
    assert answer.text.startswith("<!doctype html>")
    assert not re.search(r'(?:src|href)="(?!#)', answer.text)


def test_a_log_is_looked_at_and_not_kept(planned: Running) -> None:
    skipper = planned.paired("skipper", "Eva")
    days = {"hauled": "2022-04-25", "afloat": "2022-05-13"}
    files = {"files": ("log.csv", csv_log().encode())}
    answer = skipper.post(f"/jobs/{planned.job}/cost/log", data=days, files=files)
    assert answer.status_code == 200
    assert "Without a log from before, what the job did cannot be proved" in answer.text
    assert "40 moments, 1 steady runs" in answer.text
    kept = planned.house.store.documents.all(planned.job)
    assert not any("log" in one.name for one in kept)


def test_a_season_s_log_of_some_megabytes_is_taken(planned: Running) -> None:
    skipper = planned.paired("skipper", "Eva")
    rows = csv_log().splitlines()
    head, line = rows[1], rows[2].split(",", 1)[1]
    content = "\n".join([head, *(f"2022-04-{1 + n // 2000:02}T{n // 84 % 24:02}:{n % 60:02}:00Z,{line}"
                                for n in range(30_000))])  # fmt: skip
    assert len(content) > 1_200_000
    answer = skipper.post(
        f"/jobs/{planned.job}/cost/log",
        data={"hauled": "2022-04-25", "afloat": "2022-05-13"},
        files={"files": ("log.csv", content.encode())},
    )
    assert answer.status_code == 200
    assert "30000 moments" in answer.text


@pytest.mark.parametrize(
    ("data", "content", "words"),
    [
        ({"hauled": "2022-05-13", "afloat": "2022-04-25"}, csv_log().encode(), "swapped"),
        ({"hauled": "then", "afloat": "2022-04-25"}, csv_log().encode(), "a date such as"),
        ({"hauled": "2022-04-25", "afloat": "2022-05-13"}, b"\0\0\0", "binary"),
        ({"hauled": "2022-04-25", "afloat": "2022-05-13"}, b"", "no header line"),
    ],
)
def test_a_log_that_is_none_is_told(planned: Running, data: dict[str, str], *, content: bytes, words: str) -> None:
    skipper = planned.paired("skipper", "Eva")
    answer = skipper.post(f"/jobs/{planned.job}/cost/log", data=data, files={"files": ("log.csv", content)})
    assert answer.status_code == 422
    assert words in answer.text


def test_a_job_without_a_plan_says_so(server: Running) -> None:
    page = server.keeper().get(f"/jobs/{server.job}/cost")
    assert page.status_code == 200
    assert "thing" in page.text
