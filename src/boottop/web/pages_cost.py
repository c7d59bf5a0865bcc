"""Does it pay: the ways side by side, the cost document as text, and the proof from the boat's own log."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import InputError, Problem
from boottop.files.cost_job import facts_of, known_of, needs_plan
from boottop.files.cost_json import cost_document
from boottop.files.cost_log import LARGEST_BYTES
from boottop.files.cost_proof import prove_bytes, spans_of
from boottop.files.cost_sheet import COST_FILE, CostSheet, parse_cost
from boottop.files.cost_template import cost_text
from boottop.files.documents import as_json
from boottop.money.proof import WORTH_SHARE
from boottop.plan.plan import Plan
from boottop.report.cost_page import cost_body, cost_page
from boottop.report.cost_view import CostView, proof_of, view_of
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.pages import job_page, look_of, see
from boottop.web.pages_ashore import ashore_or_problems, download
from boottop.web.refused import not_found
from boottop.workflow import Ashore

router = APIRouter(prefix="/jobs/{job}")
COST_KIND = "plan"
"""Kept beside the plan, not among the papers of the job: a new price does not make the plan stale."""
LARGEST_TEXT = 200_000


def text_of(entry: Entry, ashore: Ashore | None) -> tuple[str, int]:
    """Text and version of the cost document; filled in from the sheet, version 0, where none is saved."""
    if entry.house.store.documents.versions(entry.job, kind=COST_KIND, name=COST_FILE):
        document = entry.house.store.documents.get(entry.job, kind=COST_KIND, name=COST_FILE)
        return document.text, document.version
    return ("" if ashore is None else cost_text(known_of(ashore))), 0


def _plan(entry: Entry, sheet: CostSheet) -> tuple[Plan | None, bool]:
    """The plan where the document asks for it, begun when there is none yet; and whether it is under way."""
    desk = entry.house.desk
    results = desk.results(entry.job)
    if results is not None and results.planned is not None:
        return results.planned.plan, False
    if not needs_plan(sheet):
        return None, False
    if desk.standing(entry.job).state in ("none", "ready") and entry.visitor.may("skipper"):
        desk.begin(entry.job, now=entry.house.job_now(entry.job))
    return None, desk.standing(entry.job).state == "computing"


def _view(entry: Entry, ashore: Ashore, text: str) -> tuple[CostView | None, bool]:
    """What is shown, None while the plan is under way; InputError with all that is wrong with the document."""
    sheet = parse_cost(text, currency=ashore.job.plan.currency)
    plan, waiting = _plan(entry, sheet)
    if waiting:
        return None, True
    return view_of(sheet, facts_of(ashore, plan, no_plan="the plan is not worked out: see the Plan page")), False


def _page(request: Request, entry: Entry, *, typed: str | None = None, **rest: Any) -> HTMLResponse:
    """The page; `typed`: a text that was not saved, with its `problems`."""
    ashore, problems = ashore_or_problems(entry)
    text, version = text_of(entry, ashore)
    view, waiting = None, False
    if ashore is not None and typed is None:
        try:
            view, waiting = _view(entry, ashore, text)
        except InputError as error:
            problems = error.problems
    problems = (*rest.get("problems", ()), *problems)
    days = _days(entry)
    page = job_page(
        request,
        entry,
        "cost",
        body="" if view is None else cost_body(view, system=look_of(request).units),
        shown=view is not None,
        problems=problems,
        waiting=waiting,
        standing=entry.house.desk.standing(entry.job),
        refresh_s=2 if waiting else None,
        made_up=version == 0 and ashore is not None,
        text=text if typed is None else typed,
        version=version,
        currency="" if ashore is None else ashore.job.plan.currency,
        may_edit=entry.visitor.may("skipper"),
        proof=rest.get("proof"),
        hauled=rest.get("hauled", days[0]),
        afloat=rest.get("afloat", days[1]),
    )
    page.status_code = rest.get("status", 200)
    return page


def _days(entry: Entry) -> tuple[str, str]:
    """Days of haul-out and launch by the plan, as a form has them; nothing while there is none."""
    results = entry.house.desk.results(entry.job)
    if results is None or results.planned is None:
        return "", ""
    plan, zone = results.planned.plan, ZoneInfo(results.ashore.job.plan.yard.zone_name)
    if plan.haul_out is None or plan.launch is None:
        return "", ""
    return plan.haul_out.astimezone(zone).date().isoformat(), plan.launch.astimezone(zone).date().isoformat()


@router.get("/cost")
def cost(entry: AsGuest, request: Request) -> HTMLResponse:
    """The ways side by side, and the document they come from."""
    return _page(request, entry)


@router.post("/cost")
async def save(entry: AsSkipper, request: Request) -> Response:
    """Save the cost document; one with mistakes is handed back with them."""
    form = await request.form(max_fields=10)
    return await run_in_threadpool(_save, entry, request, form)


def _save(entry: Entry, request: Request, form: FormData) -> Response:
    entry.house.take("edit", entry.visitor.session)
    typed, base = str(form.get("toml", "")).replace("\r\n", "\n"), str(form.get("base", ""))
    ashore, problems = ashore_or_problems(entry)
    try:
        if ashore is None:
            raise InputError(problems)
        _check_size(typed)
        parse_cost(typed, currency=ashore.job.plan.currency)
        entry.house.store.documents.put(
            entry.job, typed, kind=COST_KIND, name=COST_FILE, now=entry.house.now(),
            base=int(base) if base.isdecimal() else None,
        )  # fmt: skip
    except InputError as error:
        return _page(request, entry, typed=typed, problems=error.problems, status=422)
    return see(f"/jobs/{entry.job}/cost")


def _check_size(text: str) -> None:
    if len(text) > LARGEST_TEXT:
        raise InputError(
            Problem(
                where=COST_FILE,
                found=f"{len(text) / 1000:.0f} kB",
                allowed=f"{LARGEST_TEXT / 1000:.0f} kB at most",
                advice="Is this the cost document? It has a few kB.",
            )
        )


def _shown(entry: Entry) -> CostView:
    ashore = entry.house.desk.ashore(entry.job)
    view, _ = _view(entry, ashore, text_of(entry, ashore)[0])
    if view is None:
        raise not_found("cost")
    return view


@router.post("/cost/log")
async def prove_log(entry: AsSkipper, request: Request) -> Response:
    """What the boat's own log says; the files are looked at and not kept."""
    async with request.form(max_files=20, max_fields=10) as form:
        files = [
            (one.filename or "log", await one.read())
            for one in form.getlist("files")
            if isinstance(one, UploadFile) and (one.size or 0) <= LARGEST_BYTES
        ]
        days = str(form.get("hauled", "")), str(form.get("afloat", ""))
    return await run_in_threadpool(_prove, entry, request, files=files, days=days)


