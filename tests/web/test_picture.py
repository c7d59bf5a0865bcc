"""The picture of the hull in a real browser: it turns, it follows the slider, it opens without the server."""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import httpx
import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from boottop.web.new_jobs import make_demo
from tests.report.html_read import Page as Html
from tests.web.made_board import FAIR, give_board
from tests.web.painted import painted
from tests.web.serving import Running, running
from tests.web.test_board_looks import Eye

READY = '#hull[data-ready="turning"]'
FILLS = "all => Object.fromEntries(all.map(one => [one.dataset.zone, one.getAttribute('fill')]))"
NO_WEBGL = """const asked = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
  return String(kind).startsWith("webgl") ? null : asked.call(this, kind, ...rest);
};"""


@pytest.fixture(scope="module")
def logged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """The demonstration's boat with the little board, its coats of the first day in the log with their kits."""
    with running(tmp_path_factory.mktemp("picture")) as found:
        found.job = make_demo(found.house)
        give_board(found.house.store, found.job)
        events = {"events": painted(FAIR, coats=4)}
        found.keeper().post(f"/api/jobs/{found.job}/events", json=events).raise_for_status()
        yield found


def _keeper(server: Running) -> httpx.Client:
    """The browser of the server's computer; a test enters more often a minute than a person does."""
    server.house.limits.__init__()  # type: ignore[misc]
    return server.keeper()


def _page(browser: Browser, planned: Running, *, width: int = 360, **rest: Any) -> Page:
    context = browser.new_context(viewport={"width": width, "height": 740}, reduced_motion="reduce", **rest)
    context.set_default_timeout(20_000)
    page = context.new_page()
    planned.house.limits.__init__()  # type: ignore[misc]
    page.goto(f"{planned.base}/enter?token={planned.house.local.token()}")
    page.wait_for_url(f"{planned.base}/")
    return page


@pytest.fixture(scope="module")
def page(browser: Browser, planned: Running) -> Iterator[Page]:
    """A phone of 360 px at the picture."""
    found = _page(browser, planned, has_touch=True)
    found.goto(f"{planned.base}/jobs/{planned.job}/hull3d")
    found.wait_for_selector(READY)
    yield found
    found.context.close()


def _coloured(page: Page) -> dict[tuple[int, ...], int]:
    """How often each colour is on the stage, in steps of 32; the ground left out."""
    page.wait_for_timeout(150)
    image = Image.open(io.BytesIO(page.locator(".stage canvas").screenshot())).convert("RGB").resize((160, 90))
    pixels: list[list[int]] = (np.asarray(image).reshape(-1, 3) >> 5).tolist()
    found = Counter(tuple(pixel) for pixel in pixels)
    found.pop(found.most_common(1)[0][0])
    return dict(found)


def _fills(page: Page) -> dict[str, str]:
    found: dict[str, str] = page.eval_on_selector_all(".flatview [data-zone]", FILLS)
    return found


def _set_time(page: Page, share: float) -> None:
    page.evaluate(
        """share => { const one = document.querySelector("#hull-time");
          one.value = Number(one.min) + share * (one.max - one.min); one.dispatchEvent(new Event("input")); }""",
        share,
    )


@pytest.mark.browser
def test_the_canvas_shows_a_hull(page: Page) -> None:
    page.click('[data-mode="state"]')
    seen = _coloured(page)
    assert len(seen) > 6
    assert sum(seen.values()) > 0.08 * 160 * 90


@pytest.mark.browser
def test_the_slider_changes_colours_words_and_the_flat_hull_alike(page: Page) -> None:
    page.click('[data-mode="state"]')
    _set_time(page, 0.0)
    before, flat = _coloured(page), _fills(page)
    said = page.inner_text('[data-row="port side"]')
    _set_time(page, 1.0)
    after = _coloured(page)
    assert flat["port side"] == "url(#h-s-none)"
    assert _fills(page)["port side"] != flat["port side"]
    assert page.inner_text('[data-row="port side"]') != said
    moved = sum(abs(after.get(key, 0) - before.get(key, 0)) for key in {*before, *after})
    assert moved > 0.2 * sum(before.values())
    assert page.inner_text("output") == page.get_attribute("#hull-time", "aria-valuetext")


