"""The record as open data: against its schema, its own log, and what a spreadsheet would make of it."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

from jsonschema import Draft202012Validator

from boottop.files.documents import schema_of
from boottop.files.record_data import coats_csv, record_json
from boottop.files.record_schema import RecordDocument
from boottop.job.coding import event_of
from boottop.job.fold import fold
from boottop.record.record import Record
from tests.web.serving import Running


def test_the_finished_record_is_as_its_schema_says(finished: Running, record: Record) -> None:
    found = json.loads(record_json(record, finished.house.ledger.events(finished.job)))
    assert [*Draft202012Validator(schema_of(RecordDocument)).iter_errors(found)] == []
    assert found["schema"] == "boottop.record/1"


def test_the_log_in_the_data_makes_the_same_state(finished: Running, record: Record) -> None:
    """Whoever has the JSON has the log: folded again it says what the store says."""
    found = json.loads(record_json(record, finished.house.ledger.events(finished.job)))
    outer = ("seq", "received", "chain")
    events = [event_of({name: one[name] for name in one if name not in outer}) for one in found["log"]]
    assert fold(events) == finished.house.ledger.state(finished.job)
    assert found["log"][-1]["chain"] == record.chain.head


def test_every_coat_is_a_row_of_the_table(record: Record) -> None:
    rows = list(csv.DictReader(io.StringIO(coats_csv(record))))
    assert [(row["zone"], row["coat"]) for row in rows] == [(one.zone, str(one.coat.coat)) for one in record.coats]
    assert [float(row["volume[L]"]) for row in rows] == [one.coat.litres for one in record.coats]
    assert all(row["finished"].endswith("Z") for row in rows)


def test_a_name_that_a_spreadsheet_would_reckon_is_a_text(record: Record) -> None:
    first = record.coats[0]
    wild = replace(record, coats=(replace(first, coat=replace(first.coat, who="=HYPERLINK(1)")),))
    assert "'=HYPERLINK(1)" in coats_csv(wild)


def test_a_record_without_coats_is_an_empty_table(record: Record) -> None:
    assert coats_csv(replace(record, coats=())) == ""
