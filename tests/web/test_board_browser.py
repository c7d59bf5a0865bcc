"""The board without signal: what was tapped is there after the network, the page and the browser were taken away."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, sync_playwright

from boottop.job.coding import event_of
from boottop.job.events import Event
from boottop.store.backup import backup, restore
from boottop.store.log import Appended
from tests.web.cable import Cable, cable_to
from tests.web.made_board import give_board
from tests.web.made_events import event
from tests.web.phones import Phone, five_events, join, kept, log_note, log_photo, log_rain, phone_in, until, waiting
from tests.web.serving import Running, running

YARD = "shed.test"
pytestmark = pytest.mark.browser


@dataclass(kw_only=True)
class Yard:
    """A server behind a cable, and a phone that was paired earlier and switched off since."""

    server: Running
    cable: Cable
    phone: Phone
    name: str

    @property
    def today(self) -> str:
        return f"http://{self.name}:{self.cable.port}/jobs/{self.server.job}/today"

    def logged(self) -> list[dict[str, Any]]:
        """Kind, id and order of what the server has."""
        found = self.server.house.store.events_after(self.server.job, 0)
        return [{"kind": one.event.kind, "id": one.event.id, "order": one.event.order} for one in found]

    def pair(self) -> None:
        people, house = self.server.house.store.people, self.server.house
        code = people.make_pairing(self.server.job, "hand", now=house.now(), valid_for=timedelta(minutes=15))
        page = self.phone.start()
        join(page, f"http://{self.name}:{self.cable.port}", code, who="Ana")
        if self.name == "localhost":
            page.evaluate("navigator.serviceWorker.ready.then(() => null)")
            until(page, lambda: _shelf(page) >= 3, "the service worker keeps page, style and program")
        self.phone.close()

    def opened(self) -> Page:
        """The board on the phone, in touch with the server."""
        page = self.phone.start()
        page.goto(self.today)
        page.wait_for_selector('[data-test="link"]:has-text("in touch")')
        return page

    def signal(self, page: Page) -> None:
        """Back in range, which the browser tells the page."""
        self.cable.plug()
        page.evaluate("dispatchEvent(new Event('online'))")

    def agree(self, page: Page, count: int) -> None:
        """Both sides are asked until nothing waits on the phone and the server has it all."""
        until(
            page,
            lambda: waiting(page) == 0 and kept(page) == [] and len(self.logged()) >= count,
            "phone and server agree",
            seconds=40.0,
        )


def _shelf(page: Page) -> int:
    return int(page.evaluate(
        "caches.keys().then(async names => (await Promise.all(names.map(async name => "
        "(await (await caches.open(name)).keys()).length))).reduce((sum, count) => sum + count, 0))"
    ))  # fmt: skip


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    """The driver of the browsers."""
    with sync_playwright() as found:
        yield found


@pytest.fixture(params=["localhost", YARD])
def yard(request: pytest.FixtureRequest, playwright: Playwright, tmp_path: Path) -> Iterator[Yard]:
    """By a name that the browser trusts, with a service worker; and by one that it does not, as in a yard."""
    with yard_at(str(request.param), playwright, tmp_path) as found:
        yield found


@pytest.fixture
def shed(playwright: Playwright, tmp_path: Path) -> Iterator[Yard]:
    """As phones have it in a yard: plain http, no service worker."""
    with yard_at(YARD, playwright, tmp_path) as found:
        yield found


@contextmanager
def yard_at(name: str, playwright: Playwright, folder: Path) -> Iterator[Yard]:
    """A server with a board behind a cable, asked by a name; and a phone that joined before."""
    with running(folder, hosts=(YARD,)) as server, cable_to(int(server.base.rpartition(":")[2])) as cable:
        give_board(server.house.store, server.job)
        with phone_in(playwright, folder / "phone", f"--host-resolver-rules=MAP {YARD} 127.0.0.1") as phone:
            found = Yard(server=server, cable=cable, phone=phone, name=name)
            found.pair()
            yield found


def test_five_events_outlive_network_page_and_browser(yard: Yard) -> None:
    """Off the network: five taps, the browser killed, the page opened again; on the network: each is there once."""
    page = yard.opened()
    yard.cable.pull()
    if yard.name == "localhost":
        page.context.set_offline(True)
    kinds = five_events(page)
    until(page, lambda: len(kept(page)) == 5, "five events are on the phone")
    assert waiting(page) == 5
    yard.phone.kill()
    assert yard.logged() == []

    page = yard.phone.start(offline=yard.name == "localhost")
    page.goto(yard.today)
    page.wait_for_selector('[data-test="step"]')
    assert page.evaluate("isSecureContext") is (yard.name == "localhost")
    assert page.evaluate("navigator.serviceWorker?.controller ? true : false") is (yard.name == "localhost")
    assert waiting(page) == 5
    ids = [one["event"]["id"] for one in kept(page)]
    yard.cable.plug()
    page.context.set_offline(False)
    yard.agree(page, 5)
    logged = yard.logged()
    assert [one["kind"] for one in logged] == kinds
    assert [one["id"] for one in logged] == ids
    assert [one["order"] for one in logged] == [0, 1, 2, 3, 4]
    assert yard.server.house.store.verify_chain(yard.server.job) == []


def test_lost_answers_do_not_double_events(shed: Yard) -> None:
    """The server writes down, its answer is lost twice: the phone sends again and the log has each once."""
    page = shed.opened()
    shed.cable.pull()
    kinds = five_events(page)
    until(page, lambda: len(kept(page)) == 5, "five events are on the phone")
    shed.cable.lose = 2
    shed.signal(page)
    shed.agree(page, 5)
    assert shed.cable.lost == 2
    assert [one["kind"] for one in shed.logged()] == kinds
    assert [one["order"] for one in shed.logged()] == [0, 1, 2, 3, 4]


def test_two_tabs_that_send_the_same_at_once_write_once(shed: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both tabs of one phone are made to post the same queue in the same moment."""
    page = shed.opened()
    assert page.context is not None
    other = page.context.new_page()
    other.goto(shed.today)
    other.wait_for_selector('[data-test="step"]')
    page.bring_to_front()
    shed.cable.pull()
    kinds = five_events(page)
    until(page, lambda: waiting(other) == 5, "the other tab shows what waits")
    store, both, posts = shed.server.house.store, threading.Barrier(2), list[int]()
    plain = store.append

    def together(job: str, events: Iterable[Event], *, now: datetime) -> Appended:
        sent = list(events)
        posts.append(len(sent))
        if len(posts) <= 2:
            both.wait(10.0)
        return plain(job, sent, now=now)

    monkeypatch.setattr(store, "append", together)
    shed.signal(page)
    shed.agree(page, 5)
    until(other, lambda: waiting(other) == 0, "nothing waits in the other tab")
    assert posts[:2] == [5, 5]
    assert [one["kind"] for one in shed.logged()] == kinds
    assert store.verify_chain(shed.server.job) == []


