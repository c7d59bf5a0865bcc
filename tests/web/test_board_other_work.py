"""On the phone: other work written down under "More", and rain on a young coat said in words on its zone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from playwright.sync_api import Page

from tests.log_of_plan import event
from tests.web.made_board import COPPER, MORNING, PORT, give_board
from tests.web.phones import chromium, join, until
from tests.web.serving import Running, running

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Running, Page]]:
    """A board with one coat on the port side, rained on an hour later."""
    with running(tmp_path_factory.mktemp("work")) as server, chromium() as browser:
        give_board(server.house.store, server.job, at=MORNING + timedelta(hours=2))
        happened = [
            event("wiped", MORNING - timedelta(hours=1), PORT),
            event("coat_finished", MORNING, PORT, product=COPPER, coat=1),
            event("rain", MORNING + timedelta(hours=1), what="began"),
            event("rain", MORNING + timedelta(hours=1.2), what="ended"),
        ]
        server.house.store.append(server.job, happened, now=server.house.now()).check()
        context = browser.new_context(viewport={"width": 360, "height": 740})
        context.set_default_timeout(15_000)
        page = context.new_page()
        people = server.house.store.people
        code = people.make_pairing(server.job, "hand", now=server.house.now(), valid_for=timedelta(minutes=15))
        join(page, server.base, code, who="Ana")
        page.wait_for_selector(f'[data-zone="{PORT}"]')
        yield server, page
        context.close()


def logged(server: Running, kind: str) -> list[object]:
    rows = server.house.store.events_after(server.job, 0)
    return [row.event.data for row in rows if row.event.kind == kind]


def test_rain_on_a_young_coat_is_said_with_what_follows(phone: tuple[Running, Page]) -> None:
    said = phone[1].locator(f'[data-zone="{PORT}"]').inner_text()
    assert "It rained on this coat before it was rain-safe." in said
    assert "strike the coat from the log" in said
    assert "Let it cure, then sand it" in said
    assert "Because rain fell on the last coat before it was rain-safe" in said
    assert "next coat from" not in said


def test_other_work_is_chosen_from_the_plan_and_marked_once_done(phone: tuple[Running, Page]) -> None:
    server, page = phone

    def form() -> None:
        page.get_by_role("button", name="More", exact=False).last.click()
        page.get_by_role("button", name="Other work done").click()

    form()
    assert page.locator("#f-work option").all_inner_texts() == ["choose", "anodes", "service seacocks"]
    page.locator("button.go").click()
    assert page.locator(".field.amiss [role=alert]").inner_text().endswith("This is needed.")
    page.select_option("#f-work", "anodes")
    page.locator("button.go").click()
    until(page, lambda: logged(server, "other_work") == [{"work": "anodes"}], "the server has it")
    assert page.locator(".written").inner_text().count("Other work done, anodes") == 1

    form()
    assert page.locator("#f-work").input_value() == "service seacocks", "the only one left is chosen"
    assert page.locator("#f-work option").all_inner_texts()[1].startswith("anodes (✓ done ")
    page.keyboard.press("Escape")
