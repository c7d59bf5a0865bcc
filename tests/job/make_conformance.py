"""Writes tests/conformance/board.json: run it after every change of the board's rule and let both suites run it."""

from __future__ import annotations

import json
from pathlib import Path

from boottop.job.conformance import conformance
from boottop.job.events import Json

FILE = Path(__file__).parents[1] / "conformance" / "board.json"


def text_of(found: dict[str, Json]) -> str:
    """One line a table and a case, so that a change shows where it is."""
    tables, cases = found["tables"], found["cases"]
    assert isinstance(tables, list)
    assert isinstance(cases, list)
    lines = {
        name: ",\n".join(json.dumps(one, separators=(",", ":"), ensure_ascii=False) for one in many)
        for name, many in (("tables", tables), ("cases", cases))
    }
    return f'{{"format":{found["format"]},\n"tables":[\n{lines["tables"]}\n],\n"cases":[\n{lines["cases"]}\n]}}\n'


if __name__ == "__main__":
    FILE.parent.mkdir(exist_ok=True)
    FILE.write_text(text_of(conformance()), encoding="utf-8")
