"""The Odds page: what it shows, what may be brought in, and what the Cost page takes from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import httpx
import pytest

from boottop.files.documents import as_json
from boottop.files.odds_json import odds_document
from boottop.web.cost_desk import facts_for
from boottop.web.new_jobs import make_demo
from tests.odds.study import small_answer
from tests.web.html_reading import read
from tests.web.serving import Running, running


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server with the demonstration, nothing worked out."""
    with running(tmp_path_factory.mktemp("odds")) as found:
        found.job = make_demo(found.house)
        yield found


@pytest.fixture(scope="module")
def keeper(shop: Running) -> httpx.Client:
    """The browser of this computer."""
    return shop.keeper()


@lru_cache(maxsize=1)
def result() -> str:
    """What a small study of the demonstration wrote."""
    return as_json(odds_document(small_answer()))


def bring(client: httpx.Client, running: Running, content: bytes | str) -> httpx.Response:
    return client.post(f"/jobs/{running.job}/odds", files={"file": ("odds.json", content)})


def changed(**values: Any) -> str:
    return json.dumps(json.loads(result()) | values)


def test_a_result_is_kept_shown_and_reckoned_with(shop: Running, keeper: httpx.Client) -> None:
    path = f"/jobs/{shop.job}"
    before = keeper.get(f"{path}/odds").text
    assert "No study is kept with this job yet" in before
    assert "boottop odds job.toml --weather weather.csv --crew " in before
    assert keeper.get(f"{path}/odds.json").status_code == 404
    assert bring(keeper, shop, result()).headers["location"] == f"{path}/odds"
    page = keeper.get(f"{path}/odds").text
    seen = read(page)
    assert len([one for one in seen.all("svg") if "aria-label" in one]) == 2
    ids = [attributes["id"] for _, attributes in seen.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert "6 of 6 start days walked" in page
    assert json.loads(keeper.get(f"{path}/odds.json").text) == json.loads(result())
    assert keeper.get(f"{path}/odds.html").text.startswith("<!doctype html>")
    days = facts_for(shop.house, shop.job, shop.house.desk.ashore(shop.job)).days
    assert days is not None
    assert list(days.days) == json.loads(result())["days_ashore"]
    assert days.from_where.startswith("the odds (3 people, no tent, week of 23 Apr")


def with_never(share: float) -> str:
    """The result with another chance never to be afloat."""
    document = json.loads(result())
    document["places"][0]["options"][0]["best"]["weeks"][0]["never"]["value"] = share
    return json.dumps(document)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "Expecting value"),
        (b"\xff\xfe\x00", "decode"),
        (b"[" * 5000, "nesting|recursion|Expecting"),
        ('{"schema": "boottop.cost/1"}', "schema"),
        (changed(places=[]), "no place"),
        (changed(week_of="32 May"), "32 May"),
        (changed(target_days=13), "other numbers of days"),
        (changed(boat="\ud800"), "boat|surrogate"),
        (with_never(1.5), "a chance outside 0 to 1"),
        (with_never(float("nan")), "NaN, which is no number"),
    ],
)
def test_what_is_no_result_is_refused_with_what_is_wrong(
    shop: Running, keeper: httpx.Client, *, content: bytes | str, says: str
) -> None:
    answer = bring(keeper, shop, content)
    assert answer.status_code == 422
    assert any(part in answer.text for part in says.split("|")), answer.text[-900:]
    assert "boottop odds ... --save odds.json" in answer.text


def test_another_boat_s_result_says_so(shop: Running, keeper: httpx.Client) -> None:
    bring(keeper, shop, changed(boat="Bold <b>Tern</b>"))
    page = keeper.get(f"/jobs/{shop.job}/odds").text
    assert "This result is of Bold &lt;b&gt;Tern&lt;/b&gt;, and the job sheet is of" in page
    bring(keeper, shop, result())
    assert "This result is of" not in keeper.get(f"/jobs/{shop.job}/odds").text


def test_a_hand_sees_it_and_brings_nothing_in(shop: Running) -> None:
    phone = shop.paired("hand")
    assert "Bring it in" not in phone.get(f"/jobs/{shop.job}/odds").text
    assert bring(phone, shop, result()).status_code == 403
