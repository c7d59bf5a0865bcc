"""When the board of the demonstration is usable on a processor slowed down four times, and what it weighs.

Usable: the button of the first zone's next step is there and enabled, counted from the start of the navigation. From
the server with nothing kept; from the browser's cache with the server away (plain http); from the service worker with
the server away (localhost). Against a page of one heading and one button.

Run from the repository: python -m benchmarks.bench_board
"""

from __future__ import annotations

import gzip
import statistics
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from boottop.web.new_jobs import make_demo
from boottop.web.static_files import BOARD_FILES, content_of
from tests.web.cable import Cable, cable_to
from tests.web.conftest import file_weather
from tests.web.phones import Phone, join, phone_in, until
from tests.web.serving import Running, running

SLOWER, ROUNDS = 4, 7
AIM_S, AIM_KB = 1.0, 200.0
NAME = "shed.test"
WATCH = """(() => { const look = () => {
  const button = document.querySelector('[data-test="step"]');
  if (button && !button.disabled) self.usable_ms = performance.now(); else requestAnimationFrame(look);
}; look(); })()"""


def main() -> None:
    """Print the table."""
    with (
        tempfile.TemporaryDirectory() as folder,
        running(Path(folder), weather=file_weather, hosts=(NAME,)) as server,
        cable_to(int(server.base.rpartition(":")[2])) as cable,
        sync_playwright() as playwright,
    ):
        server.job = make_demo(server.house)
        server.house.desk.begin(server.job, now=server.house.job_now(server.job))
        assert server.house.desk.wait(server.job, 120.0).state == "ready"
        _weigh()
        with phone_in(playwright, Path(folder) / "phone", f"--host-resolver-rules=MAP {NAME} 127.0.0.1") as phone:
            _report(phone, server, cable)


def _report(phone: Phone, server: Running, cable: Cable) -> None:
    page = phone.start()
    page.add_init_script(WATCH)
    with _plain() as port:
        plain = _median(page, f"http://127.0.0.1:{port}/", fresh=True)
    say(f"a page of one button, CPU {SLOWER} times slower: {plain:.3f} s")
    for name, kept in ((NAME, "the browser's cache"), ("localhost", "the service worker")):
        base, house = f"http://{name}:{cable.port}", server.house
        code = house.store.people.make_pairing(server.job, "hand", now=house.now(), valid_for=timedelta(minutes=15))
        join(page, base, code, who="Ana")
        today = f"{base}/jobs/{server.job}/today"
        if name == NAME:
            _say("the board from the server, nothing kept", _median(page, today, fresh=True), plain)
        page.goto(today)
        if name != NAME:
            page.evaluate("navigator.serviceWorker.ready.then(() => null)")
            page.reload()
            until(page, lambda: bool(page.evaluate("!!navigator.serviceWorker.controller")), "the worker has the page")
        page.wait_for_selector('[data-test="link"]:has-text("in touch")')
        cable.pull()
        _say(f"the board from {kept}, the server away", _median(page, today, fresh=False), plain)
        cable.plug()


def _say(what: str, seconds: float, plain: float) -> None:
    say(f"{what}: {seconds:.3f} s (aim {AIM_S:g}; {seconds / plain:.1f} times the plain page)")


def say(line: str) -> None:
    sys.stdout.write(line + "\n")


def _median(page: Page, address: str, *, fresh: bool) -> float:
    """Seconds until usable, the median of the rounds. `fresh`: without the cache; IndexedDB is what it is."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    session.send("Network.enable")
    session.send("Network.setCacheDisabled", {"cacheDisabled": fresh})
    found = []
    for _ in range(ROUNDS):
        if fresh:
            page.goto("about:blank")
            session.send("Storage.clearDataForOrigin", {"origin": "/".join(address.split("/")[:3]),
                         "storageTypes": "indexeddb,cache_storage,service_workers"})  # fmt: skip
        page.goto(address)
        page.wait_for_function("() => self.usable_ms")
        found.append(float(page.evaluate("usable_ms")) / 1e3)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    session.detach()
    return statistics.median(found)


def _weigh() -> None:
    """Bytes of the board's files as the server sends them."""
    for name in BOARD_FILES:
        content = content_of(f"board/{name}")
        assert content is not None
        packed = len(gzip.compress(content, 6)) / 1e3
        aim = f" (aim {AIM_KB:g})" if name == "board.js" else ""
        say(f"{name}: {len(content) / 1e3:.1f} kB, compressed {packed:.1f} kB{aim}")


@contextmanager
def _plain() -> Iterator[int]:
    """A server of one small page."""
    content = b'<!doctype html><title>plain</title><h1>Plain</h1><button data-test="step">Do</button>'

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            return

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_port
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


if __name__ == "__main__":
    main()
