"""The pages in a real browser: nothing refused by the policy, no sideways scrolling, targets large enough."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from playwright.sync_api import Browser, Page

from tests.web.serving import Running

PAGES = ("plan", "odds", "weather", "order", "cost", "areas", "log", "record", "sheet", "sheet?view=text", "crew")
pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def page(browser: Browser, planned: Running) -> Iterator[Page]:
    """A phone in the browser, let in as this computer."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, color_scheme="dark")
    found = context.new_page()
    found.goto(f"{planned.base}/enter?token={planned.house.local.token()}")
    found.wait_for_url(f"{planned.base}/")
    yield found
    context.close()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_fits_a_phone_and_breaks_no_policy(page: Page, planned: Running, name: str) -> None:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(f"{planned.base}/jobs/{planned.job}/{name}")
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert said == []
    small = page.evaluate(
        "[...document.querySelectorAll('button, input:not([type=hidden]), select, textarea, nav a, summary')]"
        ".map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])"
        ".filter(([words, height]) => height > 0 && height < 55.5 && !words.includes('class=\"first\"'))"
    )
    assert small == []


def test_what_is_typed_is_checked_at_its_field(page: Page, planned: Running) -> None:
    page.goto(f"{planned.base}/jobs/{planned.job}/sheet")
    page.fill('[name="boat.length"]', "37")
    page.wait_for_selector('[data-wrong="boat.length"] .wrong')
    assert page.get_attribute('[name="boat.length"]', "aria-invalid") == "true"
    page.fill('[name="boat.length"]', "37 ft")
    page.wait_for_selector("[data-told]:has-text('Nothing wrong')")


def test_a_phone_joins_by_the_address_of_the_code(browser: Browser, planned: Running) -> None:
    codes = planned.house.codes
    codes.make(planned.job, "hand", now=planned.house.now(), valid_for=timedelta(minutes=5))
    shown = codes.shown(planned.job, now=planned.house.now())[0].code
    context = browser.new_context(viewport={"width": 360, "height": 740})
    phone = context.new_page()
    phone.goto(f"{planned.base}/join?code={shown}")
    phone.fill('[name="who"]', "Ana")
    phone.click("main button")
    phone.wait_for_url(f"{planned.base}/jobs/{planned.job}/today")
    context.close()
