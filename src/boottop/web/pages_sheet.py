"""The Job page: the sheet as forms and as text, with live checks, and the files that lie with it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from boottop.base.errors import InputError, Problem
from boottop.files.jobsheet_text import parse_toml
from boottop.files.template import template_text
from boottop.store.documents import JOB_SHEET, Document
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.forms_check import keyed, sheet_problems
from boottop.web.forms_edit import edited, form_of
from boottop.web.forms_job import SECTIONS
from boottop.web.forms_typed import FIELDS_MAX, Typed, changed_text, field_names, refused_sheet
from boottop.web.pages import job_page, see
from boottop.web.pages_ashore import download
from boottop.web.papers import FILE_KINDS, SHEET, good_name, kind_of
from boottop.web.reading import files_of, json_body, model_of
from boottop.web.refused import not_found

router = APIRouter(prefix="/jobs/{job}")
Body = Annotated[Any, Depends(json_body)]


def sheet_of(entry: Entry) -> tuple[str, int]:
    """Text and version of the sheet; the template, version 0, for a job without one."""
    try:
        document = entry.house.store.documents.get(entry.job, kind=JOB_SHEET, name=SHEET)
    except InputError:
        return template_text(), 0
    return document.content.decode("utf-8", "replace"), document.version


def opened_text(entry: Entry, typed: Mapping[str, str], *, kind: str, name: str, now: str) -> str:
    """A sheet as it was when the form that was sent was opened; `now`, as it stands, where that is not known."""
    base = base_of(typed)
    try:
        found = entry.house.store.documents.get(entry.job, kind=kind, name=name, version=base) if base else None
    except InputError:
        return now
    return found.content.decode("utf-8", "replace") if found else now


def base_of(typed: Mapping[str, str]) -> int | None:
    """The version that a form was opened from, as the form says."""
    base = typed.get("base", "")
    return int(base) if base.isdecimal() and len(base) < 10 else None


@router.get("/sheet")
def sheet(entry: AsGuest, request: Request, view: str = "form") -> HTMLResponse:
    """The sheet, as forms or as text."""
    text, version = sheet_of(entry)
    problems = sheet_problems(text, entry.house.cabinet.papers(entry.job).folder)
    return _page(request, entry, text=text, version=version, problems=problems, view=view)


def _page(request: Request, entry: Entry, *, text: str, version: int, **rest: Any) -> HTMLResponse:
    problems: tuple[Problem, ...] = rest["problems"]
    view = "text" if rest.get("view") == "text" or not readable(text, SHEET) else "form"
    form = (rest.get("form") or form_of(text, SECTIONS)) if view == "form" else []
    files = [one for kind in FILE_KINDS for one in entry.house.store.documents.all(entry.job, kind=kind)]
    page = job_page(
        request,
        entry,
        "sheet",
        text=text,
        version=version,
        form=form,
        view=view,
        problems=problems,
        by_key=by_key(problems, SHEET, field_names(text, SECTIONS)),
        may_edit=entry.visitor.may("skipper"),
        files=[_file(one) for one in files],
        where="sheet",
        what="job sheet",
        scripts=("sheet.js",),
    )
    page.status_code = rest.get("status", 200)
    return page


def by_key(problems: Iterable[Problem], file: str, fields: Collection[str]) -> dict[str, list[dict[str, Any]]]:
    """Problems by the name of the field that they stand at."""
    found: dict[str, list[dict[str, Any]]] = {}
    for one in keyed(problems, file, fields=fields):
        found.setdefault(one["key"], []).append(one)
    return found


def readable(text: str, name: str) -> bool:
    """Whether a text is TOML, so that a form can show it."""
    try:
        parse_toml(text, path=Path(name), label=name)
    except InputError:
        return False
    return True


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
        changed = changed_text(text, SECTIONS, typed)
        parse_toml(changed, path=Path(SHEET), label=SHEET)
        entry.house.cabinet.save(entry.job, SHEET, changed, now=entry.house.now(), base=base_of(typed))
    except InputError as error:
        before = opened_text(entry, typed, kind=JOB_SHEET, name=SHEET, now=text)
        shown = refused_sheet(text, SECTIONS, typed, before=before)
        rest = shown | {"version": version, "problems": error.problems, "view": view, "status": 422}
        return _page(request, entry, **rest)
    return see(f"/jobs/{entry.job}/sheet" + ("?view=text" if view == "text" else ""))


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
    fields = () if typed.toml is not None else field_names(changed, SECTIONS)
    return {"problems": keyed(sheet_problems(changed, folder), fields=fields)}


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
        files = await files_of(form)
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
