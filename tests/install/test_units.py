"""The yard computer's units say what the guide says, and systemd understands them."""

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
BOARD, MORNING, TIMER = (PACKAGING / name for name in ("boottop.service", "boottop-plan.service", "boottop-plan.timer"))
SERVICES = pytest.mark.parametrize("path", [BOARD, MORNING], ids=lambda path: path.stem)
PROGRAM = "%h/boottop-venv/bin/boottop"


def unit(path: Path) -> configparser.ConfigParser:
    """A unit file; a key given twice is an error."""
    found = configparser.ConfigParser(interpolation=None, comment_prefixes=("#",), delimiters=("=",))
    found.optionxform = str  # type: ignore[assignment, method-assign]  # systemd's keys keep their capitals
    found.read_string(path.read_text(encoding="utf-8"))
    return found


def test_the_morning_service_plans_once_into_the_jobs_folder() -> None:
    service = unit(MORNING)["Service"]
    assert service["Type"] == "oneshot"
    folder = "%h/boottop"
    told = ["plan", f"{folder}/job.toml", "--page", f"{folder}/plan.html", "--calendar", f"{folder}/plan.ics"]
    assert service["ExecStart"].split() == [PROGRAM, *told]
    assert service["ReadWritePaths"] == folder


def test_the_board_keeps_running_with_its_store_in_the_state_directory() -> None:
    service = unit(BOARD)["Service"]
    assert service["ExecStart"].split() == [PROGRAM, "serve", "--lan", "--store", "%S/boottop/store.db"]
    assert service["StateDirectory"] == "boottop"
    assert service["Restart"] == "on-failure"
    assert service["RestartPreventExitStatus"] == "2", "wrong input does not mend itself"
    assert "ReadWritePaths" not in service
    assert unit(BOARD)["Install"]["WantedBy"] == "default.target"


@SERVICES
def test_the_service_calls_options_that_exist(path: Path, tmp_path: Path) -> None:
    words = unit(path)["Service"]["ExecStart"].split()
    if words[1] not in run("--help", cwd=tmp_path, COLUMNS="200").out:
        pytest.skip(f"this boottop has no `boottop {words[1]}`")
    described = run(words[1], "--help", cwd=tmp_path, COLUMNS="200").out
    for option in (word for word in words if word.startswith("--")):
        assert re.search(rf"{option}\b", described), option


@SERVICES
def test_the_service_is_fenced_in(path: Path) -> None:
    service = unit(path)["Service"]
    assert service["NoNewPrivileges"] == "yes"
    assert service["ProtectSystem"] == "strict"
    assert service["PrivateUsers"] == "yes", "a user's unit is fenced in only with it, before systemd 254"
    assert service["CacheDirectory"] == "boottop"
    assert service["Environment"] == "NUMBA_CACHE_DIR=%C/boottop/compiled"
    assert "MemoryDenyWriteExecute" not in service, "Numba compiles while it runs"


def test_the_timer_wakes_the_service_before_work_and_makes_up_for_lost_mornings() -> None:
    timer = unit(TIMER)
    assert TIMER.stem == MORNING.stem, "a timer starts the service of its own name"
    assert timer["Timer"]["OnCalendar"] == "*-*-* 05:30:00"
    assert timer["Timer"]["Persistent"] == "true"
    assert timer["Install"]["WantedBy"] == "timers.target"


def test_the_guide_copies_every_unit() -> None:
    guide = (ROOT / "docs" / "yard-computer.md").read_text(encoding="utf-8")
    units = sorted(path for path in PACKAGING.iterdir() if path.suffix in (".service", ".timer"))
    assert units == sorted([BOARD, MORNING, TIMER])
    assert [path.name for path in units if f"packaging/{path.name}" not in guide] == []


def test_systemd_understands_every_unit(tmp_path: Path) -> None:
    """With a program where the units expect one, in a home of its own."""
    verifier = shutil.which("systemd-analyze")
    if verifier is None:
        pytest.skip("no systemd-analyze on this machine")
    program = tmp_path / "boottop-venv" / "bin" / "boottop"
    program.parent.mkdir(parents=True)
    program.write_text("#!/bin/sh\n", encoding="utf-8")
    program.chmod(0o755)
    (tmp_path / "run").mkdir(mode=0o700)
    done = subprocess.run(
        [verifier, "--user", "verify", str(BOARD), str(MORNING), str(TIMER)],
        env={**os.environ, "HOME": str(tmp_path), "XDG_RUNTIME_DIR": str(tmp_path / "run")},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    said = [line for line in done.stderr.splitlines() if "boottop" in line]
    assert said == []
    assert done.returncode == 0, done.stderr
