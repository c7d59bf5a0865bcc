"""Twenty phones at `boottop serve` in a process of its own, over HTTP on this computer."""

from __future__ import annotations

import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.faults.served import Process, paired_store, serving

PHONES = 20


@contextmanager
def yard(phones: int = PHONES) -> Iterator[tuple[Process, str, list[str], Path]]:
    """A server, its job, the sessions of its phones, and the store's folder; stopped at the end."""
    with tempfile.TemporaryDirectory() as folder:
        job, sessions = paired_store(Path(folder) / "job.db", phones=phones)
        with serving(Path(folder) / "job.db") as server:
            yield server, job, sessions, Path(folder)


def p95(values: list[float]) -> float:
    """The 95th percentile."""
    return statistics.quantiles(values, n=20)[18]


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
