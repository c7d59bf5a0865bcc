"""Runs boottop as a person does: a process of its own, with what it printed and how it left."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import boottop

DEMO_DIR = Path(boottop.__file__).parent / "demo"
DEMO_SHEET = DEMO_DIR / "job.toml"
LONGEST_S = 120.0
NOBODY = "http://127.0.0.1:9"
OFFLINE = {"HTTP_PROXY": NOBODY, "HTTPS_PROXY": NOBODY, "ALL_PROXY": NOBODY, "NO_PROXY": ""}
"""No test asks the network: whatever is asked of it goes to a port where nobody listens."""


@dataclass(frozen=True)
class Run:
    """What one run left behind. `out` is stdout, `err` stderr."""

    code: int
    out: str
    err: str

    @cached_property
    def document(self) -> Any:
        """Stdout as the one JSON document it must be."""
        return json.loads(self.out)


def run(*args: str | Path, cwd: Path, **environment: str) -> Run:
    """Run boottop; never a traceback, whatever else."""
    done = subprocess.run(
        [sys.executable, "-m", "boottop", *map(str, args)],
        cwd=cwd,
        env={**os.environ, **OFFLINE, "XDG_CACHE_HOME": str(cwd / "cache"), "COLUMNS": "100", **environment},
        capture_output=True,
        timeout=LONGEST_S,
        check=False,
    )
    found = Run(code=done.returncode, out=done.stdout.decode(), err=done.stderr.decode())
    assert "Traceback" not in found.out + found.err, found.err
    assert "stumbled" not in found.err, found.err
    return found


def refused(*args: str | Path, cwd: Path) -> str:
    """Run what must be refused with 2 and nothing on stdout; what it said, on one line."""
    found = run(*args, cwd=cwd)
    assert found.code == 2, found.err
    assert found.out == ""
    assert found.err.strip()
    return " ".join(found.err.split())
