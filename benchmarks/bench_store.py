"""Appends to the log: durably one by one, in batches, by 20 writers, repeats; against plain inserts in the same run.

Run from the repository: python -m benchmarks.bench_store
"""

from __future__ import annotations

import json
import sqlite3
import statistics
import sys
import tempfile
import threading
import time
from contextlib import closing
from pathlib import Path

from boottop.job.events import Event
from boottop.store.open import open_store
from boottop.store.store import Store
from tests.store.made import NOW, events
from tests.store.postgres import cluster

SINGLES = 400
BATCHED = 5_000
BATCH = 50
WRITERS = 20
PER_WRITER = 40
ROUNDS = 3


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        addresses = {"SQLite": [str(Path(folder) / f"{number}.db") for number in range(ROUNDS)]}
        server = cluster(durable=True)
        if isinstance(server, str):
            say(f"PostgreSQL left out: {server}")
        else:
            addresses["PostgreSQL"] = [server.new_database() for _ in range(ROUNDS)]
        plain = [_plain(Path(folder) / f"plain{number}.db") for number in range(ROUNDS)]
        single, batch = (statistics.median(values) for values in zip(*plain, strict=True))
        say(f"plain sqlite3 inserts, WAL, synchronous=FULL: {single:.0f}/s one by one, {batch:.0f}/s by {BATCH}")
        for name, places in addresses.items():
            measured = [_measure(place, Path(folder)) for place in places]
            _report(
                name, [statistics.median(values) for values in zip(*measured, strict=True)], single, plain_batch=batch
            )


def say(line: str) -> None:
    sys.stdout.write(line + "\n")


def _report(name: str, found: list[float], plain_single: float, *, plain_batch: float) -> None:
    single, batch, repeat, rate, p50_ms, p95_ms, read_ms, verify_ms = found
    say(f"{name}, median of {ROUNDS} rounds")
    say(f"  one by one: {single:.0f}/s ({single / plain_single:.2f} of plain)")
    say(f"  by {BATCH}: {batch:.0f}/s ({batch / plain_batch:.2f} of plain, which checks and chains nothing)")
    say(f"  repeats by {BATCH}: {repeat:.0f}/s")
    say(f"  {WRITERS} writers at once: {rate:.0f}/s, median {p50_ms:.1f} ms, p95 {p95_ms:.1f} ms (aim 50)")
    say(f"  reading {BATCHED + SINGLES} events: {read_ms:.0f} ms, verifying their chain: {verify_ms:.0f} ms")


def _measure(address: str, folder: Path) -> tuple[float, ...]:
    with open_store(address, photo_folder=folder / "photos") as store:
        job = store.jobs.create("Benchmark", now=NOW).id
        singles, many = events(SINGLES), events(BATCHED)
        single = SINGLES / _seconds(store, job, [[event] for event in singles])
        batches = [many[start : start + BATCH] for start in range(0, BATCHED, BATCH)]
        batch = BATCHED / _seconds(store, job, batches)
        repeat = BATCHED / _seconds(store, job, batches)
        start = time.perf_counter()
        count = len(store.events_after(job, 0))
        read_ms = 1e3 * (time.perf_counter() - start)
        start = time.perf_counter()
        assert store.verify_chain(job) == []
        verify_ms = 1e3 * (time.perf_counter() - start)
        assert count == SINGLES + BATCHED
        return single, batch, repeat, *_writers(store, job), read_ms, verify_ms


def _seconds(store: Store, job: str, batches: list[list[Event]]) -> float:
    start = time.perf_counter()
    for batch in batches:
        store.append(job, batch, now=NOW)
    return time.perf_counter() - start


def _writers(store: Store, job: str) -> tuple[float, float, float]:
    """Appends a second, median and 95th percentile in ms, of writers that post one event after the other."""
    waits: list[float] = []
    ready = threading.Barrier(WRITERS + 1)

    def post(number: int) -> None:
        own = events(PER_WRITER, device=f"phone-{number}")
        ready.wait()
        for event in own:
            start = time.perf_counter()
            store.append(job, [event], now=NOW)
            waits.append(1e3 * (time.perf_counter() - start))

    threads = [threading.Thread(target=post, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    ready.wait()
    start = time.perf_counter()
    for thread in threads:
        thread.join()
    cuts = statistics.quantiles(waits, n=20)
    return WRITERS * PER_WRITER / (time.perf_counter() - start), cuts[9], cuts[18]


def _plain(path: Path) -> tuple[float, float]:
    """Inserts a second with the driver alone, of the same text and id: one by one, and in batches."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE events (seq INTEGER PRIMARY KEY, id TEXT UNIQUE, data TEXT)")
        rows = [(event.id, json.dumps([event.kind, event.who, event.zone, event.data])) for event in events(BATCHED)]
        single = SINGLES / _plain_seconds(connection, [[row] for row in rows[:SINGLES]])
        connection.execute("DELETE FROM events")
        batches = [rows[start : start + BATCH] for start in range(0, BATCHED, BATCH)]
        return single, BATCHED / _plain_seconds(connection, batches)


def _plain_seconds(connection: sqlite3.Connection, batches: list[list[tuple[str, str]]]) -> float:
    start = time.perf_counter()
    for batch in batches:
        connection.execute("BEGIN IMMEDIATE")
        connection.executemany("INSERT INTO events (id, data) VALUES (?, ?) ON CONFLICT (id) DO NOTHING", batch)
        connection.execute("COMMIT")
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
