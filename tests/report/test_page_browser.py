"""The page in a real browser: no sideways scrolling of the page itself, no error, nothing fetched."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from boottop.report.page import plan_page
from tests.demo_job import DemoJob

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address(demo: DemoJob, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The page of the demonstration as a file."""
    path: Path = tmp_path_factory.mktemp("page") / "plan.html"
    path.write_text(plan_page(demo.ashore, demo.outlook, demo.planned), encoding="utf-8")
    return path.as_uri()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 768, 1280])
def test_only_the_drawing_scrolls_sideways(browser: Browser, address: str, *, width: int, scheme: str) -> None:
    page = browser.new_page(
        viewport={"width": width, "height": 800}, color_scheme="dark" if scheme == "dark" else "light"
    )
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    assert page.evaluate("document.documentElement.scrollWidth") == width
    inner, outer = page.evaluate("(view => [view.scrollWidth, view.clientWidth])(document.querySelector('.view'))")
    assert inner > outer > 200
    assert said == []
    assert asked == [address]
    page.close()


def test_a_dark_room_gets_a_dark_page(browser: Browser, address: str) -> None:
    grounds = []
    for dark in (False, True):
        page = browser.new_page(color_scheme="dark" if dark else "light")
        page.goto(address)
        grounds.append(page.evaluate("getComputedStyle(document.documentElement).backgroundColor"))
        page.close()
    assert grounds == ["rgb(251, 250, 245)", "rgb(16, 24, 28)"]


def test_names_of_rows_stand_level_with_their_rows(browser: Browser, address: str) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(address)
    names = page.evaluate("[...document.querySelectorAll('.names div')].map(one => one.getBoundingClientRect().top)")
    lanes = page.evaluate(
        "[...document.querySelectorAll('svg.days > rect.lane')].map(one => one.getBoundingClientRect().top)"
    )
    assert len(names) == len(lanes) > 5
    assert names == pytest.approx(lanes, abs=1.5)
    page.close()


def test_on_a_phone_the_work_reads_downwards(browser: Browser, address: str) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 800})
    page.goto(address)
    work, reason = page.evaluate(
        "[...document.querySelectorAll('table.work tbody tr')[0].querySelectorAll('.what, td:last-child')]"
        ".map(one => one.getBoundingClientRect()).map(box => [box.left, box.right, box.top])"
    )
    assert reason[2] > work[2]
    assert 0 <= reason[0] < reason[1] <= 360
    page.close()


def test_letters_in_bars_stay_in_their_bars(browser: Browser, address: str) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(address)
    spilt = page.evaluate(
        "[...document.querySelectorAll('svg.days .bar')].filter(bar => bar.querySelector('text.in')).map(bar => "
        "[bar.querySelector('text').textContent, bar.querySelector('text').getBBox().width, "
        "bar.querySelector('rect').getBBox().width]).filter(([, letters, bar]) => letters > bar)"
    )
    assert spilt == []
    page.close()
