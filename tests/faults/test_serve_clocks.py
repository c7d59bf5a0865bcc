"""Wrong clocks of phones and the night on which an hour comes twice, through the server: kept, told, in order."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import httpx
import pytest

from boottop.job.coding import time_text
from boottop.job.fold import fold
from boottop.job.settle import settle
from tests.web.made_board import FAIR, PORT, give_board
from tests.web.made_events import event
from tests.web.serving import Running, running

BERLIN = ZoneInfo("Europe/Berlin")
FIRST = datetime(2026, 10, 25, 2, 30, tzinfo=BERLIN, fold=0)
SECOND = FIRST.replace(fold=1)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Running]:
    """A server with one empty job."""
    with running(tmp_path) as found:
        yield found


def _post(server: Running, phone: httpx.Client, *events: dict[str, Any]) -> Any:
    answer = phone.post(f"/api/jobs/{server.job}/events", json={"events": list(events)})
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize(
    ("off", "words"),
    [(timedelta(hours=5), "300 minutes ahead of the server's clock"), (timedelta(days=-1), "1440 minutes before this")],
)
def test_a_wrong_clock_is_told_and_the_order_of_the_device_stands(server: Running, off: timedelta, words: str) -> None:
    phone, right = server.paired("hand", "Ana"), server.paired("hand", "Ben")
    sent = [event(ahead=off + timedelta(seconds=number), order=number, device="phone-1") for number in range(3)]
    good = event(device="phone-2")
    told, untold = _post(server, phone, *sent), _post(server, right, good)
    assert told["acknowledged"] == [one["id"] for one in sent]
    assert [one["id"] for one in told["odd"]] == told["acknowledged"]
    assert told["odd"][0]["problem"]["found"].startswith(words)
    assert "set it and correct the time" in told["odd"][0]["problem"]["advice"]
    assert untold["odd"] == []
    logged = server.house.store.events_after(server.job, 0)
    assert [one.event.id for one in logged] == [one["id"] for one in (*sent, good)]
    assert all(abs(one.received - datetime.now(UTC)) < timedelta(minutes=1) for one in logged)


def test_what_waited_for_days_on_a_phone_that_had_joined_before_is_not_odd(server: Running) -> None:
    phone = server.paired("hand")
    waited = event(ahead=timedelta(minutes=5))
    server.later(timedelta(days=3))
    assert _post(server, phone, waited)["odd"] == []


def test_a_time_that_was_put_right_counts_in_its_place(server: Running) -> None:
    """The wiping of a phone that is five hours ahead, and the correction that the person writes."""
    phone, now = server.paired("hand"), datetime.now(UTC)
    wiped = event("wiped", zone=PORT, ahead=timedelta(hours=5))
    right = time_text(now - timedelta(minutes=3))
    put_right = event("correction", data={"corrects": wiped["id"], "strike": "no", "happened": right})
    _post(server, phone, wiped, put_right)
    events = [one.event for one in server.house.store.events_after(server.job, 0)]
    port = fold(events).zone(PORT)
    assert port is not None
    assert port.wiped_s == int((now - timedelta(minutes=3)).timestamp())


def test_the_hour_that_comes_twice(server: Running) -> None:
    """Two notes at half past two, an hour apart; sent in the wrong order, told apart, corrected by the half."""
    night = replace(FAIR, start_s=int(datetime(2026, 10, 24, tzinfo=BERLIN).timestamp()))
    give_board(server.house.store, server.job, table=night, at=SECOND.astimezone(UTC) + timedelta(hours=4))
    keeper = server.keeper()
    first, second = (
        event(happened=time_text(at.astimezone(UTC)), recorded=time_text(at.astimezone(UTC)), data={"text": text})
        for at, text in ((FIRST, "before the clocks went back"), (SECOND, "after"))
    )
    _post(server, keeper, second, first)
    settled = settle(one.event for one in server.house.store.events_after(server.job, 0)).events
    assert [one.id for one in settled] == [first["id"], second["id"]]
    assert settled[1].happened - settled[0].happened == timedelta(hours=1)
    page = keeper.get(f"/jobs/{server.job}/log").text
    assert re.findall(r"<b>Sun 25 Oct 02:30 (\w+)</b>", page) == ["CEST", "CET"]
    wall = {"id": first["id"], "happened": "2026-10-25T02:45"}
    unsaid = keeper.post(f"/jobs/{server.job}/log/time", data=wall)
    assert (unsaid.status_code, "happens twice in Europe/Berlin" in unsaid.text) == (422, True)
    assert keeper.post(f"/jobs/{server.job}/log/time", data=wall | {"which": "second"}).status_code == 303
    after = settle(one.event for one in server.house.store.events_after(server.job, 0)).events
    corrected = next(one for one in after if one.id == first["id"])
    assert corrected.happened == datetime(2026, 10, 25, 1, 45, tzinfo=UTC)


def test_an_hour_that_does_not_come_is_refused(server: Running) -> None:
    spring = replace(FAIR, start_s=int(datetime(2027, 3, 28, tzinfo=BERLIN).timestamp()))
    give_board(server.house.store, server.job, table=spring, at=datetime(2027, 3, 28, 8, tzinfo=BERLIN))
    keeper, one = server.keeper(), event(ahead=timedelta(days=-40))
    _post(server, keeper, one)
    answer = keeper.post(f"/jobs/{server.job}/log/time", data={"id": one["id"], "happened": "2027-03-28T02:30"})
    assert answer.status_code == 422
    assert "does not exist in Europe/Berlin" in answer.text
