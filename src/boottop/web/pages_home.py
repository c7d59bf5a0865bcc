"""Start page, joining, look: what is there before a job is open."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from boottop.base.errors import InputError, Problem
from boottop.web.api_session import Pairing, end_session, join
from boottop.web.auth import (
    AsKeeper,
    AsVisitor,
    clear_session,
    client_of,
    house_of,
    set_session,
    visitor_by_token,
    visitor_of,
)
from boottop.web.new_jobs import make_demo, make_imported, make_new
from boottop.web.pages import SYSTEMS, THEMES, back_of, render, see
from boottop.web.reading import files_of, model_of
from boottop.web.refused import Refused, not_paired

router = APIRouter()
YEAR_S = 365 * 86_400
SYSTEM_MARKS = (
    ("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"), ("Macintosh", "Mac"),
    ("CrOS", "Chromebook"), ("Linux", "Linux"),
)  # fmt: skip
BROWSER_MARKS = (
    ("Firefox", "Firefox"),
    ("Edg", "Edge"),
    ("Chrome", "Chrome"),
    ("CriOS", "Chrome"),
    ("Safari", "Safari"),
)
"""The first that fits; browsers name their ancestors too, so that the order matters (from memory)."""


@router.get("/")
def home(request: Request) -> Response:
    """The jobs of this computer; a paired phone's own job; else the page that asks for a code."""
    visitor = visitor_of(request)
    if visitor is None:
        return render(request, "join.html.j2", 401, problems=(), code="", who="", refused=False)
    if visitor.job is not None:
        return see(f"/jobs/{visitor.job}/today")
    return _start(request, ())


def _start(request: Request, problems: Any, status: int = 200) -> HTMLResponse:
    return render(request, "home.html.j2", status, jobs=house_of(request).store.jobs.all(), problems=problems)


@router.get("/enter")
def enter(request: Request, token: str = "") -> HTMLResponse:
    """Let the browser of this computer in, once, by the address that was printed.

    The way on is a page of its own, not a redirect: a cookie that is strictly this site's would not come along a
    redirect that began in another program.
    """
    house = house_of(request)
    house.take("enter", client_of(request))
    visitor = visitor_of(request)
    secret = house.local.redeem(token)
    if secret is None and (visitor is None or not visitor.local):
        raise not_paired()
    page = render(request, "entered.html.j2", refresh_s=0, refresh_to="/")
    if secret is not None:
        set_session(request, page, secret, local=True)
    return page


@router.get("/join")
def join_page(request: Request, code: str = "") -> HTMLResponse:
    """Where the QR code leads: the code is filled in, the name is asked for."""
    return render(request, "join.html.j2", problems=(), code=code[:40], who="", refused=False)


@router.post("/join")
async def join_form(request: Request) -> Response:
    """Join by the form."""
    form = await request.form()
    return await run_in_threadpool(_join, request, form)


def _join(request: Request, form: FormData) -> Response:
    code, who = _text(form, "code"), _text(form, "who")
    device = device_words(request.headers.get("user-agent", ""))
    try:
        asked = model_of(Pairing, {"code": code, "who": who, "device": f"{who[:30]}: {device}"})
        token = join(request, asked)
    except Refused as error:
        if error.status == 429:
            raise
        return render(request, "join.html.j2", 422, problems=error.problems, code=code, who=who, refused=False)
    house = house_of(request)
    visitor = visitor_by_token(house.store, token, now=house.now())
    assert visitor is not None
    answer = see(f"/jobs/{visitor.job}/today")
    set_session(request, answer, token)
    return answer


def device_words(agent: str) -> str:
    """What a browser says of itself, in words that tell one phone of the crew from another.

    >>> device_words("Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 Chrome/130.0.0.0 Mobile Safari/537.36")
    'Android, Chrome'
    """
    system = next((words for mark, words in SYSTEM_MARKS if mark in agent), "")
    browser = next((words for mark, words in BROWSER_MARKS if mark in agent), "")
    return ", ".join(part for part in (system, browser) if part) or "browser"


@router.post("/leave")
def leave(request: Request, visitor: AsVisitor) -> Response:
    """End the session of this device."""
    answer = see("/")
    end_session(request, visitor)
    clear_session(request, answer)
    return answer


@router.post("/look")
async def look(request: Request) -> Response:
    """Units and theme, kept in cookies that hold nothing else."""
    form = await request.form()
    answer = see(back_of(form.get("back")))
    for name, allowed in (("units", SYSTEMS), ("theme", THEMES)):
        value = form.get(name)
        if isinstance(value, str) and value in allowed:
            answer.set_cookie(name, value, max_age=YEAR_S, samesite="strict", httponly=True)
    return answer


@router.post("/new-job")
async def new_job(request: Request, _: AsKeeper) -> Response:
    """Make a job: the demonstration, an empty sheet, or files."""
    async with request.form(max_files=60, max_fields=20) as form:
        files = await files_of(form)
    return await run_in_threadpool(_make, request, form, files)


def _make(request: Request, form: FormData, files: dict[str, bytes]) -> Response:
    house, what = house_of(request), _text(form, "what")
    name = _text(form, "name") or "Bottom job"
    try:
        if what == "demo":
            return see(f"/jobs/{make_demo(house)}/plan")
        if what == "import":
            return see(f"/jobs/{make_imported(house, name, files)}/sheet")
        if what == "new":
            return see(f"/jobs/{make_new(house, name)}/sheet")
        raise InputError(
            Problem(
                where="what",
                found=repr(what[:40]) if what else "nothing",
                allowed="demo, new or import",
                advice="Use one of the three ways below; no job was made.",
            )
        )
    except InputError as error:
        return _start(request, error.problems, 422)


def _text(form: FormData, name: str) -> str:
    value = form.get(name)
    return value.strip() if isinstance(value, str) else ""
