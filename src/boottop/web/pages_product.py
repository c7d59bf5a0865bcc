"""A product sheet of a job, as forms and as text."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from boottop.base.errors import InputError, Problem
from boottop.files.jobsheet_text import parse_toml
from boottop.store.documents import PRODUCT_SHEET
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.forms_check import keyed, product_problems
from boottop.web.forms_edit import added, edited, form_of, removed
from boottop.web.forms_product import SECTIONS
from boottop.web.pages import job_page, see
from boottop.web.pages_sheet import CONTROLS, FIELDS_MAX, Typed
from boottop.web.papers import SHEET, good_name
from boottop.web.reading import json_body, model_of
from boottop.web.refused import not_found

router = APIRouter(prefix="/jobs/{job}/product")
Body = Annotated[Any, Depends(json_body)]


def _sheet(entry: Entry, name: str) -> tuple[str, int]:
    if not good_name(name) or name == SHEET or not name.endswith(".toml"):
        raise not_found("product sheet")
    try:
        document = entry.house.store.documents.get(entry.job, kind=PRODUCT_SHEET, name=name)
    except InputError:
        raise not_found("product sheet") from None
    return document.content.decode("utf-8", "replace"), document.version


def _problems(text: str, name: str) -> tuple[Problem, ...]:
    with tempfile.TemporaryDirectory(prefix="boottop-") as folder:
        return product_problems(text, name, Path(folder))


@router.post("/check/{name:path}")
def check(entry: AsSkipper, name: str, body: Body) -> dict[str, Any]:
    """All that would be wrong with the product sheet if what was typed were saved."""
    entry.house.take("edit", entry.visitor.session)
    typed = model_of(Typed, body)
    text, _ = _sheet(entry, name)
    try:
        changed = typed.toml if typed.toml is not None else edited(text, SECTIONS, typed.fields or {})
    except InputError as error:
        return {"problems": keyed(error.problems, name)}
    return {"problems": keyed(_problems(changed, name), name)}


@router.get("/{name:path}")
def product(entry: AsGuest, request: Request, *, name: str, view: str = "form") -> HTMLResponse:
    """The sheet of one product."""
    text, version = _sheet(entry, name)
    return _page(request, entry, name, text=text, version=version, problems=_problems(text, name), view=view)


def _page(request: Request, entry: Entry, name: str, *, text: str, version: int, **rest: Any) -> HTMLResponse:
    problems: tuple[Problem, ...] = rest["problems"]
    view = "text" if rest.get("view") == "text" or not _readable(text, name) else "form"
    by_key: dict[str, list[dict[str, Any]]] = {}
    for one in keyed(problems, name):
        by_key.setdefault(one["key"], []).append(one)
    page = job_page(
        request,
        entry,
        "sheet",
        text=text,
        version=version,
        form=form_of(text, SECTIONS) if view == "form" else [],
        view=view,
        problems=problems,
        by_key=by_key,
        may_edit=entry.visitor.may("skipper"),
        files=[],
        where=f"product/{name}",
        what=f"product sheet {name}",
        scripts=("sheet.js",),
    )
    page.status_code = rest.get("status", 200)
    return page


def _readable(text: str, name: str) -> bool:
    try:
        parse_toml(text, path=Path(name), label=name)
    except InputError:
        return False
    return True


@router.post("/{name:path}")
async def save(entry: AsSkipper, request: Request, name: str) -> Response:
    """Save the sheet of one product."""
    form = await request.form(max_fields=FIELDS_MAX)
    return await run_in_threadpool(_save, entry, request, name, form)


def _save(entry: Entry, request: Request, name: str, form: FormData) -> Response:  # noqa: PLR0917 as its route has them
    entry.house.take("edit", entry.visitor.session)
    typed = {key: value for key, value in form.multi_items() if isinstance(value, str)}
    text, version = _sheet(entry, name)
    view = "text" if "toml" in typed else "form"
    try:
        changed = _changed(text, typed)
        parse_toml(changed, path=Path(name), label=name)
        base = int(typed.get("base", "")) if typed.get("base", "").isdecimal() else None
        entry.house.cabinet.save(entry.job, name, changed, now=entry.house.now(), base=base)
    except InputError as error:
        shown = typed.get("toml", text)
        return _page(request, entry, name, text=shown, version=version, problems=error.problems, view=view, status=422)
    return see(f"/jobs/{entry.job}/product/{name}" + ("?view=text" if view == "text" else ""))


def _changed(text: str, typed: dict[str, str]) -> str:
    if "toml" in typed:
        return typed["toml"].replace("\r\n", "\n")
    what, _, name = typed.get("change", "").partition(" ")
    changed = edited(text, SECTIONS, {key: value for key, value in typed.items() if key not in CONTROLS})
    if what == "add":
        return added(changed, SECTIONS, name)
    return removed(changed, SECTIONS, name) if what == "remove" else changed
