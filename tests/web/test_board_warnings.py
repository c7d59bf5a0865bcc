"""Before a window closes the board says so: on the page, by sound and by shaking; and what a wrong clock does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Browser, Page, expect

from boottop.job.coding import event_of
from boottop.job.events import Event
from tests.web.made_board import COPPER, FAIR, MORNING, PORT, give_board
from tests.web.made_events import event
from tests.web.phones import SCREEN, join, log_note
from tests.web.serving import Running, running

pytestmark = pytest.mark.browser
BERLIN = ZoneInfo("Europe/Berlin")
LISTEN = """() => {
  self.shaken = []; self.tones = 0;
  Object.defineProperty(Navigator.prototype, "vibrate", {value: pattern => self.shaken.push(pattern)});
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...at) { self.tones++; return start.apply(this, at); };
}"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Running]:
    """A job at eleven in the morning of the invented table."""
    with running(tmp_path) as found:
        give_board(found.house.store, found.job)
        yield found


def _happened(server: Running, minutes_ago: float, kind: str, **rest: Any) -> None:
    at = (server.house.job_now(server.job) - timedelta(minutes=minutes_ago)).isoformat().replace("+00:00", "Z")
    made = event_of(event(kind, happened=at, recorded=at, **rest))
    server.house.store.append(server.job, [made], now=server.house.now()).check()


def _phone(server: Running, browser: Browser) -> Page:
    page = browser.new_context(viewport={"width": SCREEN["width"], "height": SCREEN["height"]}).new_page()
    page.add_init_script(f"({LISTEN})()")
    people, house = server.house.store.people, server.house
    code = people.make_pairing(server.job, "hand", now=house.now(), valid_for=timedelta(minutes=15))
    join(page, server.base, code, who="Ana")
    page.click("h1")
    return page


def _later(server: Running, page: Page, minutes: float) -> None:
    """Time goes on: the server's clock, which the phone goes by."""
    server.later(timedelta(minutes=minutes))
    page.evaluate("dispatchEvent(new Event('online'))")


def test_a_pot_is_warned_of_twenty_and_five_minutes_before_by_page_sound_and_shaking(
    server: Running, browser: Browser
) -> None:
    _happened(server, 2, "batch_mixed", data={"product": COPPER, "litres": 1.2, "batch_c": 20.0})
    page = _phone(server, browser)
    expect(page.locator(".warning")).to_have_count(0)
    assert page.evaluate("[shaken.length, tones]") == [0, 0]
    for minutes, times in ((25, 1), (12, 2)):
        _later(server, page, minutes)
        expect(page.locator(".warning")).to_contain_text(f"Use up the pot of {COPPER}", timeout=10_000)
        page.wait_for_function("times => shaken.length === times && tones === 3 * times", arg=times)
        page.get_by_role("button", name="Heard").click()
        expect(page.locator(".warning")).to_have_count(0)


def test_the_last_moment_of_the_next_coat_is_warned_of(server: Running, browser: Browser) -> None:
    coat = {"product": COPPER, "coat": 1}
    _happened(server, 170, "coat_finished", zone=PORT, data=coat)
    _happened(server, 100, "touch_test", zone=PORT, data=coat | {"verdict": "tacky"})
    page = _phone(server, browser)
    ends = page.locator(f'[data-zone="{PORT}"] [data-count="overcoat_until"] .count')
    spans = {"h": 60, "min": 1}
    words = ends.inner_text().split()
    left = sum(int(number) * spans[unit] for number, unit in zip(words[::2], words[1::2], strict=True))
    _later(server, page, left - 15)
    expect(page.locator(".warning")).to_contain_text(f"{PORT}: last moment to start coat 2", timeout=10_000)
    page.wait_for_function("() => shaken.length > 0 && tones > 0")


def test_a_phone_whose_clock_is_hours_off_writes_the_time_of_the_yard(server: Running, browser: Browser) -> None:
    """Three hours ahead and a day behind: the page goes by the server's clock and says by how much its own is off."""
    for off_ms in (3 * 3_600_000, -86_400_000):
        context = browser.new_context(viewport={"width": SCREEN["width"], "height": SCREEN["height"]})
        context.add_init_script(f"const own = Date.now; Date.now = () => own() + {off_ms};")
        page = context.new_page()
        people, house = server.house.store.people, server.house
        code = people.make_pairing(server.job, "hand", now=house.now(), valid_for=timedelta(minutes=15))
        join(page, server.base, code, who="Ana")
        minutes, side = abs(off_ms) // 60_000, "ahead of" if off_ms > 0 else "behind"
        expect(page.locator(".notice")).to_contain_text(f"{minutes} min {side}", timeout=10_000)
        before = house.job_now(server.job)
        log_note(page, f"clock off by {minutes} min")
        expect(page.locator('[data-test="waiting"]')).to_have_attribute("data-waiting", "0", timeout=10_000)
        logged = server.house.store.events_after(server.job, 0)[-1].event
        assert abs(logged.happened - before) < timedelta(seconds=10)
        context.close()
    assert server.house.job_now(server.job) - MORNING < timedelta(minutes=5)


def _typed(day: datetime, wall: str, folder: Path, *, browser: Browser, which: str) -> tuple[list[Event], str]:
    """A note at a time typed by the yard's clock in Berlin: the log, and what the form says of the time."""
    night = replace(FAIR, start_s=int(day.timestamp()))
    with running(folder) as server:
        give_board(server.house.store, server.job, table=night, at=day + timedelta(hours=10))
        page = _phone(server, browser)
        page.click('nav[aria-label="Write down"] button:has-text("More")')
        page.click('.kinds button:has-text("Note")')
        page.fill("#f-text", "in that hour")
        page.fill('[name="when"]', wall)
        if which:
            page.get_by_role("button", name=which, exact=True).click()
        said = page.locator(".whenbox")
        page.click('button.go:has-text("Write down")')
        if which:
            expect(page.locator('[data-test="waiting"]')).to_have_attribute("data-waiting", "0", timeout=10_000)
        words = "" if which else said.inner_text()
        logged = [one.event for one in server.house.store.events_after(server.job, 0)]
        page.context.close()
        return logged, words


def test_the_hour_that_comes_twice_is_asked(browser: Browser, tmp_path: Path) -> None:
    day = datetime(2026, 10, 25, tzinfo=BERLIN)
    for which, utc_hour in (("Before", 0), ("After", 1)):
        place = tmp_path / which
        place.mkdir()
        (event,), _ = _typed(day, "2026-10-25T02:30", place, browser=browser, which=which)
        assert event.happened == datetime(2026, 10, 25, utc_hour, 30, tzinfo=UTC)


def test_the_hour_that_is_skipped_is_refused(browser: Browser, tmp_path: Path) -> None:
    day = datetime(2027, 3, 28, tzinfo=BERLIN)
    logged, words = _typed(day, "2027-03-28T02:30", tmp_path, browser=browser, which="")
    assert logged == []
    assert "skips that time" in words