def test_a_refused_event_goes_to_a_person_and_holds_up_nothing(shed: Yard) -> None:
    """A note longer than the server takes lies between two others."""
    page = shed.opened()
    shed.cable.pull()
    log_note(page, "first")
    log_note(page, "x" * 2_001)
    log_note(page, "third")
    until(page, lambda: len(kept(page)) == 3, "three events are on the phone")
    shed.signal(page)
    shed.agree(page, 2)
    attention = page.locator('[aria-labelledby="attention"]')
    attention.wait_for()
    assert "text of 1 to 2000 characters" in attention.inner_text()
    assert [one["order"] for one in shed.logged()] == [0, 2]
    page.reload()
    attention.wait_for()
    attention.get_by_role("button", name="Take it off the list").click()
    attention.get_by_role("button", name="Yes, take it off").click()
    until(page, lambda: kept(page, "refused") == [], "the list is empty")
    assert attention.count() == 0


def test_a_phone_whose_session_ended_keeps_what_waits_and_sends_it_after_joining_again(shed: Yard) -> None:
    page = shed.opened()
    people, house = shed.server.house.store.people, shed.server.house
    shed.cable.pull()
    log_note(page, "before it was sent away")
    until(page, lambda: len(kept(page)) == 1, "the note is on the phone")
    people.revoke(people.sessions(shed.server.job, now=house.now())[0].id, now=house.now())
    shed.signal(page)
    page.wait_for_selector('[data-test="link"]:has-text("not let in")')
    assert (waiting(page), shed.logged()) == (1, [])
    code = people.make_pairing(shed.server.job, "hand", now=house.now(), valid_for=timedelta(minutes=5))
    join(page, f"http://{shed.name}:{shed.cable.port}", code, who="Ana")
    shed.agree(page, 1)
    assert [one["kind"] for one in shed.logged()] == ["note"]