@pytest.mark.browser
@pytest.mark.parametrize(("mode", "words"), [("surface", "°C"), ("margin", "dew point"), ("film", "quarter")])
def test_each_number_has_its_scale_in_words(page: Page, mode: str, words: str) -> None:
    page.click(f'[data-mode="{mode}"]')
    _set_time(page, 0.3)
    assert words in page.inner_text(".looks")
    fills = set(_fills(page).values())
    assert any(one.startswith(f"url(#h-{ {'surface': 't', 'margin': 'd', 'film': 'f'}[mode] }-") for one in fills)
    assert page.locator(".looks b").count() >= 1, "the classes that are on the hull are marked in the legend"


@pytest.mark.browser
def test_the_script_says_of_now_what_the_server_says(page: Page, planned: Running) -> None:
    text = _keeper(planned).get(f"/jobs/{planned.job}/hull3d").text
    rows = {name: row for name, row in re.findall(r'<tr data-row="([^"]+)">(.*?)</tr>', text, re.S)}
    page.click('[data-go="now"]')
    assert len(rows) == 5
    for name, row in rows.items():
        shown = page.eval_on_selector_all(f'[data-row="{name}"] td', "all => all.map(one => one.textContent)")
        assert shown[1:4] == re.findall(r"<td[^>]*>(.*?)</td>", row)[1:4], name


@pytest.mark.browser
def test_views_turn_her_and_the_keyboard_too(page: Page) -> None:
    page.click('[data-view="port"]')
    port = _coloured(page)
    page.click('[data-view="below"]')
    below = _coloured(page)
    assert port != below
    page.focus(".stage canvas")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("+")
    assert _coloured(page) != below


def _touch(page: Page, *steps: list[tuple[float, float]]) -> None:
    """Fingers that go down, move and come off, as the screen of a phone reports them."""
    session = page.context.new_cdp_session(page)
    for kind, points in zip(("touchStart", *["touchMove"] * (len(steps) - 1)), steps, strict=True):
        touches = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    session.detach()


@pytest.mark.browser
def test_a_finger_turns_her_and_two_bring_her_nearer(page: Page) -> None:
    page.click('[data-view="starboard"]')
    before = _coloured(page)
    page.evaluate("document.querySelector('.stage').scrollIntoView({ block: 'center' })")
    box = page.locator(".stage canvas").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    _touch(page, *[[(x + 20 * k, y - 4 * k)] for k in range(6)])
    turned = _coloured(page)
    assert turned != before
    scrolled = page.evaluate("scrollY")
    page.click('[data-view="starboard"]')
    page.evaluate(f"scrollTo(0, {scrolled})")
    _touch(page, *[[(x - 20 - 12 * k, y), (x + 20 + 12 * k, y)] for k in range(6)])
    near = _coloured(page)
    assert sum(near.values()) > 1.15 * sum(before.values())
    assert page.evaluate("visualViewport.scale") == 1, "the page itself is not enlarged"
    page.click('[data-view="starboard"]')


@pytest.mark.browser
def test_where_motion_is_welcome_she_turns_over_and_arrives_at_the_same_view(
    browser: Browser, planned: Running
) -> None:
    found = _page(browser, planned, width=700)
    found.emulate_media(reduced_motion="no-preference")
    found.goto(f"{planned.base}/jobs/{planned.job}/hull3d")
    found.wait_for_selector(READY)
    found.click('[data-view="port"]')
    found.wait_for_timeout(900)
    slowly = _coloured(found)
    found.emulate_media(reduced_motion="reduce")
    found.click('[data-view="bow"]')
    found.click('[data-view="port"]')
    at_once = _coloured(found)
    apart = sum(abs(slowly.get(key, 0) - at_once.get(key, 0)) for key in {*slowly, *at_once})
    assert apart < 0.1 * sum(at_once.values())
    found.context.close()


@pytest.mark.browser
def test_days_pass_by_themselves_until_they_are_stopped(page: Page) -> None:
    _set_time(page, 0.0)
    begin = page.inner_text("output")
    page.click('[data-go="play"]')
    page.wait_for_function("begin => document.querySelector('output').textContent !== begin", arg=begin)
    assert page.get_attribute('[data-go="play"]', "aria-pressed") == "true"
    page.click('[data-go="play"]')
    stopped = page.inner_text("output")
    page.wait_for_timeout(300)
    assert page.inner_text("output") == stopped


@pytest.mark.browser
def test_changes_are_stepped_through_and_now_comes_back(page: Page) -> None:
    page.click('[data-go="now"]')
    now = page.inner_text("output")
    page.click('[data-go="later"]')
    later = page.inner_text("output")
    page.click('[data-go="earlier"]')
    assert later != now
    page.click('[data-go="now"]')
    assert page.inner_text("output") == now


