"""Disks that fail: a small one, one that may only be read; and the appending process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def appender(
    address: str, job: str, *, first: int = 1, count: int = 1000, step: int = 1, limit_bytes: int = 0
) -> subprocess.Popen[str]:
    """The process of `tests.faults.store_appender`, started."""
    words = [address, job, *(str(number) for number in (first, count, step, limit_bytes))]
    return subprocess.Popen(
        [sys.executable, "-m", "tests.faults.store_appender", *words],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@contextmanager
def small_disk(folder: Path, *, size_kb: int) -> Iterator[Path]:
    """A disk of its own in memory; skips where it may not be mounted."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("mounting a small disk takes root")
    place = folder / "disk"
    place.mkdir()
    made = _run("mount", "-t", "tmpfs", "-o", f"size={size_kb}k", "tmpfs", str(place))
    if made.returncode != 0:
        pytest.skip(f"no small disk can be mounted here: {made.stderr.strip()}")
    try:
        yield place
    finally:
        gone = _run("umount", str(place))
        assert gone.returncode == 0, gone.stderr


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """The folder of `small_disk` when root, whom rights do not stop; else any folder, by its rights."""
    if os.geteuid() == 0:
        assert _run("mount", "-o", "remount,ro", str(folder)).returncode == 0
        yield
        assert _run("mount", "-o", "remount,rw", str(folder)).returncode == 0
        return
    folder.chmod(0o555)
    try:
        yield
    finally:
        folder.chmod(0o755)


def _run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, capture_output=True, text=True, check=False)