@pytest.mark.parametrize("since", [0, 3])
def test_a_laptop_brought_back_from_a_backup_gets_from_the_phone_what_it_lost(
    shed: Yard, tmp_path: Path, since: int
) -> None:
    """The backup holds two events; three more were acknowledged since, and the laptop's disk is gone. Another phone may
    have written as many `since`, so that the log is as long as the one that the phone knows."""
    page = shed.opened()
    log_rain(page, "began")
    log_rain(page, "ended")
    shed.agree(page, 2)
    backup(shed.server.house.store, tmp_path / "kept.zip", now=shed.server.house.now())
    for text in ("one", "two", "three"):
        log_note(page, text)
    shed.agree(page, 5)
    before, job = shed.logged(), shed.server.job
    shed.cable.pull()
    restore(tmp_path / "kept.zip", tmp_path / "again.db")
    with running(tmp_path, address=str(tmp_path / "again.db"), hosts=(YARD,)) as again:
        again.job, shed.server = job, again
        others = [event_of(event(order=number, device="phone-2")) for number in range(since)]
        again.house.store.append(job, others, now=again.house.now()).check()
        assert len(shed.logged()) == 2 + since
        shed.cable.to_port = int(again.base.rpartition(":")[2])
        shed.signal(page)
        shed.agree(page, 5 + since)
        assert [one for one in shed.logged() if one in before] == before
        assert len(shed.logged()) == 5 + since
        shed.cable.pull()


def test_a_photograph_taken_without_signal_outlives_the_browser(shed: Yard, tmp_path: Path) -> None:
    """Its bytes and its entry are on the phone; both arrive once, the bytes unchanged, the words before the picture."""
    content = b"\xff\xd8\xff\xe0" + bytes(range(256)) * 500
    (tmp_path / "keel.jpg").write_bytes(content)
    page = shed.opened()
    shed.cable.pull()
    log_photo(page, tmp_path / "keel.jpg")
    log_note(page, "written after the picture")
    until(page, lambda: len(kept(page)) == 2 and len(kept(page, "photos")) == 1, "both are on the phone")
    shed.phone.kill()
    page = shed.phone.start()
    page.goto(shed.today)
    page.wait_for_selector('[data-test="step"]')
    shed.signal(page)
    shed.agree(page, 2)
    assert [one["kind"] for one in shed.logged()] == ["note", "photo"]
    assert [one["order"] for one in shed.logged()] == [1, 0]
    store, job = shed.server.house.store, shed.server.job
    (photo,) = store.photos.all(job)
    assert store.photos.read(photo) == content
    logged = next(one.event for one in store.events_after(job, 0) if one.event.kind == "photo")
    assert logged.data == {"sha256": photo.sha256, "name": "keel.jpg", "bytes": len(content)}
    until(page, lambda: kept(page, "photos") == [], "the phone keeps the picture no longer")
