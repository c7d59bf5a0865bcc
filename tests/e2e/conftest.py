"""Processes that several tests look at, each run once."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.e2e.runner import DEMO_DIR, DEMO_SHEET, Run, run


@pytest.fixture(scope="session")
def demo_out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the demonstration writes its files."""
    return tmp_path_factory.mktemp("demo") / "deep" / "out"


@pytest.fixture(scope="session")
def demo_run(demo_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Run:
    """`boottop demo --json`."""
    return run("demo", "--out", demo_out, "--json", cwd=tmp_path_factory.mktemp("here"))


@pytest.fixture(scope="session")
def windows_run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    """`boottop windows --json` on the demonstration."""
    return run("windows", DEMO_SHEET, "--days", "8", "--json", cwd=tmp_path_factory.mktemp("here"))


@pytest.fixture(scope="session")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that `boottop new` has filled."""
    folder = tmp_path_factory.mktemp("own")
    assert run("new", "my boat", cwd=folder).code == 0
    return folder / "my boat"


@pytest.fixture(scope="session")
def own_2022(own: Path) -> Path:
    """The sheet of `boottop new`, moved to the demonstration's year and place, so that there is weather for it."""
    text = (own / "job.toml").read_text(encoding="utf-8").replace("2026-", "2022-")
    for here, there in (("41.15 N", "40.64 N"), ("8.63 W", "73.78 W"), ("Europe/Lisbon", "America/New_York")):
        assert here in text
        text = text.replace(here, there)
    sheet = own / "job-2022.toml"
    sheet.write_text(text, encoding="utf-8")
    return sheet


@pytest.fixture(scope="session")
def hopeless_run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    """A plan for one pair of hands with two hours a day, as JSON, with a page."""
    folder = tmp_path_factory.mktemp("hopeless")
    for path in (*DEMO_DIR.glob("*.toml"), DEMO_DIR / "weather.csv"):
        (folder / path.name).write_bytes(path.read_bytes())
    text = (folder / "job.toml").read_text(encoding="utf-8")
    crew = 'people = 2\nhours = "daily 08:00-18:30"'
    assert crew in text
    text = text.replace(crew, 'people = 1\nhours = "daily 10:00-12:00"')
    (folder / "job.toml").write_text(text, encoding="utf-8")
    options = ("--days", "35", "--json", "--page", "plan.html", "--calendar", "plan.ics")
    return run("plan", "job.toml", *options, cwd=folder)