def _prove(entry: Entry, request: Request, *, files: list[tuple[str, bytes]], days: tuple[str, str]) -> Response:
    entry.house.take("edit", entry.visitor.session)
    given = {"hauled": days[0], "afloat": days[1]}
    try:
        ashore = entry.house.desk.ashore(entry.job)
        text, _ = text_of(entry, ashore)
        how = parse_cost(text, currency=ashore.job.plan.currency).log
        found, notes = prove_bytes(ashore.job, _some(files), spans_of(ashore.job, *days), how=how, worth=WORTH_SHARE)
    except InputError as error:
        return _page(request, entry, problems=error.problems, status=422, **given)
    return _page(request, entry, proof=proof_of(found, notes), **given)


def _some(files: list[tuple[str, bytes]]) -> list[tuple[str, bytes]]:
    if files:
        return files
    raise InputError(
        Problem(
            where="log files",
            found="none, or larger than 64 MB",
            allowed="one file or more, each of 64 MB at most",
            advice="Choose the log, or cut it to the runs that matter.",
        )
    )


@router.get("/cost.toml")
def cost_file(entry: AsGuest) -> Response:
    """The cost document as a file."""
    ashore, _ = ashore_or_problems(entry)
    return download(text_of(entry, ashore)[0].encode(), COST_FILE, "application/toml; charset=utf-8")


@router.get("/cost.html")
def cost_kept(entry: AsGuest, request: Request) -> Response:
    """The comparison as one page to keep or to send: the same that the command line writes."""
    text = cost_page(_shown(entry), system=look_of(request).units)
    return download(text.encode(), "cost.html", "text/html; charset=utf-8")


@router.get("/cost.json")
def cost_json(entry: AsGuest) -> Response:
    """The comparison as the command line prints it with --json."""
    view = _shown(entry)
    return download(
        as_json(cost_document(view.decision, boat=view.facts.boat)).encode(), "cost.json", "application/json"
    )
