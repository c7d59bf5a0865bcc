"""Areas and order: what follows from the sheet without weather."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from boottop.base.errors import InputError, Problem
from boottop.coating.cautions import Caution
from boottop.coating.mixing import BatchCard, card_for_kits
from boottop.coating.takeoff import SystemOrder
from boottop.files.document_of import (
    area_document,
    cautions_out,
    check_document,
    order_document,
    plan_document,
    windows_document,
)
from boottop.files.documents import Document, as_json
from boottop.files.order_csv import order_csv
from boottop.web.auth import AsGuest, Entry
from boottop.web.pages import job_page
from boottop.web.refused import not_found
from boottop.workflow import Ashore

router = APIRouter(prefix="/jobs/{job}")
DOCUMENTS_ASHORE: Mapping[str, Callable[[Ashore], Document]] = {
    "area": area_document,
    "check": check_document,
    "order": order_document,
}


def ashore_or_problems(entry: Entry) -> tuple[Ashore | None, tuple[Problem, ...]]:
    """The sheet as worked out, or what is wrong with it."""
    try:
        return entry.house.desk.ashore(entry.job), ()
    except InputError as error:
        return None, error.problems


@router.get("/areas")
def areas(entry: AsGuest, request: Request) -> HTMLResponse:
    """How much hull, by zone."""
    ashore, problems = ashore_or_problems(entry)
    area = area_document(ashore) if ashore else None
    return job_page(request, entry, "areas", area=area, problems=problems)


@router.get("/order")
def order(entry: AsGuest, request: Request) -> HTMLResponse:
    """What to buy, with the batch cards."""
    ashore, problems = ashore_or_problems(entry)
    values: dict[str, Any] = {"order": None, "problems": problems}
    if ashore is not None:
        order_out = order_document(ashore)
        values |= {
            "order": order_out,
            "lines": ashore.order.orders,
            "cards": [batch_card(ashore, line) for line in ashore.order.orders],
            "cautions": [caution.text for caution in _cautions(ashore)],
            "defers": list(dict.fromkeys(name for caution in _cautions(ashore) for name in caution.defers_to)),
        }
    return job_page(request, entry, "order", **values)


def batch_card(ashore: Ashore, line: SystemOrder) -> dict[str, Any]:
    """The card of one product's largest batch."""
    system = next(one for one in ashore.job.plan.systems if one.sheet.name == line.product)
    facts, kits = ashore.job.coating, max(coat.batches.kits_each for coat in line.coats)
    card: BatchCard = card_for_kits(system.sheet, kits, batch_c=facts.batch_c, usable_pot_life=facts.usable_pot_life)
    return {"card": card, "batch_c": facts.batch_c, "cautions": cautions_out(card.cautions)}


def _cautions(ashore: Ashore) -> tuple[Caution, ...]:
    return ashore.order.cautions


@router.get("/order.csv")
def order_table(entry: AsGuest) -> Response:
    """The order for a spreadsheet."""
    ashore = entry.house.desk.ashore(entry.job)
    text = order_csv(ashore.order, currency=ashore.job.plan.currency)
    return download(text.encode(), "order.csv", "text/csv; charset=utf-8")


@router.get("/{what}.json")
def document(entry: AsGuest, what: str) -> Response:
    """The documents that the command line prints with --json."""
    return download(as_json(_document(entry, what)).encode(), f"{what}.json", "application/json")


def _document(entry: Entry, what: str) -> Document:
    if what in DOCUMENTS_ASHORE:
        return DOCUMENTS_ASHORE[what](entry.house.desk.ashore(entry.job))
    results = entry.house.desk.results(entry.job)
    if results is not None and what == "windows":
        return windows_document(results.ashore, results.outlook)
    if results is not None and results.planned is not None and what == "plan":
        return plan_document(results.ashore, results.outlook, results.planned)
    raise not_found(f"document {what[:40]}")


def download(content: bytes, name: str, media_type: str) -> Response:
    """A file to keep."""
    return Response(content, media_type=media_type, headers={"Content-Disposition": f'attachment; filename="{name}"'})
