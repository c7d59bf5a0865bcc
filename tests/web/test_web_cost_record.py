"""The record's chapter on cost: there once a document is saved, with the log's own days, before the signatures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from boottop.files.cost_job import days_between
from boottop.report.record_pdf import Paper
from boottop.web.cost_desk import facts_for, save_text, text_of
from boottop.web.demo_record import make_finished_demo
from boottop.web.house import House
from boottop.web.record_desk import record_of
from boottop.web.record_files import paper_for, record_files
from boottop.web.serve import house_on, opened_store


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[House, str]]:
    """A store with the demonstration, carried out."""
    with (
        opened_store(str(Path(tmp_path_factory.mktemp("record"), "a.db")), create=True) as store,
        house_on(store) as made,
    ):
        yield made, make_finished_demo(made)


def _paper(house: tuple[House, str]) -> Paper:
    return paper_for(*house, record_of(*house), system="metric")


def _headings(paper: Paper) -> list[str]:
    return [one.text for one in paper.blocks if one.kind == "heading"]


def test_nothing_of_cost_until_a_document_is_saved(house: tuple[House, str]) -> None:
    assert "Does it pay" not in _headings(_paper(house))


def test_what_cannot_be_reckoned_says_why(house: tuple[House, str]) -> None:
    made, job = house
    text, _ = text_of(made, job, made.desk.ashore(job))
    save_text(made, job, text.replace("horizon", "horizont"), base=None)
    told = next(one.text for one in _paper(house).blocks if one.text.startswith("Not reckoned"))
    assert "cost.toml, line 6, horizont" in told


def test_the_chapter_has_the_days_of_the_log_and_stands_before_the_signatures(house: tuple[House, str]) -> None:
    made, job = house
    text, _ = text_of(made, job, made.desk.ashore(job))
    save_text(made, job, text.replace("horizont", "horizon"), base=None)
    paper, record = _paper(house), record_of(made, job)
    headings = _headings(paper)
    assert headings.index("Does it pay") < headings.index("Take care") < headings.index("Signed")
    assert record.hauled_s is not None
    assert record.launched_s is not None
    zone = made.desk.ashore(job).job.plan.yard.zone_name
    days = days_between(record.hauled_s, record.launched_s, zone, from_where="the log").days[0]
    planned = facts_for(made, job, made.desk.ashore(job)).days
    assert planned is not None
    assert abs(days - planned.days[0]) <= 1, "the demonstration is carried out as planned"
    assert {"cost-groups.svg", "cost-spread.svg"} <= set(paper.drawings)
    assert "var(--" not in paper.drawings["cost-groups.svg"]


def test_the_same_record_gives_the_same_pdf(house: tuple[House, str]) -> None:
    first, second = (record_files(*house).files for _ in range(2))
    names = [name for name in first if name.endswith(".pdf")]
    assert len(names) == 1
    assert first[names[0]][:5] == b"%PDF-"
    assert first.keys() == second.keys()
