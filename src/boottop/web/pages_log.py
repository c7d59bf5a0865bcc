"""The log: every event, with who and when twice over; striking and correcting by new events."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from boottop.base.clock import to_utc
from boottop.base.errors import InputError, Problem
from boottop.job.check import event_problems
from boottop.job.coding import time_text
from boottop.job.events import EVENT_KINDS, Event, Json
from boottop.job.settle import settle
from boottop.job.state import ODDITY_TEXT
from boottop.store.entry import Logged
from boottop.web.auth import AsGuest, AsHand, Entry
from boottop.web.pages import job_page, see

router = APIRouter(prefix="/jobs/{job}/log")
FIELD_KINDS = {
    "litres": "volume", "thrown_l": "volume", "batch_c": "temperature", "air_c": "temperature",
    "surface_c": "temperature", "humidity": "fraction", "wet_film_um": "film",
}  # fmt: skip
SHOWN_MAX = 500
_HASH = re.compile(r"[0-9a-f]{64}")


@router.get("")
def log(entry: AsGuest, request: Request, before: int = 0) -> HTMLResponse:
    """The newest events first, a page at a time."""
    return _page(request, entry, before=before)


def _page(
    request: Request, entry: Entry, *, before: int = 0, problems: tuple[Problem, ...] = (), status: int = 200
) -> HTMLResponse:
    events = entry.house.ledger.events(entry.job)
    settled = settle(one.event for one in events)
    zone, ahead = ZoneInfo(zone_of(entry)), timedelta(seconds=entry.house.clock(entry.job).offset_s)
    shown = [one for one in reversed(events) if not before or one.seq < before][:SHOWN_MAX]
    state = entry.house.ledger.state(entry.job)
    page = job_page(
        request,
        entry,
        "log",
        rows=[
            _row(
                replace(one, received=one.received + ahead),
                zone,
                struck=one.event.id in settled.struck,
                by=settled.corrected_by,
            )
            for one in shown
        ],
        oddities=[(ODDITY_TEXT[one.kind], one) for one in state.oddities],
        zone_name=zone.key,
        may_log=entry.visitor.may("hand"),
        older=shown[-1].seq if shown and shown[-1].seq > 1 else None,
        total=len(events),
        problems=problems,
        field_kinds=FIELD_KINDS,
        own_jobs=_own_jobs(entry),
    )
    page.status_code = status
    return page


def zone_of(entry: Entry) -> str:
    """The yard's time zone: by the board, else by the sheet, else UTC."""
    board = entry.house.desk.board(entry.job)
    if board is not None:
        return board.table.zone_name
    try:
        return entry.house.desk.ashore(entry.job).job.plan.yard.zone_name
    except InputError:
        return "UTC"


def _own_jobs(entry: Entry) -> list[str]:
    """Names of the sheet's own jobs, none while the sheet cannot be read."""
    try:
        return [job.name for job in entry.house.desk.ashore(entry.job).job.plan.extra_jobs]
    except InputError:
        return []


def clock_text(when: datetime, zone: ZoneInfo, *, seconds: bool = False) -> str:
    """A moment by the yard's clock; in an hour that comes twice with the name of its time, or nobody could tell."""
    local = when.astimezone(zone)
    text = f"{local:%a %d %b %H:%M:%S}" if seconds else f"{local:%a %d %b %H:%M}"
    return f"{text} {local:%Z}" if doubled(when, zone) else text


def doubled(when: datetime, zone: ZoneInfo) -> bool:
    """Whether the yard's clock shows the time of this moment twice."""
    local = when.astimezone(zone)
    return local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()


def clocks_go_back(when: datetime, zone: ZoneInfo) -> bool:
    """Whether the yard's clock goes back on the day of this moment."""
    day = when.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
    first, last = day.utcoffset(), (day + timedelta(days=1)).utcoffset()
    return first is not None and last is not None and first > last


