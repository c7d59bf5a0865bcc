"""Several people at one board: two phones and a laptop see each other's entries; who may do what; who is sent away."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.web.made_board import give_board
from tests.web.phones import SCREEN, join, kept, log_note, log_rain, waiting
from tests.web.serving import Running, running

pytestmark = pytest.mark.browser
SEND = """async job => (await fetch(`/api/jobs/${job}/events`, {method: "POST", body: '{"events": []}',
  headers: {"X-Boottop": "1", "Content-Type": "application/json"}})).status"""
REPLAN = """async job => (await fetch(`/api/jobs/${job}/replan`, {method: "POST", body: "{}",
  headers: {"X-Boottop": "1", "Content-Type": "application/json"}})).status"""


@dataclass(kw_only=True)
class Crew:
    """The laptop with its crew page, and the boards of the phones."""

    server: Running
    browser: Browser
    laptop: Page
    contexts: list[BrowserContext]

    @property
    def crew_page(self) -> str:
        return f"{self.server.base}/jobs/{self.server.job}/crew"

    def screen(self, width: int, height: int) -> Page:
        context = self.browser.new_context(viewport={"width": width, "height": height})
        context.set_default_timeout(15_000)
        self.contexts.append(context)
        return context.new_page()

    def code(self, role: str) -> str:
        """Make a code on the laptop's crew page and read it off the screen."""
        self.laptop.goto(self.crew_page)
        self.laptop.select_option('[name="role"]', role)
        self.laptop.click('button:has-text("Make a code")')
        shown = self.laptop.locator("p.code").first.inner_text()
        assert re.fullmatch(r"\w{4} \w{4}", shown)
        return shown.replace(" ", "")

    def phone(self, role: str, who: str) -> Page:
        page = self.screen(SCREEN["width"], SCREEN["height"])
        join(page, self.server.base, self.code(role), who=who)
        in_touch(page)
        return page


def in_touch(page: Page) -> None:
    expect(page.locator('[data-test="link"]')).to_have_text("in touch", timeout=15_000)


def line(page: Page, text: str) -> None:
    """The entry stands among what was written down."""
    expect(page.locator('[aria-labelledby="log"] li', has_text=text).first).to_be_visible(timeout=10_000)


@pytest.fixture
def crew(browser: Browser, tmp_path: Path) -> Iterator[Crew]:
    """A laptop let in by its own address."""
    with running(tmp_path) as server:
        give_board(server.house.store, server.job)
        laptop = browser.new_context(viewport={"width": 1280, "height": 800})
        laptop.set_default_timeout(15_000)
        found = Crew(server=server, browser=browser, laptop=laptop.new_page(), contexts=[laptop])
        found.laptop.goto(f"{server.base}/enter?token={server.house.local.token()}")
        found.laptop.wait_for_url(f"{server.base}/")
        yield found
        for context in found.contexts:
            context.close()


def test_two_phones_and_a_laptop_see_each_others_entries(crew: Crew) -> None:
    ana, ben = crew.phone("hand", "Ana"), crew.phone("hand", "Ben")
    crew.laptop.goto(f"{crew.server.base}/jobs/{crew.server.job}/today")
    in_touch(crew.laptop)
    log_note(ana, "from the port side")
    log_note(ben, "from under the keel")
    log_note(crew.laptop, "from the shed")
    for page in (ana, ben, crew.laptop):
        for text in ("from the port side", "from under the keel", "from the shed"):
            line(page, text)
    log_rain(ana, "began")
    for page in (ben, crew.laptop):
        expect(page.locator(".air")).to_contain_text("it rains now", timeout=10_000)
    who = [one.event.who for one in crew.server.house.store.events_after(crew.server.job, 0)]
    assert sorted(who) == ["Ana", "Ana", "Ben", "Skipper"]


def test_a_guest_looks_a_hand_logs_a_skipper_does_everything(crew: Crew) -> None:
    job = crew.server.job
    guest, hand, skipper = (crew.phone(role, role.title()) for role in ("guest", "hand", "skipper"))
    log_note(hand, "seen by all")
    line(guest, "seen by all")
    expect(guest.locator('nav[aria-label="Write down"]')).to_have_count(0)
    expect(guest.locator('[data-test="step"], button:has-text("Correct"), button.aside')).to_have_count(0)
    assert [page.evaluate(SEND, job) for page in (guest, hand, skipper)] == [403, 200, 200]
    assert [page.evaluate(REPLAN, job) for page in (guest, hand, skipper)] == [403, 403, 202]
    shown = [page.get_by_role("button", name="Replan").count() for page in (guest, hand, skipper)]
    assert shown == [0, 0, 1]
    for page, status in ((guest, 403), (hand, 403), (skipper, 200)):
        answer = page.context.request.get(f"{crew.crew_page}")
        assert answer.status == status


def test_wrong_codes_are_told_and_then_made_to_wait(crew: Crew) -> None:
    stranger = crew.screen(SCREEN["width"], SCREEN["height"])
    for number in range(8):
        stranger.goto(f"{crew.server.base}/join?code=WRNG{number:04}")
        stranger.fill('[name="who"]', "Nobody")
        stranger.click("main button")
        assert stranger.url.endswith("/join")
        expect(stranger.locator("main")).to_contain_text("code")
    stranger.goto(f"{crew.server.base}/join?code={crew.code('hand')}")
    stranger.fill('[name="who"]', "Nobody")
    stranger.click("main button")
    expect(stranger.locator("main")).to_contain_text("too many in a short time")
    assert crew.server.house.store.people.sessions(crew.server.job, now=crew.server.house.now()) == []


def test_a_phone_that_is_sent_away_stops_and_keeps_what_it_has(crew: Crew) -> None:
    ana, ben = crew.phone("hand", "Ana"), crew.phone("hand", "Ben")
    crew.laptop.goto(crew.crew_page)
    crew.laptop.locator("tr", has_text="Ben").get_by_role("button", name="End it").click()
    expect(crew.laptop.locator("tr", has_text="Ben")).to_have_count(0)
    expect(ben.locator('[data-test="link"]')).to_contain_text("not let in", timeout=10_000)
    log_note(ben, "typed after that")
    expect(ben.locator('[data-test="waiting"]')).to_have_attribute("data-waiting", "1")
    log_note(ana, "goes on")
    line(ana, "goes on")
    expect(ana.locator('[data-test="waiting"]')).to_have_attribute("data-waiting", "0")
    logged = crew.server.house.store.events_after(crew.server.job, 0)
    assert [one.event.who for one in logged] == ["Ana"]
    assert (waiting(ben), len(kept(ben))) == (1, 1)
    expect(ben.locator('[aria-labelledby="log"]')).not_to_contain_text("goes on")


def test_a_code_that_has_ended_lets_nobody_in(crew: Crew) -> None:
    code = crew.code("hand")
    crew.server.later(timedelta(minutes=16))
    late = crew.screen(SCREEN["width"], SCREEN["height"])
    late.goto(f"{crew.server.base}/join?code={code}")
    late.fill('[name="who"]', "Late")
    late.click("main button")
    expect(late.locator("main")).to_contain_text("code")
    assert crew.server.house.store.people.sessions(crew.server.job, now=crew.server.house.now()) == []
