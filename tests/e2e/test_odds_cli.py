"""`boottop odds` and `boottop choose` as a person runs them."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.e2e.runner import DEMO_DIR, DEMO_SHEET, run

WEATHER = DEMO_DIR / "weather.csv"
SHORT = ("--from", "04-25", "--to", "04-27", "--horizon", "21", "--crew", "3")


def test_odds_as_json_with_page_and_pictures(tmp_path: Path) -> None:
    found = run(
        "odds", DEMO_SHEET, "--weather", WEATHER, *SHORT, "--keep", "kept", "--json",
        "--page", "odds.html", "--svg", "odds.svg", "--png", "odds.png", cwd=tmp_path,
    )  # fmt: skip
    assert found.code == 0, found.err
    document = found.document
    assert document["schema"] == "boottop.odds/1"
    assert document["places"][0]["starts"] == 3
    assert document["places"][0]["files"][0]["years"] == [{"year": 2022, "wanted": 3, "walked": 3, "left_out": 0}]
    assert document["places"][0]["options"][0]["best"]["weeks"][0]["never"]["low"] is None
    assert (tmp_path / "odds.html").read_text().startswith("<!doctype html>")
    assert (tmp_path / "odds.svg").read_text().startswith("<svg ")
    assert (tmp_path / "odds.png").read_bytes()[:4] == b"\x89PNG"
    assert len(list((tmp_path / "kept").glob("*.npz"))) == 1
    again = run("odds", DEMO_SHEET, "--weather", WEATHER, *SHORT, "--keep", "kept", "--json", cwd=tmp_path)
    assert again.document == document


def test_choose_says_how_little_one_member_proves(tmp_path: Path) -> None:
    found = run("choose", DEMO_SHEET, "--ensemble", WEATHER, "--haul-days", "2", "--json", cwd=tmp_path)
    assert found.code == 0, found.err
    document = found.document
    assert document["schema"] == "boottop.choose/1"
    assert document["pick"]["members"] == 1
    assert document["pick"]["late_at_most"] == pytest.approx(0.975)
    assert document["sure"] is None
    said = run("choose", DEMO_SHEET, "--ensemble", WEATHER, "--haul-days", "1", cwd=tmp_path)
    assert "So few members leave room for doubt" in said.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("odds", "--weather", "/etc/hostname"), "an unknown format"),
        (("odds", "--weather", WEATHER, "--from", "13-40"), "a day such as 04-15"),
        (("odds", "--weather", WEATHER, "--tent", "maybe"), "no, yes, both"),
        (("odds", "--weather", WEATHER, "--horizon", "90"), "90 days of weather after it"),
        (("odds", "--weather", WEATHER, "--weather", WEATHER), "given twice"),
        (("choose", "--ensemble", "none.json"), "cannot be read as JSON"),
        (("choose", "--ensemble", WEATHER, "--by", "2022-01-01"), "within the weather looked at"),
    ],
)
def test_wrong_input_is_told_with_code_2(words: tuple[str | Path, ...], says: str, tmp_path: Path) -> None:
    found = run(words[0], DEMO_SHEET, *words[1:], cwd=tmp_path, COLUMNS="300")
    assert found.code == 2
    assert says in found.err


def test_an_interrupt_says_what_is_kept(tmp_path: Path) -> None:
    copy = tmp_path / "again.csv"
    copy.write_bytes(WEATHER.read_bytes())
    process = subprocess.Popen(
        [sys.executable, "-m", "boottop", "odds", DEMO_SHEET, "--weather", WEATHER, "--weather", copy, *SHORT,
         "--threads", "1", "--keep", "kept"],
        cwd=tmp_path, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    while not list(tmp_path.glob("kept/*.npz")) and process.poll() is None:
        time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert process.returncode in (0, 130), "an interrupt that comes too late interrupts nothing"
    assert process.returncode == 0 or "finished pieces are kept in kept" in said
