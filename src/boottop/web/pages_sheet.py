"""The Job page: the sheet as forms and as text, with live checks, and the files that lie with it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import InputError, Problem
from boottop.files.jobsheet_text import parse_toml
from boottop.files.template import template_text
from boottop.store.documents import JOB_SHEET, Document
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.forms_check import keyed, sheet_problems
from boottop.web.forms_edit import added, edited, form_of, removed
from boottop.web.forms_job import SECTIONS
from boottop.web.pages import job_page, see
from boottop.web.pages_ashore import download
from boottop.web.papers import FILE_KINDS, SHEET, good_name, kind_of
from boottop.web.reading import Asked, json_body, model_of
from boottop.web.refused import not_found

router = APIRouter(prefix="/jobs/{job}")
Body = Annotated[Any, Depends(json_body)]
FIELDS_MAX = 4000
CONTROLS = ("base", "change")


class Typed(Asked):
    """What was typed: fields by name, or the whole text."""

    fields: dict[str, str] | None = None
    toml: str | None = None


def sheet_of(entry: Entry) -> tuple[str, int]:
    """Text and version of the sheet; the template, version 0, for a job without one."""
    try:
        document = entry.house.store.documents.get(entry.job, kind=JOB_SHEET, name=SHEET)
    except InputError:
        return template_text(), 0
    return document.text, document.version


@router.get("/sheet")
def sheet(entry: AsGuest, request: Request, view: str = "form") -> HTMLResponse:
    """The sheet, as forms or as text."""
    text, version = sheet_of(entry)
    problems = sheet_problems(text, entry.house.cabinet.papers(entry.job).folder)
    return _page(request, entry, text=text, version=version, problems=problems, view=view)


def _page(request: Request, entry: Entry, *, text: str, version: int, **rest: Any) -> HTMLResponse:
    problems: tuple[Problem, ...] = rest["problems"]
    files = [one for kind in FILE_KINDS for one in entry.house.store.documents.all(entry.job, kind=kind)]
    page = job_page(
        request,
        entry,
        "sheet",
        text=text,
        version=version,
        form=form_of(text, SECTIONS) if rest.get("view") != "text" else [],
        view="text" if rest.get("view") == "text" else "form",
        problems=problems,
        by_key=_by_key(problems),
        may_edit=entry.visitor.may("skipper"),
        files=[_file(one) for one in files],
        where="sheet",
        what="job sheet",
        scripts=("sheet.js",),
    )
    page.status_code = rest.get("status", 200)
    return page


def _by_key(problems: tuple[Problem, ...]) -> dict[str, list[dict[str, Any]]]:
    """Problems by the name of the field that they stand at."""
    found: dict[str, list[dict[str, Any]]] = {}
    for one in keyed(problems):
        found.setdefault(one["key"], []).append(one)
    return found


def _file(one: Document) -> dict[str, Any]:
    return {
        "name": one.name,
        "kind": one.kind,
        "bytes": len(one.content),
        "version": one.version,
        "url": quote(one.name),
    }


@router.post("/sheet")
async def save(entry: AsSkipper, request: Request) -> Response:
    """Save the sheet from the form or from the text."""
    form = await request.form(max_fields=FIELDS_MAX)
    return await run_in_threadpool(_save, entry, request, form)


def _save(entry: Entry, request: Request, form: FormData) -> Response:
    entry.house.take("edit", entry.visitor.session)
    typed = {name: value for name, value in form.multi_items() if isinstance(value, str)}
    text, version = sheet_of(entry)
    view = "text" if "toml" in typed else "form"
    try:
        changed = _changed(text, typed)
        form_of(changed, SECTIONS) if view == "form" else _readable(changed)
        base = int(typed.get("base", "")) if typed.get("base", "").isdecimal() else None
        entry.house.cabinet.save(entry.job, SHEET, changed, now=entry.house.now(), base=base)
    except InputError as error:
        shown = typed.get("toml", text)
        return _page(request, entry, text=shown, version=version, problems=error.problems, view=view, status=422)
    return see(f"/jobs/{entry.job}/sheet" + ("?view=text" if view == "text" else ""))


def _changed(text: str, typed: dict[str, str]) -> str:
    if "toml" in typed:
        return typed["toml"].replace("\r\n", "\n")
    what, _, name = typed.get("change", "").partition(" ")
    changed = edited(text, SECTIONS, {key: value for key, value in typed.items() if key not in CONTROLS})
    if what == "add":
        return added(changed, SECTIONS, name)
    return removed(changed, SECTIONS, name) if what == "remove" else changed


def _readable(text: str) -> None:
    """A text is saved with mistakes in it, for they are shown; but it must be TOML, or no form could show it."""
    parse_toml(text, path=Path(SHEET), label=SHEET)


@router.post("/sheet/check")
def check(entry: AsSkipper, body: Body) -> dict[str, Any]:
    """All that would be wrong with the sheet if what was typed were saved."""
    entry.house.take("edit", entry.visitor.session)
    typed = model_of(Typed, body)
    text, _ = sheet_of(entry)
    folder = entry.house.cabinet.papers(entry.job).folder
    try:
        changed = typed.toml if typed.toml is not None else edited(text, SECTIONS, typed.fields or {})
    except InputError as error:
        return {"problems": keyed(error.problems)}
    return {"problems": keyed(sheet_problems(changed, folder))}


@router.get("/sheet.toml")
def sheet_file(entry: AsGuest) -> Response:
    """The sheet as a file."""
    return download(sheet_of(entry)[0].encode(), SHEET, "application/toml; charset=utf-8")


@router.get("/documents/{name:path}")
def document(entry: AsGuest, name: str) -> Response:
    """A file of the job."""
    if not good_name(name):
        raise not_found("file")
    try:
        found = entry.house.store.documents.get(entry.job, kind=kind_of(name), name=name)
    except InputError:
        raise not_found("file") from None
    return download(found.content, name.rpartition("/")[2], "application/octet-stream")


@router.post("/documents")
async def upload(entry: AsSkipper, request: Request) -> Response:
    """Bring files in, or take one away. A file with the name of one that is there is a newer version of it."""
    async with request.form(max_files=60, max_fields=20) as form:
        files = {
            one.filename: await one.read()
            for one in form.getlist("files")
            if isinstance(one, UploadFile) and one.filename
        }
    return await run_in_threadpool(_upload, entry, request, form, files)


def _upload(entry: Entry, request: Request, form: FormData, files: dict[str, bytes]) -> Response:  # noqa: PLR0917 the request with its two halves
    entry.house.take("edit", entry.visitor.session)
    there = {one.name for kind in FILE_KINDS for one in entry.house.store.documents.all(entry.job, kind=kind)}
    by_last = {name.rpartition("/")[2]: name for name in there}
    gone = form.get("remove")
    try:
        if isinstance(gone, str) and gone != SHEET:
            entry.house.cabinet.remove(entry.job, gone, now=entry.house.now())
        for name, content in files.items():
            last = name.replace("\\", "/").rpartition("/")[2]
            entry.house.cabinet.save(entry.job, by_last.get(last, last), content, now=entry.house.now())
    except InputError as error:
        text, version = sheet_of(entry)
        return _page(request, entry, text=text, version=version, problems=error.problems, view="form", status=422)
    return see(f"/jobs/{entry.job}/sheet#files")
