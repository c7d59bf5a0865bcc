"""A phone for tests: a Chromium with a folder of its own, which may be killed and started again."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, sync_playwright

from tests.prepare import browser_path

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SCREEN = {"width": 360, "height": 740}
KEPT = """store => new Promise((done, failed) => {
  const asked = indexedDB.open("boottop-board");
  asked.onerror = () => failed(asked.error);
  asked.onsuccess = () => {
    const all = asked.result.transaction(store).objectStore(store).getAll();
    all.onsuccess = () => { asked.result.close(); done(all.result); };
    all.onerror = () => failed(all.error);
  };
})"""


@dataclass(kw_only=True)
class Phone:
    """A browser with its own folder: what it keeps outlives its death."""

    playwright: Playwright
    folder: Path
    flags: list[str] = field(default_factory=list)
    context: BrowserContext | None = None

    def start(self, *, offline: bool = False) -> Page:
        """Start the browser and give its page."""
        path = browser_path()
        if path is None:
            pytest.skip("no Chromium on this machine")
        try:
            self.context = self.playwright.chromium.launch_persistent_context(
                self.folder,
                executable_path=path,
                args=[*FLAGS, *self.flags],
                viewport={"width": SCREEN["width"], "height": SCREEN["height"]},
                has_touch=True,
            )
        except Error as error:
            pytest.skip(f"Chromium does not start here: {error.message.splitlines()[0]}")
        self.context.set_offline(offline)
        self.context.set_default_timeout(15_000)
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def close(self) -> None:
        """Close the browser as a person does: it writes down what it keeps."""
        if self.context is not None:
            self.context.close()
            self.context = None

    def kill(self) -> None:
        """End the browser with SIGKILL, in the middle of whatever it does."""
        found = _processes(self.folder)
        assert found, "the browser runs"
        for pid in found:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        until = time.monotonic() + 10.0
        while _processes(self.folder) and time.monotonic() < until:
            time.sleep(0.02)
        self.context = None


def _processes(folder: Path) -> list[int]:
    """The processes of the browser that works in a folder, which no other one does."""
    if not Path("/proc/self/cmdline").exists():
        pytest.skip("the processes of a browser are found by /proc")
    found = []
    for place in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            if f"--user-data-dir={folder}".encode() in place.read_bytes().split(b"\0"):
                found.append(int(place.parent.name))
        except OSError:
            continue
    return found


@contextmanager
def phone_in(playwright: Playwright, folder: Path, *flags: str) -> Iterator[Phone]:
    """A phone that is switched off at the end, however the test ended."""
    made = Phone(playwright=playwright, folder=folder, flags=list(flags))
    try:
        yield made
    finally:
        made.close()


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser for several people, each with a context of their own."""
    path = browser_path()
    if path is None:
        pytest.skip("no Chromium on this machine")
    with sync_playwright() as playwright:
        try:
            started = playwright.chromium.launch(executable_path=path, args=FLAGS)
        except Error as error:
            pytest.skip(f"Chromium does not start here: {error.message.splitlines()[0]}")
        yield started
        started.close()


def join(page: Page, base: str, code: str, *, who: str) -> None:
    """Join by the address of the QR code."""
    page.goto(f"{base}/join?code={code}")
    page.fill('[name="who"]', who)
    page.click("main button")
    page.wait_for_url("**/today")
    page.wait_for_selector('[data-test="step"], .boards')


def kept(page: Page, store: str = "queue") -> list[Any]:
    """What the phone keeps in one of its stores."""
    found: list[Any] = page.evaluate(KEPT, store)
    return found


def waiting(page: Page) -> int:
    """How many events wait, as the page says."""
    return int(page.get_attribute('[data-test="waiting"]', "data-waiting") or 0)


def until(page: Page, what: Callable[[], bool], words: str, *, seconds: float = 20.0) -> None:
    """Ask again and again until it holds; the browser goes on meanwhile."""
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, words
        page.wait_for_timeout(20)


def log_rain(page: Page, what: str) -> None:
    """Tap: rain began, or ended."""
    page.click(f'nav[aria-label="Write down"] button:has-text("Rain{" ended" if what == "ended" else ""}")')
    page.click(f'button.go:has-text("Rain {what}")')


def log_reading(page: Page, **values: float) -> None:
    """Type a reading: air_c in degrees Celsius, humidity in per cent."""
    page.click('nav[aria-label="Write down"] button:has-text("Reading")')
    for name, value in values.items():
        page.fill(f"#f-{name}", str(value))
    page.click('button.go:has-text("Write down")')


def log_batch(page: Page, litres: float) -> None:
    """Type a batch of the product that is due."""
    page.click('nav[aria-label="Write down"] button:has-text("Mix")')
    page.fill("#f-litres", str(litres))
    page.click('button.go:has-text("Write down")')


def log_note(page: Page, text: str) -> None:
    """Type a note."""
    page.click('nav[aria-label="Write down"] button:has-text("More")')
    page.click('.kinds button:has-text("Note")')
    page.fill("#f-text", text)
    page.click('button.go:has-text("Write down")')


def log_photo(page: Page, picture: Path) -> None:
    """Take a picture."""
    page.click('nav[aria-label="Write down"] button:has-text("More")')
    page.click('.kinds button:has-text("Photograph")')
    page.set_input_files("#f-photo", picture)
    page.click('button.go:has-text("Write down")')


def five_events(page: Page) -> list[str]:
    """Five events by hand; their kinds in order."""
    log_rain(page, "began")
    log_rain(page, "ended")
    log_reading(page, air_c=16.5, humidity=62)
    log_batch(page, 1.2)
    log_note(page, "drip under the log fitting; wiped at once")
    return ["rain", "rain", "reading", "batch_mixed", "note"]
