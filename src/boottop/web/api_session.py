"""Joining and leaving: pairing codes become sessions."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse
from pydantic import Field

from boottop.base.errors import InputError
from boottop.web.auth import (
    AsVisitor,
    Visitor,
    clear_session,
    client_of,
    house_of,
    local_secret,
    set_session,
    visitor_by_token,
)
from boottop.web.house import House
from boottop.web.reading import Asked, json_body, model_of
from boottop.web.refused import Refused

router = APIRouter(prefix="/api")
Body = Annotated[Any, Depends(json_body)]


class Pairing(Asked):
    """A code as typed, the device that it is for, and whose it is."""

    code: Annotated[str, Field(max_length=40)]
    device: Annotated[str, Field(min_length=1, max_length=100)]
    who: Annotated[str, Field(min_length=1, max_length=100)]


def join(request: Request, asked: Pairing) -> str:
    """The token of a new session for a pairing code; a refusal otherwise. Wrong codes are counted by address too."""
    house = house_of(request)
    house.take("pair", client_of(request))
    try:
        return house.store.people.redeem(asked.code, device=asked.device, who=asked.who, now=house.now())
    except InputError as error:
        raise Refused(422, error.problems) from None


@router.post("/pair")
def pair(request: Request, body: Body) -> JSONResponse:
    """A session for a code."""
    token = join(request, model_of(Pairing, body))
    house = house_of(request)
    visitor = visitor_by_token(house.store, token, now=house.now())
    assert visitor is not None
    answer = JSONResponse(me_out(house, visitor))
    set_session(request, answer, token)
    return answer


@router.get("/me")
def me(request: Request, visitor: AsVisitor) -> dict[str, Any]:
    """Who this is and what they may do."""
    return me_out(house_of(request), visitor)


@router.post("/leave")
def leave(request: Request, visitor: AsVisitor) -> JSONResponse:
    """End the session of this device."""
    answer = JSONResponse({"left": True})
    end_session(request, visitor)
    clear_session(request, answer)
    return answer


def end_session(request: Request, visitor: Visitor) -> None:
    """Let the session behind this request be good no longer."""
    house = house_of(request)
    if visitor.local:
        house.local.forget(local_secret(request))
    else:
        house.store.people.revoke(visitor.session, now=house.now())


def me_out(house: House, visitor: Visitor) -> dict[str, Any]:
    """The answer of `/api/me`."""
    jobs = house.store.jobs.all() if visitor.job is None else [house.store.jobs.get(visitor.job)]
    skipper = visitor.may("skipper")
    return {
        "schema": "boottop.me/1",
        "role": visitor.role,
        "who": visitor.who,
        "device": visitor.device,
        "local": visitor.local,
        "jobs": [{"id": job.id, "name": job.name} for job in jobs],
        "server_s": int(house.now().timestamp()),
        "may": {"log": visitor.may("hand"), "plan": skipper, "pair": skipper},
    }