@pytest.mark.browser
def test_the_kits_of_the_log_lie_on_the_flat_hull(browser: Browser, logged: Running) -> None:
    found = _page(browser, logged, width=1280)
    found.goto(f"{logged.base}/jobs/{logged.job}/hull3d")
    found.wait_for_selector(READY)
    assert found.locator(".kits svg").count() >= 2
    assert found.locator(".kits .kit").count() >= 4
    assert "bow to stern" in found.inner_text(".kits")
    found.context.close()


@pytest.mark.browser
@pytest.mark.parametrize("width", [360, 1280])
def test_it_is_legible_and_within_reach(browser: Browser, planned: Running, width: int) -> None:
    found = _page(browser, planned, width=width, bypass_csp=True)
    found.goto(f"{planned.base}/jobs/{planned.job}/hull3d")
    found.wait_for_selector(READY)
    eye = Eye(page=found, width=width)
    eye.look()
    eye.axe()
    found.context.close()


@pytest.mark.browser
def test_it_breaks_no_policy_and_asks_only_this_server(browser: Browser, planned: Running) -> None:
    found, said, asked = _page(browser, planned), [], []
    found.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    found.on("pageerror", lambda error: said.append(str(error)))
    found.on("request", lambda request: asked.append(request.url))
    found.goto(f"{planned.base}/jobs/{planned.job}/hull3d")
    found.wait_for_selector(READY)
    found.click('[data-mode="surface"]')
    assert said == []
    assert [url for url in asked if not url.startswith((planned.base, "blob:", "data:"))] == []
    found.context.close()


@pytest.mark.browser
def test_without_webgl_the_flat_hull_takes_its_place(browser: Browser, planned: Running) -> None:
    found = _page(browser, planned)
    found.add_init_script(NO_WEBGL)
    found.goto(f"{planned.base}/jobs/{planned.job}/hull3d")
    found.wait_for_selector('#hull[data-ready="flat"]')
    assert not found.is_visible(".stage")
    assert not found.is_visible('[data-view="port"]')
    assert "cannot show a hull that turns" in found.inner_text('[data-test="kept"]')
    before = _fills(found)
    _set_time(found, 1.0)
    assert _fills(found) != before
    found.context.close()


# Without a browser


def test_without_scripts_the_page_says_it_in_words_and_draws_it_flat(planned: Running) -> None:
    answer = _keeper(planned).get(f"/jobs/{planned.job}/hull3d")
    assert answer.status_code == 200
    assert "max-age" in answer.headers["cache-control"]
    assert Html(answer.text).unclosed == []
    assert "Drawn from the tape, not a scan" in answer.text
    assert answer.text.count("data-row=") == 5
    assert 'data-zone="port side" fill="url(#h-s-' in answer.text


def test_the_document_is_small_enough_for_a_yard(planned: Running) -> None:
    answer = _keeper(planned).get(f"/api/jobs/{planned.job}/picture", headers={"Accept-Encoding": "gzip"})
    assert answer.headers["content-encoding"] == "gzip"
    assert int(answer.headers["content-length"]) < 120_000
    assert json.loads(answer.text)["schema"] == "boottop.picture/1"


def test_its_files_are_handed_out(planned: Running) -> None:
    keeper = _keeper(planned)
    solid = keeper.get(f"/jobs/{planned.job}/hull.glb")
    assert solid.content[:4] == b"glTF"
    assert solid.headers["content-disposition"] == 'attachment; filename="hull.glb"'
    assert keeper.get(f"/jobs/{planned.job}/hull.svg").text.startswith("<svg xmlns=")
    assert planned.client().get(f"/jobs/{planned.job}/hull.glb").status_code == 401


def test_a_job_with_mistakes_says_so_in_place_of_a_picture(server: Running) -> None:
    keeper = _keeper(server)
    answer = keeper.get(f"/jobs/{server.job}/hull3d")
    assert answer.status_code == 200
    assert "to put right" in answer.text
    assert "hull.glb" not in answer.text
    assert keeper.get(f"/api/jobs/{server.job}/picture").status_code == 422


def test_kits_are_in_the_document_and_as_files(logged: Running) -> None:
    keeper = _keeper(logged)
    found = keeper.get(f"/api/jobs/{logged.job}/picture").json()
    assert "kits-1.svg" in found["kits"]
    assert keeper.get(f"/jobs/{logged.job}/kits-1.svg").text.startswith("<svg xmlns=")
    assert keeper.get(f"/jobs/{logged.job}/kits-99.svg").status_code == 404
