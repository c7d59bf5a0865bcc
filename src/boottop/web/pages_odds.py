"""When to haul, and how sure: the kept result of a study, and how to make one."""

from __future__ import annotations

import shlex
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import InputError, Problem
from boottop.files.documents import as_json
from boottop.files.odds_json import OddsDocument
from boottop.report.odds_of import LARGEST_BYTES
from boottop.report.odds_page import odds_body, odds_page
from boottop.store.documents import WEATHER
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.odds_desk import ODDS_NAME, keep_odds, kept_odds
from boottop.web.pages import job_page, see
from boottop.web.pages_ashore import ashore_or_problems, download
from boottop.web.papers import SHEET
from boottop.web.refused import not_found
from boottop.workflow import Ashore

router = APIRouter(prefix="/jobs/{job}")


def _page(request: Request, entry: Entry, *, problems: tuple[Problem, ...] = (), status: int = 200) -> HTMLResponse:
    ashore, wrong = ashore_or_problems(entry)
    document: OddsDocument | None = None
    try:
        document = kept_odds(entry.house, entry.job)
    except InputError as error:
        wrong = (*wrong, *error.problems)
    page = job_page(
        request,
        entry,
        "odds",
        problems=(*problems, *wrong),
        body="" if document is None else odds_body(document),
        document=document,
        other=_other(document, ashore),
        command=_command(entry, ashore),
        may_edit=entry.visitor.may("skipper"),
    )
    page.status_code = status
    return page


def _other(document: OddsDocument | None, ashore: Ashore | None) -> str:
    """What of a kept result is not of this job, in a sentence; nothing when it is."""
    if document is None or ashore is None:
        return ""
    job = ashore.job
    if document.boat != job.boat.name:
        return f"This result is of {document.boat}, and the job sheet is of {job.boat.name}."
    if document.currency != job.plan.currency:
        return f"This result counts in {document.currency}, and the job sheet in {job.plan.currency}."
    return ""


def _command(entry: Entry, ashore: Ashore | None) -> str:
    """The study of this job as it is typed: the job's own weather files, the crew of the sheet and one more."""
    files = [one.name for one in entry.house.store.documents.all(entry.job, kind=WEATHER)]
    weather = [word for name in files or ["years.csv"] for word in ("--weather", name)]
    people = 2 if ashore is None else ashore.job.plan.crew.people
    tent = ["--tent", "both"] if ashore is not None and ashore.job.plan.hire.tent_from is not None else []
    crew = ["--crew", str(people), "--crew", str(people + 1)]
    return shlex.join(["boottop", "odds", SHEET, *weather, *crew, *tent, "--save", ODDS_NAME])


@router.get("/odds")
def odds(entry: AsGuest, request: Request) -> HTMLResponse:
    """The kept result, and how to make one."""
    return _page(request, entry)


@router.post("/odds")
async def bring(entry: AsSkipper, request: Request) -> Response:
    """Bring in the result of a study; what is none is refused with what is wrong with it."""
    async with request.form(max_files=1, max_fields=4) as form:
        content, name = await _content(form)
    return await run_in_threadpool(_bring, entry, request, file=(content, name))


async def _content(form: FormData) -> tuple[bytes, str]:
    file: Any = form.get("file")
    if not isinstance(file, UploadFile):
        return b"", "the file"
    return await file.read(LARGEST_BYTES + 1), (file.filename or "the file")[:80]


def _bring(entry: Entry, request: Request, *, file: tuple[bytes, str]) -> Response:
    entry.house.take("edit", entry.visitor.session)
    try:
        keep_odds(entry.house, entry.job, file[0], where=file[1])
    except InputError as error:
        return _page(request, entry, problems=error.problems, status=422)
    return see(f"/jobs/{entry.job}/odds")


@router.get("/odds.html")
def odds_kept(entry: AsGuest) -> Response:
    """The result as one page to keep or to send: the same that the command line writes."""
    return download(odds_page(_kept(entry)).encode(), "odds.html", "text/html; charset=utf-8")


@router.get("/odds.json")
def odds_json(entry: AsGuest) -> Response:
    """The result as it was brought in."""
    return download(as_json(_kept(entry)).encode(), ODDS_NAME, "application/json")


def _kept(entry: Entry) -> OddsDocument:
    document = kept_odds(entry.house, entry.job)
    if document is None:
        raise not_found("study of the odds")
    return document
