"""The page that carries the board; the board itself is a program of its own."""

from __future__ import annotations

import json

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from boottop import __version__
from boottop.web.auth import AsGuest
from boottop.web.pages import job_page, look_of
from boottop.web.static_files import WEEK, board_version

router = APIRouter()


@router.get("/jobs/{job}/today")
def today(entry: AsGuest, request: Request) -> HTMLResponse:
    """Kept by the browser for a week, so that it opens with the server out of reach."""
    house, look, found = entry.house, look_of(request), entry.house.desk.board(entry.job)
    boot = {
        "job": entry.job,
        "job_name": house.store.jobs.get(entry.job).name,
        "role": entry.visitor.role,
        "who": entry.visitor.who,
        "units": look.units,
        "theme": look.theme,
        "time_zone": found.table.zone_name if found else "UTC",
        "server_version": __version__,
    }
    page = job_page(request, entry, "today", boot=json.dumps(boot), built=bool(board_version()))
    page.headers["Cache-Control"] = f"private, {WEEK}"
    return page
