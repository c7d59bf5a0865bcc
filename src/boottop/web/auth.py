"""Who is asking: the session of a paired phone, or the browser of the computer that runs the server.

A browser keeps cookies by the name of a computer, not by the port. Two servers on one computer must not overwrite each
other's, so that the name of a cookie says whose it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import Depends, Request
from starlette.responses import Response

from boottop.store.people import SESSION_LENGTH, Role
from boottop.store.store import Store
from boottop.web.house import House
from boottop.web.refused import not_found, not_paired, too_little

RANK: dict[Role, int] = {"guest": 0, "hand": 1, "skipper": 2}
THIS_COMPUTER = "this computer"


@dataclass(frozen=True, kw_only=True)
class Visitor:
    """Who asks. `job` None: every job of the store, for the computer that runs the server. `session`: its id."""

    role: Role
    who: str
    device: str
    job: str | None
    session: str

    @property
    def local(self) -> bool:
        return self.job is None

    def may(self, needed: Role) -> bool:
        return RANK[self.role] >= RANK[needed]


def house_of(request: Request) -> House:
    """The server's own state."""
    house: House = request.app.state.house
    return house


def client_of(request: Request) -> str:
    """What an unpaired client is counted by."""
    return request.client.host if request.client else "?"


def session_cookie(port: int) -> str:
    """Name of the cookie of a paired device at a server of that port: the session itself is the store's, and goes on
    when a store that was brought back from a backup is served there."""
    return f"boottop_session_{port}"


def local_cookie(port: int) -> str:
    """Name of the cookie of this computer's own browser, whose session ends with the server."""
    return f"boottop_local_{port}"


def _port(request: Request) -> int:
    """The port under which the browser asks: what tells its cookies apart, also where something lies between."""
    try:
        return request.url.port or 0
    except ValueError:  # digits that are no port; the gate answers to any
        return 0


def session_token(request: Request) -> str:
    """What a paired device sends, empty for nothing."""
    return request.cookies.get(session_cookie(_port(request)), "")


def local_secret(request: Request) -> str:
    """What this computer's own browser sends, empty for nothing."""
    return request.cookies.get(local_cookie(_port(request)), "")


def visitor_of(request: Request) -> Visitor | None:
    """The visitor by the cookies of the request, None for nobody."""
    house = house_of(request)
    if house.local.knows(local_secret(request)):
        return Visitor(role="skipper", who=house.keeper, device=THIS_COMPUTER, job=None, session="local")
    token = session_token(request)
    return visitor_by_token(house.store, token, now=house.now()) if token else None


def visitor_by_token(store: Store, token: str, *, now: datetime) -> Visitor | None:
    """The visitor of a session token, None when it is unknown, ended or revoked."""
    session = store.people.session_of(token, now=now)
    if session is None:
        return None
    return Visitor(role=session.role, who=session.who, device=session.device, job=session.job, session=session.id)


def need_visitor(request: Request) -> Visitor:
    """Anybody who is paired."""
    visitor = visitor_of(request)
    if visitor is None:
        raise not_paired()
    return visitor


def need_keeper(request: Request) -> Visitor:
    """The computer that runs the server."""
    visitor = need_visitor(request)
    if not visitor.local:
        raise not_found("page")
    return visitor


@dataclass(frozen=True, kw_only=True)
class Entry:
    """A visitor at a job that is open to them."""

    house: House
    visitor: Visitor
    job: str


def _entry(request: Request, job: str, needed: Role) -> Entry:
    house, visitor = house_of(request), need_visitor(request)
    if visitor.job not in (None, job) or not house.has_job(job):
        raise not_found("job")
    if not visitor.may(needed):
        raise too_little(visitor.role, needed)
    return Entry(house=house, visitor=visitor, job=job)


def _guest(request: Request, job: str) -> Entry:
    return _entry(request, job, "guest")


def _hand(request: Request, job: str) -> Entry:
    return _entry(request, job, "hand")


def _skipper(request: Request, job: str) -> Entry:
    return _entry(request, job, "skipper")


AsGuest = Annotated[Entry, Depends(_guest)]
AsHand = Annotated[Entry, Depends(_hand)]
AsSkipper = Annotated[Entry, Depends(_skipper)]
AsKeeper = Annotated[Visitor, Depends(need_keeper)]
AsVisitor = Annotated[Visitor, Depends(need_visitor)]


def set_session(request: Request, response: Response, token: str, *, local: bool = False) -> None:
    """Put a session into the browser. Not `Secure`: the board is served over plain http within the yard."""
    age = None if local else int(SESSION_LENGTH.total_seconds())
    name = local_cookie(_port(request)) if local else session_cookie(_port(request))
    response.set_cookie(name, token, max_age=age, httponly=True, samesite="strict")


def clear_session(request: Request, response: Response) -> None:
    """Take the cookies of this server away."""
    for name in (session_cookie(_port(request)), local_cookie(_port(request))):
        response.delete_cookie(name, httponly=True, samesite="strict")
