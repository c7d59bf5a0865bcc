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
from boottop.web.forms_edit import edited, form_of
from boottop.web.forms_product import SECTIONS
from boottop.web.forms_typed import FIELDS_MAX, Typed, changed_text, field_names, refused_sheet
from boottop.web.pages import job_page, see
from boottop.web.pages_sheet import base_of, by_key, opened_text, readable
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
    fields = () if typed.toml is not None else field_names(changed, SECTIONS)
    return {"problems": keyed(_problems(changed, name), name, fields=fields)}


@router.get("/{name:path}")
def product(entry: AsGuest, request: Request, *, name: str, view: str = "form") -> HTMLResponse:
    """The sheet of one product."""
    text, version = _sheet(entry, name)
    return _page(request, entry, name, text=text, version=version, problems=_problems(text, name), view=view)


def _page(request: Request, entry: Entry, name: str, *, text: str, version: int, **rest: Any) -> HTMLResponse:
    problems: tuple[Problem, ...] = rest["problems"]
    view = "text" if rest.get("view") == "text" or not readable(text, name) else "form"
    page = job_page(
        request,
        entry,
        "sheet",
        text=text,
        version=version,
        form=(rest.get("form") or form_of(text, SECTIONS)) if view == "form" else [],
        view=view,
        problems=problems,
        by_key=by_key(problems, name, field_names(text, SECTIONS)),
        may_edit=entry.visitor.may("skipper"),
        files=[],
        where=f"product/{name}",
        what=f"product sheet {name}",
        scripts=("sheet.js",),
    )
    page.status_code = rest.get("status", 200)
    return page


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
        changed = changed_text(text, SECTIONS, typed)
        parse_toml(changed, path=Path(name), label=name)
        entry.house.cabinet.save(entry.job, name, changed, now=entry.house.now(), base=base_of(typed))
    except InputError as error:
        before = opened_text(entry, typed, kind=PRODUCT_SHEET, name=name, now=text)
        shown = refused_sheet(text, SECTIONS, typed, before=before)
        rest = shown | {"version": version, "problems": error.problems, "view": view, "status": 422}
        return _page(request, entry, name, **rest)
    return see(f"/jobs/{entry.job}/product/{name}" + ("?view=text" if view == "text" else ""))
