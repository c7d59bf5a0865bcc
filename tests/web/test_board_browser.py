"""The board without signal: what was tapped is there after the network, the page and the browser were taken away."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, sync_playwright

from tests.web.cable import Cable, cable_to
from tests.web.made_board import give_board
from tests.web.phones import Phone, five_events, join, kept, phone_in, until, waiting
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
    page = yard.phone.start()
    page.goto(yard.today)
    page.wait_for_selector('[data-test="step"]')
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
