"""The yard computer's service and timer say what the guide says, and systemd understands them."""

from __future__ import annotations

import configparser
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.e2e.runner import run

ROOT = Path(__file__).parents[2]
PACKAGING = ROOT / "packaging"
SERVICE, TIMER = PACKAGING / "boottop-plan.service", PACKAGING / "boottop-plan.timer"


def unit(path: Path) -> configparser.ConfigParser:
    """A unit file; a key given twice is an error."""
    found = configparser.ConfigParser(interpolation=None, comment_prefixes=("#",), delimiters=("=",))
    found.optionxform = str  # type: ignore[assignment, method-assign]  # systemd's keys keep their capitals
    found.read_string(path.read_text(encoding="utf-8"))
    return found


def test_the_service_plans_once_into_the_jobs_folder() -> None:
    service = unit(SERVICE)["Service"]
    assert service["Type"] == "oneshot"
    assert service["ExecStart"].split() == [
        "%h/boottop-venv/bin/boottop",
        "plan",
        "%h/boottop/job.toml",
        "--page",
        "%h/boottop/plan.html",
        "--calendar",
        "%h/boottop/plan.ics",
    ]


def test_the_service_calls_options_that_exist(tmp_path: Path) -> None:
    words = unit(SERVICE)["Service"]["ExecStart"].split()
    described = run(words[1], "--help", cwd=tmp_path, COLUMNS="200").out
    for option in (word for word in words if word.startswith("--")):
        assert re.search(rf"{option}\b", described), option


def test_the_service_is_fenced_in() -> None:
    service = unit(SERVICE)["Service"]
    assert service["NoNewPrivileges"] == "yes"
    assert service["ProtectSystem"] == "strict"
    assert service["ReadWritePaths"] == "%h/boottop"
    assert service["CacheDirectory"] == "boottop"
    assert service["Environment"] == "NUMBA_CACHE_DIR=%C/boottop/compiled"
    assert "MemoryDenyWriteExecute" not in service, "Numba compiles while it runs"


def test_the_timer_wakes_the_service_before_work_and_makes_up_for_lost_mornings() -> None:
    timer = unit(TIMER)
    assert TIMER.stem == SERVICE.stem, "a timer starts the service of its own name"
    assert timer["Timer"]["OnCalendar"] == "*-*-* 05:30:00"
    assert timer["Timer"]["Persistent"] == "true"
    assert timer["Install"]["WantedBy"] == "timers.target"


def test_the_guide_copies_both_units() -> None:
    guide = (ROOT / "docs" / "yard-computer.md").read_text(encoding="utf-8")
    for path in (SERVICE, TIMER):
        assert f"packaging/{path.name}" in guide


def test_systemd_understands_both_units(tmp_path: Path) -> None:
    """With a program where the unit expects one, in a home of its own."""
    verifier = shutil.which("systemd-analyze")
    if verifier is None:
        pytest.skip("no systemd-analyze on this machine")
    program = tmp_path / "boottop-venv" / "bin" / "boottop"
    program.parent.mkdir(parents=True)
    program.write_text("#!/bin/sh\n", encoding="utf-8")
    program.chmod(0o755)
    (tmp_path / "run").mkdir(mode=0o700)
    done = subprocess.run(
        [verifier, "--user", "verify", str(SERVICE), str(TIMER)],
        env={**os.environ, "HOME": str(tmp_path), "XDG_RUNTIME_DIR": str(tmp_path / "run")},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    said = [line for line in done.stderr.splitlines() if "boottop" in line]
    assert said == []
    assert done.returncode == 0, done.stderr
