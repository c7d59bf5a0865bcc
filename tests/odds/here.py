"""Runs boottop within the process of the test: the same command line, without a start of Python for each."""

from __future__ import annotations

from pathlib import Path

import pytest

from boottop.cli import main
from tests.e2e.runner import OFFLINE, Run


def run_here(
    *args: str | Path, cwd: Path, shown: pytest.CaptureFixture[str], with_: pytest.MonkeyPatch, columns: int = 100
) -> Run:
    """Run boottop from a folder; never a traceback, whatever else."""
    with_.chdir(cwd)
    with_.setattr("sys.argv", ["boottop", *map(str, args)])
    for name, value in (OFFLINE | {"XDG_CACHE_HOME": str(cwd / "cache"), "COLUMNS": str(columns)}).items():
        with_.setenv(name, value)
    shown.readouterr()
    code = 0
    try:
        main()
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 0
    found = Run(code=code, **shown.readouterr()._asdict())
    assert "Traceback" not in found.out + found.err, found.err
    assert "stumbled" not in found.err, found.err
    return found
