"""Does it pay: the ways side by side, the cost document as text, and the proof from the boat's own log."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import InputError, Problem
from boottop.files.cost_job import needs_plan
from boottop.files.cost_json import cost_document
from boottop.files.cost_log import LARGEST_BYTES
from boottop.files.cost_proof import prove_bytes, spans_of
from boottop.files.cost_sheet import COST_FILE, parse_cost
from boottop.files.documents import as_json
from boottop.money.proof import WORTH_SHARE
from boottop.report.cost_page import cost_body, cost_page
from boottop.report.cost_view import CostView, proof_of, view_of
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.cost_desk import facts_for, plan_of, save_text, sheet_of, text_of
from boottop.web.pages import job_page, look_of, see
from boottop.web.pages_ashore import ashore_or_problems, download
from boottop.workflow import Ashore

router = APIRouter(prefix="/jobs/{job}")
LARGEST_TEXT = 200_000


def _waiting(entry: Entry, ashore: Ashore) -> bool:
    """Whether a plan that the document asks for is under way; begun when there is none yet and the visitor may."""
    house, desk = entry.house, entry.house.desk
    facts = facts_for(house, entry.job, ashore)
    if not needs_plan(sheet_of(house, entry.job, ashore)) or (facts.days is not None and facts.work_hours):
        return False
    if desk.results(entry.job) is not None:
        return False
    if desk.standing(entry.job).state in ("none", "ready") and entry.visitor.may("skipper"):
        desk.begin(entry.job, now=house.job_now(entry.job))
    return desk.standing(entry.job).state == "computing"


def _view(entry: Entry, ashore: Ashore) -> CostView:
    """What is shown; InputError with all that is wrong with the document."""
    return view_of(sheet_of(entry.house, entry.job, ashore), facts_for(entry.house, entry.job, ashore))


def _page(request: Request, entry: Entry, *, typed: str | None = None, **rest: Any) -> HTMLResponse:
    """The page; `typed`: a text that was not saved, with its `problems`."""
    ashore, problems = ashore_or_problems(entry)
    text, version = text_of(entry.house, entry.job, ashore)
    view, waiting = None, False
    if ashore is not None and typed is None:
        try:
            waiting = _waiting(entry, ashore)
            view = None if waiting else _view(entry, ashore)
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
    plan, ashore = plan_of(entry.house, entry.job), ashore_or_problems(entry)[0]
    if plan is None or ashore is None:
        return "", ""
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
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
        save_text(entry.house, entry.job, typed, base=int(base) if base.isdecimal() else None)
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
    return _view(entry, ashore)


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
        how = sheet_of(entry.house, entry.job, ashore).log
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
    return download(text_of(entry.house, entry.job, ashore)[0].encode(), COST_FILE, "application/toml; charset=utf-8")


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
