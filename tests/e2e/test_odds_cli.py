"""`boottop odds` and `boottop choose` as a person runs them."""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.e2e.runner import DEMO_DIR, DEMO_SHEET, Run, run
from tests.odds.here import run_here

WEATHER = DEMO_DIR / "weather.csv"
SHORT = ("--from", "04-25", "--to", "04-27", "--horizon", "18", "--crew", "3", "--sides", "side_a_day",
         "--first", "port")  # fmt: skip
Runner = Callable[..., Run]


@pytest.fixture
def here(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Runner:
    """The command line within this process, from a folder of its own."""
    return lambda *args, **rest: run_here(*args, cwd=tmp_path, shown=capsys, with_=monkeypatch, **rest)


def test_odds_as_json_with_page_and_pictures(tmp_path: Path, here: Runner) -> None:
    found = run(
        "odds", DEMO_SHEET, "--weather", WEATHER, *SHORT, "--keep", "kept", "--json",
        "--page", "odds.html", "--svg", "odds.svg", "--png", "odds.png", cwd=tmp_path,
    )  # fmt: skip
    assert found.code == 0, found.err
    document = found.document
    assert document["schema"] == "boottop.odds/1"
    (place,) = document["places"]
    assert place["starts"] == 3
    assert place["files"][0]["years"] == [{"year": 2022, "wanted": 3, "walked": 3, "left_out": 0}]
    assert place["options"][0]["best"]["weeks"][0]["never"]["low"] is None
    assert (tmp_path / "odds.html").read_text().startswith("<!doctype html>")
    assert (tmp_path / "odds.svg").read_text().startswith("<svg ")
    assert (tmp_path / "odds.png").read_bytes()[:4] == b"\x89PNG"
    assert len(list((tmp_path / "kept").glob("*.npz"))) == 1
    again = here("odds", DEMO_SHEET, "--weather", WEATHER, *SHORT, "--keep", "kept", "--json")
    assert again.document == document


def test_what_the_odds_save_the_cost_reckons_with(tmp_path: Path, here: Runner) -> None:
    for path in DEMO_DIR.glob("*.toml"):
        shutil.copy(path, tmp_path / path.name)
    found = here("odds", "job.toml", "--weather", WEATHER, *SHORT, "--week", "04-25", "--save", "odds.json")
    assert found.code == 0, found.err
    assert "days ashore in it, for boottop cost --odds: 3 people, no tent, week of 23 Apr" in found.err
    saved = json.loads((tmp_path / "odds.json").read_text())
    days, of = saved["days_ashore"], saved["days_ashore_of"]
    assert days
    assert days == sorted(days)
    assert (of["starts"], of["left_out"]) == (3, 3 - len(days))
    here("cost", "job.toml", "--no-plan")
    prices = tmp_path / "cost.toml"
    prices.write_text(prices.read_text().replace('work = "plan"', 'work = "50 h"'))
    cost = here("cost", "job.toml", "--no-plan", "--odds", "odds.json", "--json", "--draws", "200")
    assert cost.code == 0, cost.err
    turn = next(one for one in cost.document["turns"] if one["key"].endswith("days_renewing")
                and "job sheet" in one["key"])  # fmt: skip
    assert turn["low_likely_high"][0] >= min(days)
    assert turn["low_likely_high"][2] <= max(days)


def test_a_week_in_which_nobody_gets_afloat_gives_the_cost_nothing(tmp_path: Path, here: Runner) -> None:
    hasty = ("--from", "04-25", "--to", "04-25", "--horizon", "7", "--crew", "3", "--sides", "side_a_day")
    found = here("odds", DEMO_SHEET, "--weather", WEATHER, *hasty, "--save", "odds.json")
    assert "1 of 1 starts left out, not afloat in time" in found.err
    assert json.loads((tmp_path / "odds.json").read_text())["days_ashore"] == []


def test_places_side_by_side_each_with_its_own_sun_and_clock(tmp_path: Path, here: Runner) -> None:
    shutil.copy(WEATHER, tmp_path / "cape.csv")
    found = here(
        "odds", DEMO_SHEET, "--place", f"Harbour={WEATHER}", "--place", "Far Cape@43.5,-70.2,America/Halifax=cape.csv",
        *SHORT, "--json", "--svg", "two.svg",
    )  # fmt: skip
    assert found.code == 0, found.err
    one, other = found.document["places"]
    assert (one["name"], one["zone"]) == ("Harbour", "America/New_York")
    assert (other["name"], other["zone"], other["latitude"]) == ("Far Cape", "America/Halifax", 43.5)
    assert "as its files say; clock: America/New_York, that of the yard" in one["notes"][0]
    assert other["notes"][0] == "place: 43.50 N 70.20 W, as given; clock: America/Halifax"
    assert "Far Cape, 3 people, no tent" in (tmp_path / "two.svg").read_text()


def test_choose_says_how_little_one_member_proves(here: Runner) -> None:
    few = ("choose", DEMO_SHEET, "--ensemble", WEATHER, "--haul-days", "1", "--days", "24")
    found = here(*few, "--json")
    assert found.code == 0, found.err
    document = found.document
    assert document["schema"] == "boottop.choose/1"
    assert document["pick"]["members"] == 1
    assert document["pick"]["late_at_most"] == pytest.approx(0.975)
    assert document["sure"] is None
    assert "So few members leave room for doubt" in here(*few).err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("odds", "--weather", "/etc/hostname"), "an unknown format"),
        (("odds",), "no weather file"),
        (("odds", "--weather", WEATHER, "--place", f"x={WEATHER}"), "files beside those of --place"),
        (("odds", "--place", "nowhere"), "NAME=FILE,FILE or NAME@LATITUDE,LONGITUDE,ZONE=FILE#STATION"),
        (("odds", "--place", "x@91,0,Europe/Dublin=a.csv"), "latitude -90 to 90"),
        (("odds", "--place", "x@9,0,Mars/Base=a.csv"), "an IANA time zone"),
        (("odds", "--place", "x=a.csv", "--place", "x=b.csv"), "'x', twice"),
        (("odds", "--weather", WEATHER, "--from", "13-40"), "a day such as 04-15"),
        (("odds", "--weather", WEATHER, "--week", "April"), "a day such as 04-15"),
        (("odds", "--weather", WEATHER, "--tent", "maybe"), "no, yes, both"),
        (("odds", "--weather", WEATHER, "--horizon", "90"), "90 days of weather after it"),
        (("odds", "--weather", WEATHER, "--weather", WEATHER), "given twice"),
        (("choose", "--ensemble", "none.json"), "cannot be read as JSON"),
        (("choose", "--ensemble", WEATHER, "--by", "2022-01-01"), "within the weather looked at"),
    ],
)
def test_wrong_input_is_told_with_code_2(words: tuple[str | Path, ...], says: str, here: Runner) -> None:
    found = here(words[0], DEMO_SHEET, *words[1:], columns=300)
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
