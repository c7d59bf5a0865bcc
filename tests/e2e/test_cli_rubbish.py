"""What the command line says to rubbish: exit 2, what is wrong and what to do, never a traceback, nothing on stdout."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.e2e.runner import DEMO_DIR, DEMO_SHEET, refused, run

DEMO_WEATHER = DEMO_DIR / "weather.csv"


@pytest.fixture
def junk(tmp_path: Path) -> Path:
    """A folder with things that are no job sheets and no weather."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "binary.toml").write_bytes(bytes(range(256)) * 8)
    (tmp_path / "empty.toml").write_text("", encoding="utf-8")
    (tmp_path / "broken.toml").write_text('[job\nname = "x', encoding="utf-8")
    (tmp_path / "deep.toml").write_text("x = " + "[" * 5000, encoding="utf-8")
    (tmp_path / "empty.csv").write_text("", encoding="utf-8")
    (tmp_path / "binary.csv").write_bytes(bytes(range(256)) * 64)
    (tmp_path / "page.csv").write_text("<!doctype html><title>404</title>", encoding="utf-8")
    other_year = DEMO_WEATHER.read_text(encoding="utf-8").replace("2022-", "2021-")
    (tmp_path / "other_year.csv").write_text(other_year, encoding="utf-8")
    (tmp_path / "short.csv").write_bytes(b"".join(DEMO_WEATHER.read_bytes().splitlines(keepends=True)[:300]))
    return tmp_path


@pytest.mark.parametrize(
    ("command", "sheet"),
    [
        ("check", "missing.toml"),
        ("area", "folder"),
        ("order", "binary.toml"),
        ("windows", "empty.toml"),
        ("plan", "broken.toml"),
        ("plan", "deep.toml"),
    ],
)
def test_what_is_no_job_sheet(junk: Path, command: str, sheet: str) -> None:
    said = refused(command, sheet, cwd=junk)
    assert sheet in said
    for part in ("to put right", "found:", "allowed:", "do:"):
        assert part in said


def test_every_mistake_of_a_sheet_is_told_at_once(junk: Path) -> None:
    text = DEMO_SHEET.read_text(encoding="utf-8")
    for sheet in DEMO_DIR.glob("demo-*.toml"):
        (junk / sheet.name).write_bytes(sheet.read_bytes())
    text = text.replace('beam = "12 ft"', 'beem = "12 ft"').replace('draft = "6 ft 4 in"', 'draft = "6 kg"')
    (junk / "job.toml").write_text(text, encoding="utf-8")
    said = refused("area", "job.toml", cwd=junk)
    assert "2 things to put right" in said
    assert "beem" in said
    assert "beam" in said
    assert "6 kg" in said


@pytest.mark.parametrize(
    ("weather", "says"),
    [
        ("missing.csv", "missing.csv"),
        ("folder", "folder"),
        ("empty.csv", "empty.csv"),
        ("binary.csv", "binary.csv"),
        ("page.csv", "page.csv"),
        ("other_year.csv", "2022"),
    ],
)
def test_what_is_no_weather_for_this_job(junk: Path, weather: str, says: str) -> None:
    said = refused("windows", DEMO_SHEET, "--weather", weather, "--json", cwd=junk)
    assert says in said
    for part in ("to put right", "found:", "allowed:", "do:"):
        assert part in said


def test_weather_that_ends_early_is_used_and_said(junk: Path) -> None:
    found = run("windows", DEMO_SHEET, "--weather", "short.csv", "--json", cwd=junk)
    assert found.code == 0
    assert any("the weather ends at 2022-04-30T" in note for note in found.document["notes"])
    last = found.document["zones"][0]["slots"][-1]["start"]
    assert last <= "2022-04-30T", "no slot may stand where no weather is known"


def test_a_sheet_without_weather_says_where_weather_comes_from(own: Path, tmp_path: Path) -> None:
    said = refused("plan", own / "job.toml", cwd=tmp_path)
    assert "--weather FILE" in said


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--days", "61"), "--days"),
        (("--station", "XYZ"), "XYZ"),
        (("--moon",), "--moon"),
    ],
)
def test_options_out_of_range(tmp_path: Path, options: tuple[str, ...], says: str) -> None:
    assert says in refused("windows", DEMO_SHEET, *options, cwd=tmp_path)


@pytest.mark.parametrize("limit", ["0", "nan"])
def test_a_time_limit_that_is_none(tmp_path: Path, limit: str) -> None:
    assert "--time-limit" in refused("plan", DEMO_SHEET, "--time-limit", limit, cwd=tmp_path)


def test_places_are_refused_before_the_work_begins(junk: Path) -> None:
    said = refused(
        "plan", DEMO_SHEET, "--page", "none/plan.html", "--calendar", "folder", "--order-csv", DEMO_SHEET, cwd=junk
    )
    assert "3 things to put right" in said
    assert "a first plan" not in said
    assert DEMO_SHEET.read_text(encoding="utf-8").startswith("# THE DEMONSTRATION JOB")


@pytest.mark.parametrize("place", ["folder", "empty.csv/order.csv", ""])
def test_a_table_that_cannot_be_written(junk: Path, place: str) -> None:
    assert "found:" in refused("order", DEMO_SHEET, "--csv", place, cwd=junk)


def test_a_demo_that_has_nowhere_to_go(junk: Path) -> None:
    assert "--out" in refused("demo", "--out", "empty.csv", cwd=junk)
    assert "--out" in refused("demo", "--out", "empty.csv/out", cwd=junk)


def test_new_never_overwrites(own: Path) -> None:
    before = (own / "job.toml").read_bytes()
    assert "job.toml" in refused("new", own, cwd=own)
    assert (own / "job.toml").read_bytes() == before


@pytest.mark.parametrize(
    "arguments",
    [("launch",), ("area",), ("schema", "plans"), ("windows", "--json")],
    ids=" ".join,
)
def test_words_that_mean_nothing(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    refused(*arguments, cwd=tmp_path)


def test_no_words_at_all_shows_the_help(tmp_path: Path) -> None:
    found = run(cwd=tmp_path)
    assert "boottop" in found.out + found.err
    assert found.code == 2
