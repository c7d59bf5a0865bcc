"""Appends of 20 phones over HTTP until the acknowledgement (synchronous=FULL), against a bare insert loop.

Run from the repository: python -m benchmarks.bench_append
"""

from __future__ import annotations

import json
import sqlite3
import statistics
import threading
import time
from contextlib import closing
from http.client import HTTPConnection
from pathlib import Path
from random import Random

from benchmarks.phones20 import PHONES, p95, say, yard
from boottop.web.auth import session_cookie
from tests.faults.served import Process
from tests.web.made_events import event

EACH = 40
PAUSE_S = 0.2
AIM_MS = 50.0


def main() -> None:
    """Print the table."""
    with yard() as (server, job, sessions, folder):
        bare = _bare(folder / "bare.db")
        hard = _posts(server, job, sessions, pause_s=0.0)
        paced = _posts(server, job, sessions, pause_s=PAUSE_S)
    middle = statistics.median(bare)
    say(f"bare sqlite3 insert loop, WAL, synchronous=FULL: median {middle:.2f}, p95 {p95(bare):.2f} ms")
    for name, (waits, rate) in (
        (f"{PHONES} phones, an event every {PAUSE_S} s each", paced),
        (f"{PHONES} phones, the next as soon as the last is acknowledged", hard),
    ):
        half = statistics.median(waits)
        say(f"{name}: {rate:.0f}/s, median {half:.1f} ({half / middle:.0f} times bare), "
            f"p95 {p95(waits):.1f} ms (aim {AIM_MS:g})")  # fmt: skip


def _posts(server: Process, job: str, sessions: list[str], *, pause_s: float) -> tuple[list[float], float]:
    """Milliseconds from post to acknowledgement, and acknowledgements a second."""
    waits: list[float] = []
    acknowledged: list[str] = []
    cookie = session_cookie(int(server.base.rpartition(":")[2]))
    ready = threading.Barrier(len(sessions) + 1)

    def post(session: str) -> None:
        own = [event(order=number, device=session[:8]) for number in range(EACH)]
        with closing(HTTPConnection(server.base.removeprefix("http://"), timeout=20.0)) as phone:
            headers = {"Origin": server.base, "X-Boottop": "1", "Cookie": f"{cookie}={session}"}
            ready.wait()
            time.sleep(Random(session).random() * pause_s)
            for one in own:
                body = json.dumps({"events": [one]})
                start = time.perf_counter()
                phone.request("POST", f"/api/jobs/{job}/events", body, headers)
                answer = phone.getresponse().read()
                waits.append(1e3 * (time.perf_counter() - start))
                acknowledged.extend(json.loads(answer)["acknowledged"])
                time.sleep(pause_s)

    threads = [threading.Thread(target=post, args=(session,)) for session in sessions]
    for thread in threads:
        thread.start()
    ready.wait()
    start = time.perf_counter()
    for thread in threads:
        thread.join()
    took_s = time.perf_counter() - start
    assert len(acknowledged) == len(set(acknowledged)) == len(sessions) * EACH, "not every event was acknowledged"
    return waits, len(waits) / took_s


def _bare(path: Path) -> list[float]:
    """Milliseconds of every insert of the same text and id with the driver alone."""
    waits = []
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE events (seq INTEGER PRIMARY KEY, id TEXT UNIQUE, data TEXT)")
        for number in range(PHONES * EACH):
            one = event(order=number)
            row = (one["id"], json.dumps(one))
            start = time.perf_counter()
            connection.execute("INSERT INTO events (id, data) VALUES (?, ?)", row)
            waits.append(1e3 * (time.perf_counter() - start))
    return waits


if __name__ == "__main__":
    main()
