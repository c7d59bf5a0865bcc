"""Crew and phones: pairing codes with their QR, who is paired, and taking it away again."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from urllib.parse import quote
from zoneinfo import ZoneInfo

import segno
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from boottop.base.errors import InputError, Problem
from boottop.store.people import ROLES
from boottop.web.auth import AsSkipper, Entry
from boottop.web.codes import Shown
from boottop.web.house import House
from boottop.web.pages import job_page, see
from boottop.web.pages_log import clock_text, zone_of

router = APIRouter(prefix="/jobs/{job}/crew")
VALID_MIN = {"15": "15 minutes", "120": "2 hours", "600": "10 hours"}


@router.get("")
def crew(entry: AsSkipper, request: Request) -> HTMLResponse:
    """Codes that are open and devices that are paired."""
    return _page(request, entry)


def _page(request: Request, entry: Entry, *, problems: tuple[Problem, ...] = (), status: int = 200) -> HTMLResponse:
    house, now = entry.house, entry.house.now()
    sessions, zone = house.store.people.sessions(entry.job, now=now), ZoneInfo(zone_of(entry))
    page = job_page(
        request,
        entry,
        "crew",
        codes=[_code(house, one, now) for one in house.codes.shown(entry.job, now=now)],
        sessions=[
            {"one": one, "own": one.id == entry.visitor.session, "since": clock_text(one.created, zone)}
            for one in sessions
        ],
        addresses=house.addresses,
        roles=ROLES,
        valid=VALID_MIN,
        problems=problems,
    )
    page.status_code = status
    return page


def _code(house: House, shown: Shown, now: datetime) -> dict[str, Any]:
    left_min = max(1, round((shown.expires - now) / timedelta(minutes=1)))
    address = f"{house.addresses[0]}/join?code={quote(shown.code)}" if house.addresses and shown.code else ""
    return {
        "id": shown.pairing,
        "spaced": f"{shown.code[:4]} {shown.code[4:]}",
        "role": shown.role,
        "left": f"{left_min} min",
        "qr": qr_svg(address) if address else "",
        "address": address,
    }


def qr_svg(text: str) -> str:
    """A QR code as an SVG element, dark on white in every theme."""
    return segno.make(text, error="m", micro=False).svg_inline(scale=6, border=4, light="#ffffff", dark="#000000")


@router.post("/{what}")
async def change(entry: AsSkipper, request: Request, what: str) -> Response:
    """Make a code, take a code back, end a device's session."""
    form = await request.form()
    return await run_in_threadpool(_change, entry, request, what, form)


def _change(entry: Entry, request: Request, what: str, form: FormData) -> Response:  # noqa: PLR0917 as its route has them
    entry.house.take("edit", entry.visitor.session)
    text = {name: value for name, value in form.items() if isinstance(value, str)}
    people, now = entry.house.store.people, entry.house.now()
    try:
        if what == "code":
            _make_code(entry, text)
        elif what == "revoke" and text.get("id") in {one.id for one in people.sessions(entry.job, now=now)}:
            people.revoke(text["id"], now=now)
            entry.house.hub.tell(entry.job, "crew", {})
        elif what == "forget" and text.get("id") in {one.id for one in people.pairings(entry.job, now=now)}:
            people.revoke_pairing(text["id"], now=now)
        else:
            raise _unknown(what)
    except InputError as error:
        return _page(request, entry, problems=error.problems, status=422)
    return see(f"/jobs/{entry.job}/crew")


def _make_code(entry: Entry, text: dict[str, str]) -> None:
    role = next((one for one in ROLES if one == text.get("role")), None)
    if role is None or text.get("valid") not in VALID_MIN:
        raise _unknown(f"{text.get('role')!r} for {text.get('valid')!r} minutes"[:80])
    valid_for = timedelta(minutes=int(text["valid"]))
    entry.house.codes.make(entry.job, role, now=entry.house.now(), valid_for=valid_for)


def _unknown(found: str) -> InputError:
    return InputError(
        Problem(
            where="crew",
            found=found[:80],
            allowed="a role of the list and a time of the list; a code or a device of this job",
            advice="Look at the page again: somebody may have changed it meanwhile.",
        )
    )
