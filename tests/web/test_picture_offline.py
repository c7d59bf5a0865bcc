"""The picture without signal: on a phone that has seen it, it opens from what the phone kept."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from boottop.web.new_jobs import make_demo
from tests.web.cable import cable_to
from tests.web.made_board import give_board
from tests.web.phones import phone_in
from tests.web.serving import running

READY = '#hull[data-ready="turning"]'
YARD = "shed.test"


@pytest.mark.browser
@pytest.mark.parametrize("name", ["localhost", YARD])
def test_it_opens_with_the_server_out_of_reach(name: str, tmp_path: Path) -> None:
    """By a name that the browser trusts, with a service worker; and over plain http, as in a yard, without one."""
    with running(tmp_path, hosts=(YARD,)) as server, cable_to(int(server.base.rpartition(":")[2])) as cable:
        job = make_demo(server.house)
        give_board(server.house.store, job)
        code = server.house.store.people.make_pairing(
            job, "hand", now=server.house.now(), valid_for=timedelta(minutes=15)
        )
        base = f"http://{name}:{cable.port}"
        rule = f"--host-resolver-rules=MAP {YARD} 127.0.0.1"
        with sync_playwright() as playwright, phone_in(playwright, tmp_path / "phone", rule) as phone:
            page = phone.start()
            page.goto(f"{base}/join?code={code}")
            page.fill('[name="who"]', "Ana")
            page.click("main button")
            page.wait_for_url("**/today")
            page.goto(f"{base}/jobs/{job}/hull3d")
            page.wait_for_selector(READY)
            page.click('[data-mode="surface"]')
            page.wait_for_timeout(500)  # the worker, where there is one, fetches the page for its shelf
            phone.close()
            cable.pull()
            page = phone.start()
            page.goto(f"{base}/jobs/{job}/hull3d")
            page.wait_for_selector(READY)
            assert "this device saw last" in page.inner_text('[data-test="kept"]')
            before = page.inner_text("output")
            page.click('[data-go="later"]')
            assert page.inner_text("output") != before
            assert page.is_visible(".stage")
