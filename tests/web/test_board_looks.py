"""Looks of every page: contrast 7:1, targets of 56 px, no sideways scrolling at 360 px, and what axe-core finds.

axe-core is one of the client's own development packages and no part of this repository: `npm ci` in
src/boottop/web/client brings it (`python -m tests.prepare` runs that where npm is); without it its tests skip.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, FilePayload, Page

from boottop.job.coding import time_text
from boottop.web.style import stylesheet
from tests.web.made_board import COPPER, GEAR, MORNING, PORT, give_board
from tests.web.made_events import event
from tests.web.serving import Running, running

ROOT = Path(__file__).resolve().parents[2]
CLIENT = ROOT / "src/boottop/web/client"
AXE = CLIENT / "node_modules/axe-core/axe.min.js"
CONTRAST = 7.0
TARGET_PX = 56.0
HAIR_PX = 0.5
WIDTHS = (360, 1280)
PAGES = ("plan", "odds", "weather", "order", "cost", "areas", "log", "record", "sheet", "sheet?view=text", "crew",
         "product")  # fmt: skip

# Every visible text: its colour against the nearest ground that is not see-through.
LOW_CONTRAST = """least => {
  const parts = colour => (colour.match(/[\\d.]+/g) ?? []).map(Number);
  const light = ([r, g, b]) => [r, g, b].map(one => one / 255)
    .map(one => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4)
    .reduce((sum, one, at) => sum + one * [0.2126, 0.7152, 0.0722][at], 0);
  const ground = element => {
    for (let one = element; one; one = one.parentElement) {
      const found = parts(getComputedStyle(one).backgroundColor);
      if (found.length && (found[3] ?? 1) === 1) return found;
    }
    return [255, 255, 255];
  };
  const root = document.querySelector("dialog[open]") ?? document.body;
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
  const seen = new Set([...root.querySelectorAll("input:not([type=hidden]), select, textarea")]);
  while (walker.nextNode()) if (walker.currentNode.data.trim()) seen.add(walker.currentNode.parentElement);
  return [...seen].filter(one => !one.closest("svg, script, style, noscript, option") && one.checkVisibility())
    .map(one => {
      const [ink, paper] = [light(parts(getComputedStyle(one).color)), light(ground(one))];
      return [one.outerHTML.slice(0, 90), (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05)];
    }).filter(([, ratio]) => ratio < least);
}"""
SMALL = """least => [...(document.querySelector("dialog[open]") ?? document).querySelectorAll(
    "button, input:not([type=hidden]):not([type=checkbox]), select, textarea, nav a, summary, .big")]
  .filter(one => one.checkVisibility() && !one.matches(".first"))
  .map(one => [one.outerHTML.slice(0, 90), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < least || box.width < least).map(([words]) => words)"""
# What is fixed or scrolls on its own hides other text from axe, which then cannot say.
STILL = ".thumb, .gofoot, .savebar { position: static !important }"
RUN_AXE = """async () => {
  const found = await axe.run(document.querySelector("dialog[open]") ?? document,
    { resultTypes: ["violations", "incomplete"] });
  const words = list => list.flatMap(({ id, nodes }) => nodes.map(node => `${id}: ${node.html.slice(0, 120)}`));
  return { violations: words(found.violations), incomplete: words(found.incomplete) };
}"""


# The palettes, without a browser

PAGE_PAIRS = (
    "ink/paper", "ink/panel", "quiet/paper", "quiet/panel", "bar-ink/copper", "copper/paper", "paper/ink",
    "ink/g-open", "bar-ink/port", "bar-ink/starboard", "bar-ink/gear", "bar-ink/pads", "bar-ink/whole",
)  # fmt: skip
BOARD_PAIRS = (
    "ink/paper", "ink/panel", "ink/loud", "quiet/paper", "quiet/panel", "quiet/loud", "bad/paper", "bad/panel",
    "bad/loud", "on-go/go", "paper/ink", "port/panel", "starboard/panel", "middle/panel",
)  # fmt: skip


def _palettes(css: str, prefix: str) -> list[dict[str, str]]:
    """Every block that names ink and ground, in the order of the sheet."""
    found = (
        dict(re.findall(rf"--{prefix}([\w-]+):\s*(#[0-9a-f]{{6}})", block)) for block in re.findall(r"{([^{}]*)}", css)
    )
    return [one for one in found if "ink" in one and len(one) > 5]


def _luminance(colour: str) -> float:
    """Relative luminance of "#rrggbb" (WCAG 2.2, read)."""
    parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _ratio(one: str, other: str) -> float:
    lights = sorted((_luminance(one), _luminance(other)))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def test_the_ratio_is_that_of_the_standard() -> None:
    assert _ratio("#000000", "#ffffff") == pytest.approx(21.0)
    assert _ratio("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)  # the well-known lightest grey of 4.5:1


@pytest.mark.parametrize("pair", PAGE_PAIRS)
def test_the_palettes_of_the_pages_are_legible_in_the_sun(pair: str) -> None:
    palettes = _palettes(stylesheet(), "")
    assert len(palettes) == 4, "light and dark, by the device and by choice"
    ink, ground = pair.split("/")
    assert [one for one in palettes if _ratio(one[ink], one[ground]) < CONTRAST] == []


@pytest.mark.parametrize("step", range(5))
def test_the_heat_map_of_the_odds_is_legible_in_the_sun(step: int) -> None:
    palettes = [one for one in _palettes(stylesheet(), "") if "h0" in one]
    assert len(palettes) == 2, "light and dark by choice; the device's own are the same lines"
    assert [one for one in palettes if _ratio(one[f"i{step}"], one[f"h{step}"]) < CONTRAST] == []


@pytest.mark.parametrize("pair", BOARD_PAIRS)
def test_the_palettes_of_the_board_are_legible_in_the_sun(pair: str) -> None:
    palettes = _palettes((CLIENT / "src/board.css").read_text(encoding="utf-8"), "b-")
    assert len(palettes) == 3
    assert palettes[1] == palettes[2], "dark is the same, by the device and by choice"
    ink, ground = pair.split("/")
    assert [one for one in palettes if _ratio(one[ink], one[ground]) < CONTRAST] == []


# In a browser


@dataclass(kw_only=True)
class Eye:
    """One who looks at pages: as a phone of 360 px or as a laptop."""

    page: Page
    width: int

    def look(self) -> None:
        """Everything that must be so on every page, in both palettes."""
        page = self.page
        assert page.evaluate("document.documentElement.scrollWidth") <= self.width
        assert page.evaluate(SMALL, TARGET_PX - HAIR_PX) == []
        for scheme in ("dark", "light"):
            page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
            assert page.evaluate(LOW_CONTRAST, CONTRAST) == [], scheme

    def axe(self) -> None:
        """No violation, and nothing that axe cannot decide but contrast, which `look` measures more strictly."""
        if not AXE.is_file():
            pytest.skip("axe-core is not installed: run `npm ci` in src/boottop/web/client")
        self.page.add_style_tag(content=STILL)
        if not self.page.evaluate("'axe' in window"):
            self.page.add_script_tag(path=AXE)
        found: dict[str, list[str]] = self.page.evaluate(RUN_AXE)
        assert found["violations"] == []
        assert [one for one in found["incomplete"] if not one.startswith("color-contrast:")] == []


@pytest.fixture(scope="module", params=WIDTHS)
def eye(browser: Browser, planned: Running, request: pytest.FixtureRequest) -> Iterator[Eye]:
    """At the pages of a job with a plan; the pages' own policy would keep axe out."""
    width: int = request.param
    context = browser.new_context(viewport={"width": width, "height": 740}, bypass_csp=True)
    page = context.new_page()
    page.goto(f"{planned.base}/enter?token={planned.house.local.token()}")
    page.wait_for_url(f"{planned.base}/")
    yield Eye(page=page, width=width)
    context.close()


def _open(eye: Eye, planned: Running, name: str) -> None:
    if name == "product":
        eye.page.goto(f"{planned.base}/jobs/{planned.job}/sheet")
        eye.page.goto(str(eye.page.locator('a[href^="product/"]').first.evaluate("one => one.href")))
    else:
        eye.page.goto(f"{planned.base}{name if name.startswith('/') else f'/jobs/{planned.job}/{name}'}")
    eye.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")


@pytest.mark.browser
@pytest.mark.parametrize("name", ["/", "/join", *PAGES])
def test_a_page_is_legible_and_within_reach(eye: Eye, planned: Running, name: str) -> None:
    _open(eye, planned, name)
    eye.look()
    eye.axe()


@pytest.mark.browser
def test_the_names_of_the_pages_stand_in_words_that_are_whole(eye: Eye, planned: Running) -> None:
    """A name that is broken letter by letter is taller than its 56 px."""
    _open(eye, planned, "plan")
    heights = eye.page.eval_on_selector_all(".tabs a", "all => all.map(one => one.getBoundingClientRect().height)")
    assert len(heights) >= 8
    assert max(heights) < TARGET_PX + 8.0
    assert eye.page.locator(".top").bounding_box()["height"] < 240  # type: ignore[index]  # it is on the page


# The board in the middle of a day


def _day() -> list[dict[str, Any]]:
    """A morning: two coats on the port side, the second touched and tacky, a batch in the pot, a reading."""

    def at(minutes: int, kind: str, zone: str | None = None, **data: Any) -> dict[str, Any]:
        when = time_text(MORNING - timedelta(minutes=minutes))
        return event(kind, zone=zone, data=data, happened=when, recorded=when, order=1000 - minutes)

    lots = {"A": "17", "B": "18"}
    return [
        at(600, "stripped", PORT),
        at(590, "abraded", PORT, grit=100),
        at(580, "masked", PORT),
        at(300, "wiped", PORT),
        at(250, "batch_mixed", product=COPPER, litres=1.2, batch_c=17.0, kit="K-1", lots=lots),
        at(245, "coat_started", PORT, product=COPPER, coat=1, people=2),
        at(200, "coat_finished", PORT, product=COPPER, coat=1, litres=1.2, people=2),
        at(120, "touch_test", PORT, product=COPPER, coat=1, verdict="wet"),
        at(60, "touch_test", PORT, product=COPPER, coat=1, verdict="tacky"),
        at(20, "reading", PORT, air_c=15.0, humidity=0.5, surface_c=16.0, wet_film_um=130.0),
        at(16, "batch_mixed", product=COPPER, litres=1.2, batch_c=17.0, kit="K-2", lots=lots),
        at(15, "coat_started", PORT, product=COPPER, coat=2, people=2),
    ]


@pytest.fixture
def board(browser: Browser, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[tuple[Eye, Running]]:
    """A skipper at the board, as wide as the test says, 360 px by default."""
    width: int = getattr(request, "param", WIDTHS[0])
    with running(tmp_path) as server:
        give_board(server.house.store, server.job)
        keeper = server.keeper()
        keeper.post(f"/api/jobs/{server.job}/events", json={"events": _day()}).raise_for_status()
        context = browser.new_context(viewport={"width": width, "height": 740}, has_touch=True, bypass_csp=True)
        context.set_default_timeout(10_000)
        page = context.new_page()
        page.goto(f"{server.base}/enter?token={server.house.local.token()}")
        page.wait_for_url(f"{server.base}/")
        page.goto(f"{server.base}/jobs/{server.job}/today")
        page.wait_for_selector(f'[data-zone="{PORT}"] [data-test="step"]:has-text("Coat 2")')
        yield Eye(page=page, width=width), server
        context.close()


SHEETS = (
    f'[data-zone="{PORT}"] [data-test="step"]', f'[data-zone="{GEAR}"] .aside', f'[data-zone="{PORT}"] .aside',
    ".thumb nav button:nth-child(1)", ".thumb nav button:nth-child(2)", ".thumb nav button:nth-child(3)",
    ".thumb nav button:nth-child(4)", ".head .link", ".written .aside", ".pot button",
)  # fmt: skip


@pytest.mark.browser
@pytest.mark.parametrize("board", WIDTHS, indirect=True)
def test_the_board_and_its_slips_are_legible_and_within_reach(board: tuple[Eye, Running]) -> None:
    eye, _ = board
    eye.look()
    for opens in SHEETS:
        eye.page.locator(opens).first.click()
        eye.page.wait_for_selector("dialog[open]")
        eye.look()
        assert eye.page.evaluate("(one => one.scrollWidth - one.clientWidth)(document.querySelector('dialog'))") == 0
        eye.page.keyboard.press("Escape")
        eye.page.wait_for_selector("dialog", state="detached")
    eye.axe()
    for opens in SHEETS:
        eye.page.locator(opens).first.click()
        eye.page.wait_for_selector("dialog[open]")
        eye.axe()
        eye.page.keyboard.press("Escape")
        eye.page.wait_for_selector("dialog", state="detached")


def _last(server: Running) -> tuple[str, str | None, dict[str, Any]]:
    """Kind, zone and data of the newest event of the server's log."""
    one = server.house.store.events_after(server.job, 0)[-1].event
    return one.kind, one.zone, dict(one.data)


def _written(eye: Eye, server: Running, count: int) -> tuple[str, str | None, dict[str, Any]]:
    """The newest event, once the server has so many."""
    for _ in range(200):
        if server.house.store.event_count(server.job) >= count:
            return _last(server)
        eye.page.wait_for_timeout(25)
    raise AssertionError(f"the server has not got event {count}")


@pytest.mark.browser
def test_coat_two_port_finished_is_two_taps_of_the_thumb(board: tuple[Eye, Running]) -> None:
    eye, server = board
    had = server.house.store.event_count(server.job)
    boxes = eye.page.eval_on_selector_all(
        f'[data-zone="{PORT}"] button', "all => all.map(one => one.offsetWidth * one.offsetHeight)"
    )
    assert boxes[0] == max(boxes), "the one next step is the largest"
    eye.page.locator(f'[data-zone="{PORT}"] [data-test="step"]').tap()
    eye.page.locator('dialog button:has-text("Write down")').tap()
    kind, zone, data = _written(eye, server, had + 1)
    assert (kind, zone, data["coat"], data["product"]) == ("coat_finished", PORT, 2, COPPER)


@pytest.mark.browser
def test_the_planned_launch_is_told_before_the_last_coat_is_on(board: tuple[Eye, Running]) -> None:
    eye, _ = board
    assert re.search(r"Launch\s+planned \w+", eye.page.inner_text(".air"))


@pytest.mark.browser
def test_the_finger_decides_on_the_next_coat(board: tuple[Eye, Running]) -> None:
    """The touch test is asked for before the coat; "tacky" opens the coat, "past tacky" sends the zone to be sanded."""
    eye, server = board
    had = server.house.store.event_count(server.job)
    step = eye.page.locator(f'[data-zone="{PORT}"] [data-test="step"]')
    step.tap()
    eye.page.locator('dialog button:has-text("Write down")').tap()
    step.filter(has_text="Touch coat 2, then roll coat 3").tap()
    eye.page.locator('dialog button.go:has-text("grips the glove")').tap()
    eye.page.locator('dialog:has-text("Coat started") button:has-text("Write down")').tap()
    kind, _, data = _written(eye, server, had + 3)
    assert (kind, data["coat"]) == ("coat_started", 3)
    events = [one.event for one in server.house.store.events_after(server.job, had)]
    assert [one.kind for one in events] == ["coat_finished", "touch_test", "coat_started"]
    assert events[1].data["verdict"] == "tacky"
    eye.page.locator(f'[data-zone="{PORT}"] .aside').tap()
    eye.page.locator('dialog button:has-text("Touch test")').tap()
    eye.page.locator('dialog button.go:has-text("past tacky")').tap()
    _written(eye, server, had + 4)
    assert server.house.store.events_after(server.job, had)[-1].event.data["verdict"] == "past tacky"


@pytest.mark.browser
def test_what_happens_less_often_is_tapped_too(board: tuple[Eye, Running]) -> None:
    eye, server = board
    page, had = eye.page, server.house.store.event_count(server.job)

    def here(name: str, *, zone: str) -> None:
        page.locator(f'[data-zone="{zone}"] .aside').tap()
        page.locator(f'dialog .kinds button:has-text("{name}")').tap()

    here("Abraded or sanded", zone=GEAR)
    page.locator('dialog .stepper button:has-text("+1")').tap()
    page.fill("#f-grit", "120")
    page.locator("dialog button[type=submit]").tap()
    assert _written(eye, server, had + 1) == ("abraded", GEAR, {"grit": 120})
    here("Photograph", zone=PORT)
    picture: FilePayload = {"name": "keel.png", "mimeType": "image/png", "buffer": b"\x89PNG\r\n\x1a\n"}
    page.set_input_files("#f-photo", picture)
    page.locator("dialog button[type=submit]").tap()
    kind, zone, data = _written(eye, server, had + 2)
    assert (kind, zone, data["name"], data["bytes"]) == ("photo", PORT, "keel.png", 8)
    page.locator(".thumb nav button:has-text('More')").tap()
    page.locator('dialog .kinds button:has-text("Stands moved")').tap()
    page.locator('dialog .stepper button:has-text("+1")').tap()
    page.locator("dialog button[type=submit]").tap()
    assert _written(eye, server, had + 3) == ("stands_moved", None, {"stand_set": 1})
    page.locator('.toast button:has-text("Undo")').tap()
    assert _written(eye, server, had + 4)[2]["strike"] == "yes"
    page.locator('.written li:has-text("wet film") button').first.tap()
    page.fill("#f-wet_film_um", "150")
    page.locator("dialog button[type=submit]").tap()
    kind, _, data = _written(eye, server, had + 5)
    assert (kind, data["strike"], data["wet_film_um"]) == ("correction", "no", 150)


@pytest.mark.browser
def test_us_units_are_shown_and_typed(board: tuple[Eye, Running]) -> None:
    eye, server = board
    had = server.house.store.event_count(server.job)
    eye.page.locator(".head .link").tap()
    eye.page.locator('dialog button:has-text("US")').tap()
    eye.page.locator('dialog button:has-text("Close")').tap()
    assert "40.6 US fl oz" in eye.page.inner_text(".pots")  # 1.2 L
    assert "63 °F" in eye.page.inner_text(".pots")  # 17 °C
    assert "US gal left" in eye.page.inner_text(".tins")
    assert "5.1 mil" in eye.page.inner_text(".written")  # 130 um
    eye.page.locator(".thumb nav button:has-text('Reading')").tap()
    eye.page.fill("#f-air_c", "50")
    eye.page.fill("#f-wet_film_um", "5")
    eye.page.locator("dialog button[type=submit]").tap()
    _, _, data = _written(eye, server, had + 1)
    assert data == {"air_c": pytest.approx(10.0), "wet_film_um": pytest.approx(127.0)}


def test_the_board_that_is_shipped_names_both_themes() -> None:
    """A palette that the build dropped would not be seen by the tests of the source."""
    built = resources.files("boottop.web").joinpath("static", "board", "board.css").read_text(encoding="utf-8")
    assert "prefers-color-scheme" in built
    assert re.search(r":root\[data-theme=.?dark", built)
