"""The result of a study of the odds that is kept with a job."""

from __future__ import annotations

from functools import lru_cache

from boottop.base.errors import InputError
from boottop.files.cost_case import DaysAshore
from boottop.files.odds_json import OddsDocument
from boottop.report.odds_of import read_odds
from boottop.web.house import House

ODDS_KIND, ODDS_NAME = "plan", "odds.json"
"""Kept beside the plan, not among the papers of the job: a new study does not make the plan stale."""


def keep_odds(house: House, job: str, content: bytes, *, where: str) -> OddsDocument:
    """Keep a result that `boottop odds --save` wrote; InputError when it is none."""
    document = read_odds(content, where=where)
    house.store.documents.put(job, content.decode("utf-8"), kind=ODDS_KIND, name=ODDS_NAME, now=house.now())
    return document


def kept_odds(house: House, job: str) -> OddsDocument | None:
    """The newest result that is kept; None without one, InputError when this version cannot read it."""
    if not house.store.documents.versions(job, kind=ODDS_KIND, name=ODDS_NAME):
        return None
    return _read(house.store.documents.get(job, kind=ODDS_KIND, name=ODDS_NAME).text)


@lru_cache(maxsize=8)
def _read(text: str) -> OddsDocument:
    return read_odds(text, where=f"{ODDS_NAME}, as it was kept")


def days_ashore(house: House, job: str) -> DaysAshore | None:
    """Days ashore by the kept odds; None without a result, or where no start of its week was afloat in time."""
    try:
        document = kept_odds(house, job)
    except InputError:  # the Odds page says so
        return None
    if document is None or not document.days_ashore:
        return None
    of = document.days_ashore_of
    out = f", {of.left_out} of {of.starts} starts left out that were not afloat in time" if of.left_out else ""
    return DaysAshore(
        days=tuple(document.days_ashore), from_where=f"the odds ({of.option}, week of {of.week_of}, {of.place}{out})"
    )
