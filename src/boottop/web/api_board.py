"""The board's interface: table, events, replan, live stream. docs/api.md describes it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import JSONResponse, Response
from sse_starlette import EventSourceResponse

from boottop.base.errors import InputError, Problem
from boottop.job.check import FIRST, event_problems
from boottop.job.coding import event_dict, event_of, plain
from boottop.job.events import Event
from boottop.store.log import Appended
from boottop.web.auth import AsGuest, AsHand, AsSkipper, Entry, local_secret, session_token, visitor_by_token
from boottop.web.house import House
from boottop.web.live import stream
from boottop.web.reading import json_body
from boottop.web.refused import Refused, problems_out, refused

router = APIRouter(prefix="/api/jobs/{job}")
Body = Annotated[Any, Depends(json_body)]
EVENTS_MAX = 500
EVENTS_READ_MAX = 2000
AHEAD = timedelta(minutes=2)


@router.get("/board")
def board(entry: AsGuest, request: Request) -> Response:
    """The board table that is in force, and how the work on a newer one stands."""
    house, job = entry.house, entry.job
    standing, found = house.desk.standing(job), house.desk.board(job)
    if standing.state == "none" and entry.visitor.may("skipper"):
        house.desk.begin(job, now=house.job_now(job))
        standing = house.desk.standing(job)
    version = found.version if found else ""
    tag = f'"{version}-{standing.state}-{house.store.event_count(job)}-{int(house.desk.stale(job))}"'
    if found is not None and standing.state == "ready" and request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers={"ETag": tag})
    out = {
        "schema": "boottop.board/1",
        "version": version,
        "state": standing.state,
        "words": standing.words,
        "table": found.coded if found else None,
        "learned": plain(house.ledger.learned(job, found.table if found else None)),
        "clock": {"offset_s": house.clock(job).offset_s, "words": house.clock(job).words},
        "server_s": int(house.now().timestamp()),
        "stale": "The job sheet was changed after this board was made: plan anew." if house.desk.stale(job) else "",
        "changes": list(found.changes) if found else [],
        "problems": problems_out(standing.problems),
    }
    return JSONResponse(out, headers={"ETag": tag, "Cache-Control": "no-cache"})


@router.post("/replan")
def replan(entry: AsSkipper) -> JSONResponse:
    """Work out a new plan and board from the newest weather and the log."""
    entry.house.take("plan", entry.visitor.session)
    entry.house.desk.begin(entry.job, now=entry.house.job_now(entry.job))
    return JSONResponse({"state": entry.house.desk.standing(entry.job).state}, 202)


@router.get("/events")
def events(
    entry: AsGuest,
    after: Annotated[int, Query(ge=0, le=2**53)] = 0,
    limit: Annotated[int, Query(ge=1, le=EVENTS_READ_MAX)] = EVENTS_READ_MAX,
) -> dict[str, Any]:
    """The log beyond a place, in the order of arrival."""
    house, job = entry.house, entry.job
    found = house.store.events_after(job, after, limit=limit)
    highest = house.store.event_count(job)
    held = house.desk.board(job)
    return {
        "schema": "boottop.events/1",
        "events": [
            {"seq": one.seq, "received_s": int(one.received.timestamp()), "event": event_dict(one.event)}
            for one in found
        ],
        "seq": highest,
        "more": bool(found) and found[-1].seq < highest,
        "learned": plain(house.ledger.learned(job, held.table if held else None)),
        "server_s": int(house.now().timestamp()),
    }


@router.post("/events")
def append_events(entry: AsHand, body: Body) -> JSONResponse:
    """Write events down; each once, each answered for."""
    house, job = entry.house, entry.job
    house.take("log", entry.visitor.session)
    batch = body.get("events") if isinstance(body, dict) and set(body) == {"events"} else None
    if not isinstance(batch, list) or len(batch) > EVENTS_MAX:
        raise refused(
            422,
            "request",
            found="no list of events, or too many at once",
            allowed=f'{{"events": [...]}} with at most {EVENTS_MAX}',
            advice="Send the queue in parts, oldest first.",
        )
    good: list[Event] = []
    bad: list[dict[str, Any]] = []
    for place, found in enumerate(batch):
        event = _event(found, place)
        if isinstance(event, Event):
            good.append(event)
        else:
            bad.append(event)
    appended = _append(house, job, good)
    seq = house.store.event_count(job)
    if appended.added:
        house.hub.tell(job, "log", {"seq": seq})
    late = [{"id": ref.id, "conflict": ref.conflict, "problem": vars(ref.problem)} for ref in appended.refused]
    out = {
        "schema": "boottop.answer/1",
        "acknowledged": list(appended.acknowledged),
        "refused": [*bad, *late],
        "odd": list(_odd(good, entry)),
        "seq": seq,
        "server_s": int(house.now().timestamp()),
    }
    return JSONResponse(out)


def _event(found: object, place: int) -> Event | dict[str, Any]:
    """An event that is fit to be written down, or the refusal of it."""
    ident = found.get("id") if isinstance(found, dict) else None
    try:
        if not isinstance(found, dict):
            raise InputError(
                Problem(where="event", found="no object", allowed="an event", advice="Send an event as an object.")
            )
        event = event_of(found)
        problems = event_problems(event)
    except InputError as error:
        problems = list(error.problems)
    except (ValueError, OverflowError, RecursionError, TypeError):
        problems = [
            Problem(where="event", found="a value that cannot be kept", allowed="an event", advice="Log it anew.")
        ]
    if not problems:
        return event
    first = problems[0]
    where = first.where if isinstance(ident, str) else f"event {place + 1} of the batch, {first.where}"
    problem = {**vars(first), "where": where, "advice": " ".join(dict.fromkeys(one.advice for one in problems))}
    return {"id": ident[:64] if isinstance(ident, str) else "", "conflict": False, "problem": problem}


def _append(house: House, job: str, events: list[Event]) -> Appended:
    """Append, and say apart what a person can put right from what the disk will not do now."""
    try:
        return house.store.append(job, events, now=house.now())
    except InputError as error:
        raise Refused(503, error.problems, wait_s=10) from None


def _odd(events: list[Event], entry: Entry) -> Iterator[dict[str, Any]]:
    """Events from a device whose clock is wrong: they are kept, and their times are to be looked at.

    A clock ahead shows at once. One behind shows only where the device says that it wrote before it was let in: what
    waited for days without signal looks the same otherwise.
    """
    now = entry.house.job_now(entry.job)
    old = any(now - event.recorded > AHEAD for event in events)
    joined = _joined(entry) if old else FIRST
    for event in events:
        ahead, before = event.recorded - now, joined - event.recorded
        if ahead > AHEAD:
            yield _odd_clock(event, f"{ahead.total_seconds() / 60:.0f} minutes ahead of the server's clock")
        elif before > AHEAD:
            yield _odd_clock(event, f"{before.total_seconds() / 60:.0f} minutes before this device joined")


def _joined(entry: Entry) -> datetime:
    """When the device of a session joined, by the clock of the job; for this computer, the beginning of time."""
    session, house = entry.visitor.session, entry.house
    found = next((one for one in house.store.people.sessions(entry.job, now=house.now()) if one.id == session), None)
    return FIRST if found is None else found.created + timedelta(seconds=house.clock(entry.job).offset_s)


def _odd_clock(event: Event, found: str) -> dict[str, Any]:
    problem = Problem(
        where="recorded",
        found=found,
        allowed="the time of the yard",
        advice="The event is kept. If the clock of the device is wrong, set it and correct the time of the event.",
    )
    return {"id": event.id, "problem": vars(problem)}


@router.get("/live")
async def live(entry: AsGuest, request: Request) -> EventSourceResponse:
    """Server-sent events: when the log grows and when the board changes."""
    house, job, visitor = entry.house, entry.job, entry.visitor
    listener = house.hub.join(job, visitor.session)
    if listener is None:
        raise refused(
            429,
            "live streams",
            found="too many from one device",
            allowed="one a browser",
            advice="Close some of its tabs.",
            wait_s=60,
        )
    token, local = session_token(request), local_secret(request)

    def still() -> bool:
        if visitor.local:
            return house.local.knows(local)
        return visitor_by_token(house.store, token, now=house.now()) is not None

    seq = await asyncio.to_thread(house.store.event_count, job)
    first: dict[str, Any] = {"log": {"seq": seq}}
    return EventSourceResponse(
        stream(house.hub, job, listener, first=first, still=still), ping=15, sep="\n", send_timeout=20
    )
