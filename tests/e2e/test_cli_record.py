"""The record's commands as a person types them: files, exit codes, and what is said."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from boottop.cli import main
from boottop.files.archive import import_job
from boottop.store.open import open_store
from tests.e2e.runner import Run, run
from tests.record.archives import KEPT

Job = Callable[..., Run]


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Job:
    """A folder with a store that holds the kept job; boottop run there, in this process: the starting of a process is
    tried once, below, and elsewhere."""
    with open_store(tmp_path / "s.db") as store:
        import_job(store, KEPT)
    monkeypatch.chdir(tmp_path)

    def call(*words: str, store: str = "s.db") -> Run:
        monkeypatch.setattr(sys, "argv", ["boottop", *words, "--store", store])
        capfd.readouterr()
        with pytest.raises(SystemExit) as left:
            main()
        said = capfd.readouterr()
        return Run(code=int(left.value.code or 0), out=said.out, err=said.err)

    return call


def test_record_writes_four_files(job: Job, tmp_path: Path) -> None:
    found = job("record", "Kept", "--out", "out")
    assert found.code == 0, found.err
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == [
        "marsh-wren-invented-coats.csv",
        "marsh-wren-invented-readings.csv",
        "marsh-wren-invented-record.json",
        "marsh-wren-invented-record.pdf",
    ]
    assert "end of the log: 34dc3de8" in found.err


def test_record_as_json_is_the_record_and_its_log(job: Job) -> None:
    found = job("record", "Kept", "--json")
    assert found.code == 0
    content = json.loads(found.out)
    assert content["schema"] == "boottop.record/1"
    assert content["hauled"] == "2026-05-04T08:00:00Z"
    assert [one["seq"] for one in content["log"]] == list(range(1, 11))
    assert content["log"][-1]["chain"] == content["chain"]["head"]
    assert content["coats"][0]["coat"]["litres"] == 2.1


def test_the_json_is_as_its_schema_says(job: Job, tmp_path: Path) -> None:
    described = run("schema", "record", cwd=tmp_path).document
    Draft202012Validator.check_schema(described)
    assert [*Draft202012Validator(described).iter_errors(job("record", "Kept", "--json").document)] == []


def test_verify_export_and_import(job: Job, tmp_path: Path) -> None:
    assert job("verify", "Kept").code == 0
    assert job("export", "Kept", "job.zip").code == 0
    assert (tmp_path / "job.zip").is_file()
    assert job("import", "job.zip", store="t.db").code == 0
    found = job("verify", "Kept", "--printed", "0" * 64, store="t.db")
    assert found.code == 2
    assert "not the one that was printed from" in found.err


def test_readings_logger_photo_and_history(job: Job, tmp_path: Path) -> None:
    (tmp_path / "g.csv").write_text("zone;DFT;gauge\nport side;281,5 um;us\n", encoding="utf-8")
    (tmp_path / "l.csv").write_text("Time,Temp (°C),RH (%)\n2026-05-04 05:05,11.9,37\n", encoding="utf-8")
    (tmp_path / "v.csv").write_text("date,what,zone,fouling\n2024-05-01,washed only,,20\n", encoding="utf-8")
    (tmp_path / "p.jpg").write_bytes(b"no picture")
    assert "1 readings of 1 rows" in job("readings", "Kept", "g.csv").err
    assert "1 new in the log" in job("logger", "Kept", "l.csv").err
    found = job("history", "Kept", "--csv", "v.csv")
    assert "1 visits added" in found.err
    assert "fouling 20 (slime, the paint is dulled)" in found.out
    found = job("photo", "Kept", "p.jpg")
    assert found.code == 2
    assert "left where it is" in found.err
    assert job("verify", "Kept").code == 0


@pytest.mark.parametrize("words", [("record", "other"), ("readings", "Kept", "s.db"), ("import", "s.db")])
def test_rubbish_is_refused_with_what_to_do(job: Job, words: tuple[str, ...]) -> None:
    found = job(*words)
    assert found.code == 2
    assert "do:" in found.err
