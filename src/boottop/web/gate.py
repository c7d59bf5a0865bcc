"""What every request passes before it is looked at, and what every answer carries: host, origin, size, headers."""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Mapping
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from boottop.web.refused import Refused, problems_out, refused

SAFE = ("GET", "HEAD", "OPTIONS")
OWN_HEADER = "x-boottop"
BODY_BYTES_MAX = 1_000_000
LARGER: Mapping[str, int] = {
    "/photos/": 30_000_000, "/documents": 64_000_000, "/new-job": 64_000_000, "/cost/log": 64_000_000,
    "/odds": 9_000_000,
}  # fmt: skip
"""Bytes of the body by a part of the path; BODY_BYTES_MAX elsewhere."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "font-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=(), usb=()",
    "Cache-Control": "no-store",
}
"""Set where an answer does not say otherwise. Not `no-referrer`: with it browsers send `Origin: null` with a form."""


class Gate:
    """ASGI middleware. `hosts`: names, beside addresses in digits and localhost, under which the server is asked."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str] = ()) -> None:
        self.app = app
        self.hosts = frozenset(name.lower() for name in ("localhost", *hosts))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = False

        async def with_headers(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        try:
            headers = Headers(scope=scope)
            self._check(scope, headers)
            await self.app(scope, _counted(receive, scope, headers), with_headers)
        except Refused as error:
            if started:
                raise
            await _answer(scope, error)(scope, receive, with_headers)

    def _check(self, scope: Scope, headers: Headers) -> None:
        host = headers.get("host", "")
        if not self._known(host):
            raise refused(
                400,
                "host",
                found=repr(host[:80]),
                allowed="this computer's address in digits, localhost, or a name given with --name",
                advice="Open the address that boottop serve printed.",
            )
        if scope["method"] not in SAFE:
            _check_origin(scope, headers, host)

    def _known(self, host: str) -> bool:
        """A name that somebody else's name server may point here is refused, an address in digits cannot be so."""
        try:
            name = (urlsplit(f"//{host}").hostname or "").rstrip(".")
        except ValueError:
            return False
        if name in self.hosts:
            return True
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return True


def _check_origin(scope: Scope, headers: Headers, host: str) -> None:
    """A change must come from a page of this server: the browser says so, or a header that no form can send."""
    origin, own = headers.get("origin"), OWN_HEADER in headers
    same = origin == f"{scope['scheme']}://{host}" if origin is not None else own
    if not same or headers.get("sec-fetch-site", "same-origin") != "same-origin":
        raise _foreign(origin)
    if scope["path"].startswith("/api/") and not own:
        raise _foreign("a request without the header X-Boottop")


def _foreign(found: str | None) -> Refused:
    return refused(
        403,
        "origin",
        found=(found or "none")[:80],
        allowed="a page of this server, with the header X-Boottop on requests of the interface",
        advice="Open the page again from the address that boottop serve printed.",
    )


def _counted(receive: Receive, scope: Scope, headers: Headers) -> Receive:
    """`receive` that refuses what is longer than allowed, before and while it is read."""
    most = next((size for part, size in LARGER.items() if part in scope["path"]), BODY_BYTES_MAX)
    told = headers.get("content-length", "0")
    if not told.isdecimal() or int(told) > most:
        raise _too_large(most)
    total = 0

    async def counted() -> Message:
        nonlocal total
        message = await receive()
        total += len(message.get("body", b""))
        if total > most:
            raise _too_large(most)
        return message

    return counted


def _too_large(most: int) -> Refused:
    return refused(
        413,
        "request",
        found="a body that is too long",
        allowed=f"at most {most / 1e6:g} MB",
        advice="Send less at once: fewer events, a smaller photograph, only the days that are needed.",
    )


def _answer(scope: Scope, error: Refused) -> Response:
    if scope["path"].startswith("/api/"):
        return JSONResponse({"problems": problems_out(error.problems)}, error.status, headers=error.headers)
    return PlainTextResponse(f"{error}\n", error.status, headers=error.headers)
