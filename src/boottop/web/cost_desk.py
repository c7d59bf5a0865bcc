"""The cost document of a job in the store, and the facts of the plan that it was last saved with."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from boottop.base.quantities import System
from boottop.files.cost_case import DaysAshore, JobFacts
from boottop.files.cost_job import days_between, facts_of, known_of
from boottop.files.cost_sheet import COST_FILE, CostSheet, parse_cost
from boottop.files.cost_template import cost_text
from boottop.plan.plan import Plan
from boottop.record.record import Record
from boottop.report.cost_record import cost_blocks
from boottop.report.cost_view import view_of
from boottop.report.record_pdf import Paper
from boottop.web.house import House
from boottop.web.odds_desk import days_ashore
from boottop.workflow import Ashore

COST_KIND = "plan"
"""Kept beside the plan, not among the papers of the job: a new price does not make the plan stale."""
FACTS_FILE = "cost-facts.json"
BEFORE = ("heading", "Take care")
"""The chapter of a record that cost is put in front of: nothing comes after the signatures."""


def text_of(house: House, job: str, ashore: Ashore | None) -> tuple[str, int]:
    """Text and version of the cost document; filled in from the sheet, version 0, where none is saved."""
    if house.store.documents.versions(job, kind=COST_KIND, name=COST_FILE):
        document = house.store.documents.get(job, kind=COST_KIND, name=COST_FILE)
        return document.text, document.version
    return ("" if ashore is None else cost_text(known_of(ashore))), 0


def save_text(house: House, job: str, text: str, *, base: int | None) -> None:
    """Keep a new version, and beside it the plan's days and hours where a plan is worked out."""
    house.store.documents.put(job, text, kind=COST_KIND, name=COST_FILE, now=house.now(), base=base)
    plan = plan_of(house, job)
    if plan is not None:
        facts = facts_of(house.desk.ashore(job), plan)
        kept = {"days": [*facts.days.days] if facts.days else [], "hours": [*facts.work_hours]}
        house.store.documents.put(job, json.dumps(kept), kind=COST_KIND, name=FACTS_FILE, now=house.now())


def plan_of(house: House, job: str) -> Plan | None:
    """The plan worked out since the server was started."""
    results = house.desk.results(job)
    return results.planned.plan if results is not None and results.planned is not None else None


def facts_for(house: House, job: str, ashore: Ashore) -> JobFacts:
    """What the job gives: from the plan, else from what was kept with the cost document; days by the odds where a study
    of them is kept."""
    odds, no_plan = days_ashore(house, job), "the plan is not worked out: see the Plan page"
    facts = facts_of(ashore, plan_of(house, job), odds=odds, no_plan=no_plan)
    if (facts.days is not None and facts.work_hours) or not house.store.documents.versions(
        job, kind=COST_KIND, name=FACTS_FILE
    ):
        return facts
    kept: Any = json.loads(house.store.documents.get(job, kind=COST_KIND, name=FACTS_FILE).text)
    days = DaysAshore(days=tuple(kept["days"]), from_where="the plan, when the cost was last saved")
    return replace(facts, days=facts.days or (days if days.days else None), work_hours=tuple(kept["hours"]))


def sheet_of(house: House, job: str, ashore: Ashore) -> CostSheet:
    """The cost document as read; InputError with all that is wrong with it."""
    return parse_cost(text_of(house, job, ashore)[0], currency=ashore.job.plan.currency)


def with_cost(paper: Paper, house: House, job: str, *, record: Record, system: System) -> Paper:
    """A record with its chapter on cost, where a cost document was saved; with the days really ashore once the log
    has them."""
    if not house.store.documents.versions(job, kind=COST_KIND, name=COST_FILE):
        return paper
    ashore = house.desk.ashore(job)
    facts = facts_for(house, job, ashore)
    if record.hauled_s is not None and record.launched_s is not None:
        zone = ashore.job.plan.yard.zone_name
        facts = replace(facts, days=days_between(record.hauled_s, record.launched_s, zone, from_where="the log"))
    blocks, drawings = cost_blocks(lambda: view_of(sheet_of(house, job, ashore), facts), system=system)
    at = next((n for n, one in enumerate(paper.blocks) if (one.kind, one.text) == BEFORE), len(paper.blocks))
    return replace(
        paper,
        blocks=(*paper.blocks[:at], *blocks, *paper.blocks[at:]),
        drawings={**paper.drawings, **drawings},
    )
