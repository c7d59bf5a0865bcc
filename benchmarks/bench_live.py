"""From one phone's tap to the news on 20 phones (live stream, then the fetch of the event), against a bare post.

Run from the repository: python -m benchmarks.bench_live
"""

from __future__ import annotations

import json
import statistics
import threading
import time

import httpx

from benchmarks.phones20 import PHONES, p95, say, yard
from tests.faults.served import Process
from tests.web.made_events import event

TAPS = 25
PAUSE_S = 0.2
AIM_S = 1.0


class Listener:
    """A phone that listens, and fetches what is new as the board does."""

    def __init__(self, server: Process, job: str, session: str) -> None:
        self.heard: dict[str, float] = {}
        self.fetched: dict[str, float] = {}
        self.ready = threading.Event()
        self._thread = threading.Thread(target=self._listen, args=(server, job, session), daemon=True)
        self._thread.start()

    def _listen(self, server: Process, job: str, session: str) -> None:
        seq = 0
        with server.phone(session) as phone, server.phone(session) as fetching:
            try:
                with phone.stream("GET", f"/api/jobs/{job}/live", timeout=60.0) as stream:
                    for line in stream.iter_lines():
                        if not line.startswith('data: {"seq"'):
                            continue
                        at = time.perf_counter()
                        if json.loads(line.removeprefix("data: "))["seq"] > seq:
                            seq = self._fetch(fetching, job, seq, at=at)
                        self.ready.set()
            except httpx.HTTPError:
                return

    def _fetch(self, phone: httpx.Client, job: str, seq: int, *, at: float) -> int:
        answer = phone.get(f"/api/jobs/{job}/events", params={"after": seq}).json()
        now = time.perf_counter()
        for one in answer["events"]:
            self.heard[one["event"]["id"]] = at
            self.fetched[one["event"]["id"]] = now
        return int(answer["seq"])


def main() -> None:
    """Print the table."""
    with yard(PHONES + 1) as (server, job, sessions, _):
        listeners = [Listener(server, job, session) for session in sessions[1:]]
        assert all(listener.ready.wait(20.0) for listener in listeners)
        taps, posts = _tap(server, job, sessions[0])
        until = time.monotonic() + 10.0
        while any(len(one.fetched) < TAPS for one in listeners) and time.monotonic() < until:
            time.sleep(0.05)
        heard = [one.heard[ident] - at for one in listeners for ident, at in taps.items()]
        fetched = [one.fetched[ident] - at for one in listeners for ident, at in taps.items()]
    say(f"the post alone, until it is acknowledged: median {statistics.median(posts):.3f}, p95 {p95(posts):.3f} s")
    for name, values in (("told", heard), ("told, and the event fetched", fetched)):
        say(f"{PHONES} phones {name}: median {statistics.median(values):.3f}, p95 {p95(values):.3f}, "
            f"worst {max(values):.3f} s (aim {AIM_S:g}; {p95(values) / p95(posts):.1f} times the post)")  # fmt: skip
    say(f"{len(fetched)} of {TAPS * PHONES} arrived")


def _tap(server: Process, job: str, session: str) -> tuple[dict[str, float], list[float]]:
    """When each event was posted, and how long it took to be acknowledged."""
    taps: dict[str, float] = {}
    posts: list[float] = []
    with server.phone(session) as phone:
        for number in range(TAPS):
            one = event(order=number)
            taps[one["id"]] = start = time.perf_counter()
            phone.post(f"/api/jobs/{job}/events", json={"events": [one]}).raise_for_status()
            posts.append(time.perf_counter() - start)
            time.sleep(PAUSE_S)
    return taps, posts


if __name__ == "__main__":
    main()