def _row(logged: Logged, zone: ZoneInfo, *, struck: bool, by: dict[str, str]) -> dict[str, Any]:
    event = logged.event
    kind = EVENT_KINDS.get(event.kind)
    return {
        "seq": logged.seq,
        "id": event.id,
        "label": kind.label if kind else event.kind,
        "zone": event.zone or "",
        "happened": clock_text(event.happened, zone),
        "wall": f"{event.happened.astimezone(zone):%Y-%m-%dT%H:%M}",
        "second": doubled(event.happened, zone) and event.happened.astimezone(zone).fold == 1,
        "clocks_go_back": clocks_go_back(event.happened, zone),
        "recorded": clock_text(event.recorded, zone, seconds=True),
        "received": clock_text(logged.received, zone, seconds=True),
        "who": event.who,
        "device": event.device,
        "fields": list(_fields(event)),
        "photo": photo_of(event),
        "struck": struck,
        "corrected": event.id in by,
        "correction": event.kind == "correction",
    }


def photo_of(event: Event) -> str:
    """The hash by which a photograph is asked for, empty for other events."""
    found = event.data.get("sha256") if event.kind == "photo" else None
    return found if isinstance(found, str) and _HASH.fullmatch(found) else ""


def _fields(event: Event) -> Iterator[tuple[str, str, Json]]:
    """Name, kind of quantity (empty: as it is) and value of what an event carries."""
    for name, value in event.data.items():
        if event.kind == "photo" and name in ("sha256", "bytes"):
            continue
        kind = FIELD_KINDS.get(name, "")
        plain = value if isinstance(value, int | float) and not isinstance(value, bool) and kind else None
        text = ", ".join(f"{part} {lot}" for part, lot in value.items()) if isinstance(value, dict) else str(value)
        yield name, kind if plain is not None else "", plain if plain is not None else text


@router.post("/{what}")
async def correct(entry: AsHand, request: Request, what: str) -> Response:
    """Strike an event, correct its time, write a note or that other work is done: each a new event."""
    form = await request.form()
    return await run_in_threadpool(_correct, entry, request, what, form)


def _correct(entry: Entry, request: Request, what: str, form: FormData) -> Response:  # noqa: PLR0917 as its route has them
    now = entry.house.job_now(entry.job)
    try:
        kind, data = _data(what, form, ZoneInfo(zone_of(entry)))
        event = Event(
            id=str(uuid4()),
            kind=kind,
            happened=now,
            recorded=now,
            device=entry.visitor.device,
            order=int(now.timestamp() * 1000),
            who=entry.visitor.who,
            data=data,
        )
        problems = event_problems(event)
        if problems:
            raise InputError(problems)
        entry.house.store.append(entry.job, [event], now=entry.house.now()).check()
    except InputError as error:
        return _page(request, entry, problems=error.problems, status=422)
    entry.house.hub.tell(entry.job, "log", {"seq": entry.house.store.event_count(entry.job)})
    return see(f"/jobs/{entry.job}/log")


def _data(what: str, form: FormData, zone: ZoneInfo) -> tuple[str, dict[str, Json]]:
    text = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
    if what == "note":
        return "note", {"text": text.get("text", "")}
    if what == "work":
        return "other_work", {"work": text.get("work", "")}
    if what in ("strike", "restore"):
        return "correction", {"corrects": text.get("id", ""), "strike": "yes" if what == "strike" else "no"}
    if what == "time":
        wall = _wall(text.get("happened", ""))
        local = wall.replace(tzinfo=zone, fold=1 if text.get("which") == "second" else 0)
        twice = wall.tzinfo is None and "which" in text and doubled(local, zone)
        happened = time_text(local.astimezone(UTC) if twice else to_utc(wall, zone, where="happened"))
        return "correction", {"corrects": text.get("id", ""), "strike": "no", "happened": happened}
    raise InputError(
        Problem(
            where="log",
            found=repr(what[:40]),
            allowed="note, work, strike, restore, time",
            advice="Use the buttons.",
        )
    )


def _wall(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise InputError(
            Problem(
                where="happened",
                found=repr(text[:40]),
                allowed="a date and a time such as 2026-06-02T10:15",
                advice="Type the time as the yard's clock had it.",
            )
        ) from None
