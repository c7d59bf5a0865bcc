"""`boottop cost` and `boottop proof` as a person runs them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from boottop.files.cost_json import ProofDocument
from boottop.files.documents import schema_of
from tests.e2e.runner import DEMO_DIR, refused, run
from tests.files.test_cost_logs import csv_log, nmea_log


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demonstration job in a folder of its own."""
    for path in DEMO_DIR.iterdir():
        if path.suffix in (".toml", ".csv"):
            shutil.copy(path, tmp_path / path.name)
    return tmp_path


def test_the_document_is_written_once_and_then_read(folder: Path) -> None:
    first = run("cost", "job.toml", "--json", "--page", "cost.html", cwd=folder)
    assert first.code == 0, first.err
    assert "wrote cost.toml" in first.err
    Draft202012Validator(run("schema", "cost", cwd=folder).document).validate(first.document)
    assert (folder / "cost.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    text = (folder / "cost.toml").read_text(encoding="utf-8")
    for key, value in (("days_renewing", '"9 days"'), ("work", '"50 h"')):
        text = text.replace(f'{key} = "plan"', f"{key} = {value}")
    (folder / "cost.toml").write_text(text, encoding="utf-8")
    second = run("cost", "job.toml", "--no-plan", "--draws", "200", cwd=folder)
    assert second.code == 0, second.err
    assert "wrote cost.toml" not in second.err
    assert "costs least" in second.err
    assert second.out == ""


def test_the_odds_take_the_place_of_the_plan(folder: Path) -> None:
    (folder / "odds.json").write_text('{"days_ashore": [14, 15, 15, 30]}', encoding="utf-8")
    run("cost", "job.toml", "--no-plan", cwd=folder)
    text = (folder / "cost.toml").read_text(encoding="utf-8").replace('work = "plan"', 'work = "50 h"')
    (folder / "cost.toml").write_text(text, encoding="utf-8")
    found = run("cost", "job.toml", "--no-plan", "--odds", "odds.json", "--json", "--draws", "500", cwd=folder)
    assert found.code == 0, found.err
    days = next(one for one in found.document["turns"] if one["key"].endswith("days_renewing") and one["unit"] == "days"
                and "job sheet" in one["key"])  # fmt: skip
    assert days["low_likely_high"] == [14.0, 15.0, 30.0]


def test_what_is_wrong_leaves_with_two(folder: Path) -> None:
    told = refused("cost", "job.toml", "--no-plan", cwd=folder)
    assert "no plan was made" in told
    (folder / "bad.toml").write_text("format = 1\nhorizon = 3\n", encoding="utf-8")
    assert "horizon" in refused("cost", "job.toml", "--prices", "bad.toml", cwd=folder)


def test_the_proof_from_two_logs(folder: Path) -> None:
    (folder / "log.csv").write_text(csv_log(), encoding="utf-8")
    (folder / "log.nmea").write_text(nmea_log(), encoding="utf-8")
    days = ("--hauled", "2022-04-25", "--afloat", "2022-05-13")
    found = run("proof", "job.toml", "log.csv", "log.nmea", *days, "--json", cwd=folder)
    assert found.code == 0, found.err
    Draft202012Validator(schema_of(ProofDocument)).validate(found.document)
    assert "cannot be proved" in found.document["verdict"]
    assert "swapped" in refused("proof", "job.toml", "log.csv", "--hauled", days[3], "--afloat", days[1], cwd=folder)
