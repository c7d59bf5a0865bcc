"""The record's page: what is read, brought in, explained and kept, through a real server."""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import httpx
import pytest

from boottop.files.record_docs import read_facts, read_film, read_visits
from boottop.files.record_verify import verify_job
from boottop.store.copying import copy_database
from boottop.web.record_desk import record_of
from tests.faults.test_record_spoilt import jpeg
from tests.report.html_read import Page
from tests.web.serving import Running, no_weather, running


@pytest.fixture(scope="module")
def place(finished: Running, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server on a copy of the finished store, which these tests write to."""
    path = finished.house.store.database.path
    assert path is not None
    folder = tmp_path_factory.mktemp("page")
    copy_database(path, folder / "test.db")
    shutil.copytree(path.with_name(f"{path.name}.photos"), folder / "test.db.photos")
    with running(folder, weather=no_weather) as found:
        found.job = finished.job
        yield found


@pytest.fixture(scope="module")
def keeper(place: Running) -> httpx.Client:
    """The browser of the computer itself."""
    return place.keeper()


def base(place: Running) -> str:
    return f"/jobs/{place.job}/record"


def test_the_page_is_whole_and_shows_what_the_paper_shows(place: Running, keeper: httpx.Client) -> None:
    page = Page(keeper.get(base(place)).text)
    assert page.unclosed == []
    record = record_of(place.house, place.job)
    for wanted in (record.chain.head, "Where the job departed", "ISO 19840 (from memory", "The bottom unrolled"):
        assert wanted in page.text
    assert "svg" in page.tags
    assert not [value for name, value in page.attributes if name in ("style", "onclick")]


@pytest.mark.parametrize(
    ("name", "kind", "begins"),
    [
        ("record.pdf", "application/pdf", b"%PDF"),
        ("record.json", "application/json", b"{"),
        ("coats.csv", "text/csv; charset=utf-8", b"zone,product"),
        ("readings.csv", "text/csv; charset=utf-8", b"zone,method"),
        ("job/archive", "application/zip", b"PK"),
    ],
)
def test_files_to_keep(place: Running, keeper: httpx.Client, name: str, *, kind: str, begins: bytes) -> None:
    answer = keeper.get(f"{base(place)}/{name}")
    assert (answer.status_code, answer.headers["content-type"]) == (200, kind)
    assert answer.content.startswith(begins)


def test_a_file_that_is_none(place: Running, keeper: httpx.Client) -> None:
    assert keeper.get(f"{base(place)}/other.pdf").status_code == 404


def test_a_deviation_is_explained_and_the_log_holds_it(place: Running, keeper: httpx.Client) -> None:
    key = next(one.key for one in record_of(place.house, place.job).deviations if not one.explained)
    before = place.house.store.event_count(place.job)
    answer = keeper.post(f"{base(place)}/facts/explain", data={"key": key, "text": "Opened <b>late</b>."})
    assert answer.status_code == 303
    found = record_of(place.house, place.job)
    assert next(one.explained for one in found.deviations if one.key == key) == "Opened <b>late</b>."
    assert "Opened &lt;b&gt;late&lt;/b&gt;." in keeper.get(base(place)).text
    assert place.house.store.event_count(place.job) == before + 1
    assert verify_job(place.house.store, place.job).faults == ()


def test_papers_lots_bare_spots_and_visits(place: Running, keeper: httpx.Client) -> None:
    send = {
        "papers": {"Owner": "B. Sample", "least": "5.5 mil"},
        "lot": {"product": "Demo copper epoxy A", "part": "resin (A)", "lot": "Z-1", "best_before": "2027-01-31"},
        "bare": {"zone": "port side", "kind": "slings", "words": "rubbed", "station": "8 ft", "girth": "40 cm"},
        "visit": {"date": "2026-05-01", "kind": "washed only", "zone": "port side", "film": "238 um", "fouling": "10"},
    }
    for what, words in send.items():
        answer = keeper.post(f"{base(place)}/facts/{what}", data=words)
        assert answer.status_code == 303, answer.text
    facts = read_facts(place.house.store, place.job)
    assert facts.papers["Owner"] == "B. Sample"
    assert facts.least_film_um == pytest.approx(139.7)
    assert facts.lots[-1].lot == "Z-1"
    assert facts.bare[-1].side == "port"
    assert facts.bare[-1].station_m == pytest.approx(2.4384)
    assert read_visits(place.house.store, place.job)[-1].film_um == 238.0


@pytest.mark.parametrize(
    ("what", "words", "said"),
    [
        ("lot", {"product": "x", "part": "y", "lot": "z", "best_before": "soon"}, "a date such as"),
        ("lot", {"product": "x"}, "product, part and lot"),
        ("bare", {"zone": "port side", "kind": "slings", "words": "x", "station": "8"}, "a length with its unit"),
        ("bare", {"zone": "port side", "kind": "?"}, "zone, kind and words"),
        ("visit", {"date": "soon", "kind": "party", "fouling": "300"}, "such as 2024-05-07"),
        ("papers", {"least": "140 kg"}, "140 kg"),
        ("explain", {"text": "x"}, "one of the list"),
    ],
)
def test_what_cannot_be_taken_is_said(
    place: Running, keeper: httpx.Client, what: str, *, words: dict[str, str], said: str
) -> None:
    answer = keeper.post(f"{base(place)}/facts/{what}", data=words)
    assert answer.status_code == 422
    assert said in answer.text


def bring(client: httpx.Client, place: Running, what: str, *, content: bytes, **words: str) -> httpx.Response:
    """Bring a file in."""
    files = {"file": ("own gauge.csv", io.BytesIO(content), "text/csv")}
    return client.post(f"{base(place)}/documents/{what}", files=files, data=words)


def test_readings_are_brought_in_and_their_columns_remembered(place: Running, keeper: httpx.Client) -> None:
    text = b"Ort;Messung 1\nport side;281,5\n"
    assert "--map" in bring(keeper, place, "film", content=text).text
    words = {"map": "value=Messung 1\nzone=Ort", "unit": "um", "method": "ultrasonic"}
    assert "1 readings of 1 rows" in bring(keeper, place, "film", content=text, **words).text
    again = bring(keeper, place, "film", content=text + b"port side;282,5\n")
    assert "2 readings of 2 rows" in again.text
    assert len([one for one in read_film(place.house.store, place.job) if not one.who]) == 2
    assert verify_job(place.house.store, place.job).faults == ()


def logger_file(place: Running, days: range, hour: int = 8) -> bytes:
    """A logger's file with one row a day, counted from the haul-out."""
    hauled_s = record_of(place.house, place.job).hauled_s or 0
    zone = ZoneInfo("America/New_York")
    first = datetime.fromtimestamp(hauled_s, tz=zone).replace(hour=hour, minute=5)
    rows = "".join(f"{first + timedelta(days=day):%Y-%m-%d %H:%M},11.9,37\n" for day in days)
    return f"Time,Temp (°C),RH (%)\n{rows}".encode()


def test_a_loggers_file_goes_into_the_log_once(place: Running, keeper: httpx.Client) -> None:
    assert "2 new in the log" in bring(keeper, place, "logger", content=logger_file(place, range(2))).text
    again = bring(keeper, place, "logger", content=logger_file(place, range(3))).text
    assert "1 new in the log, 2 were there already" in again


def test_a_loggers_year_goes_in_as_far_as_it_is_of_the_job(place: Running, keeper: httpx.Client) -> None:
    answer = bring(keeper, place, "logger", content=logger_file(place, range(-20, 4), hour=12)).text
    assert "6 new in the log" in answer
    assert "18 outside the job" in answer
    late = bring(keeper, place, "logger", content=logger_file(place, range(300, 310)))
    assert "0 half hours with readings within the job" in late.text


def test_visits_of_earlier_years_come_as_a_table(place: Running, keeper: httpx.Client) -> None:
    text = b"date;what;zone;fouling;film (um);note\n2019-05-01;washed only;port side;20;;weedy\n"
    assert "1 visits added" in bring(keeper, place, "visits", content=text).text
    assert "0 visits added, 1 were there already" in bring(keeper, place, "visits", content=text).text
    assert "weedy" in keeper.get(base(place)).text


def test_photographs_and_what_is_none(place: Running, keeper: httpx.Client) -> None:
    files = [
        ("files", ("one.jpg", io.BytesIO(jpeg(taken="2022:04:27 12:00:00")), "image/jpeg")),
        ("files", ("two.jpg", io.BytesIO(b"no picture"), "image/jpeg")),
    ]
    answer = keeper.post(f"{base(place)}/photos/add", files=files, data={"zone": "port side"})
    assert answer.status_code == 422
    assert "two.jpg" in answer.text
    assert "2022-04-27 12:00, by its camera&#39;s clock" in answer.text
    photo = next(one for one in record_of(place.house, place.job).photos if one.name == "one.jpg")
    assert (photo.zone, photo.clock_words) == ("port side", "")


def test_guests_read_and_write_nothing(place: Running) -> None:
    guest = place.paired("guest")
    assert guest.get(base(place)).status_code == 200
    assert "Bring in" not in guest.get(base(place)).text
    assert guest.get(f"{base(place)}/job/archive").status_code == 403
    assert guest.post(f"{base(place)}/facts/papers", data={}).status_code == 403
    assert bring(guest, place, "film", content=b"x").status_code == 403


def test_a_hand_brings_in_but_explains_nothing(place: Running) -> None:
    hand = place.paired("hand", who="Tom")
    assert "Explain what departed" not in hand.get(base(place)).text
    assert hand.post(f"{base(place)}/facts/explain", data={"key": "x"}).status_code == 403
    assert bring(hand, place, "film", content=b"zone,DFT,gauge\nport side,280 um,us\n").status_code == 200


def test_a_sheet_that_cannot_be_read_is_said_on_the_page(place: Running, keeper: httpx.Client) -> None:
    job = place.house.store.jobs.create("empty", now=place.house.now()).id
    answer = keeper.get(f"/jobs/{job}/record")
    assert answer.status_code == 200
    assert re.search(r"things? to put right", answer.text)


def test_a_record_page_does_not_name_the_servers_folders(place: Running, keeper: httpx.Client) -> None:
    assert str(Path(str(place.house.store.database.path)).parent) not in keeper.get(base(place)).text
