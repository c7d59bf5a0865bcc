"""Style, small scripts and the built board: files of the package, named by their hash in the address."""

from __future__ import annotations

import hashlib
import re
from functools import lru_cache
from importlib import resources

from fastapi import APIRouter, Request
from fastapi.responses import Response

from boottop.web.picture_style import picture_stylesheet
from boottop.web.refused import not_found
from boottop.web.style import stylesheet

router = APIRouter()
WEEK = "max-age=604800"
TYPES = {
    "js": "text/javascript; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "svg": "image/svg+xml",
    "png": "image/png",
    "json": "application/json",
    "webmanifest": "application/manifest+json",
}
_PART = re.compile(r"[A-Za-z0-9][\w.-]*", re.ASCII)
BOARD_FILES = ("board.js", "board.css", "sw.js")


@lru_cache(maxsize=32)
def content_of(name: str) -> bytes | None:
    """A file below `static`, None when there is none of that name."""
    if name == "app.css":
        return stylesheet().encode()
    if name == "hull.css":
        return picture_stylesheet().encode()
    parts = name.split("/")
    if not all(_PART.fullmatch(part) for part in parts) or parts[-1].rpartition(".")[2] not in TYPES:
        return None
    place = resources.files("boottop.web").joinpath("static", *parts)
    return place.read_bytes() if place.is_file() else None


def link(name: str) -> str:
    """Address of a static file with the hash of its content."""
    content = content_of(name) or b""
    return f"/static/{name}?v={hashlib.sha256(content).hexdigest()[:12]}"


def board_version() -> str:
    """One hash over the files of the board; empty when it was not built."""
    contents = [content_of(f"board/{name}") for name in BOARD_FILES]
    if contents[0] is None:
        return ""
    return hashlib.sha256(b"\0".join(content or b"" for content in contents)).hexdigest()[:12]


@router.get("/api/version")
def version() -> dict[str, str]:
    """Which board this server has."""
    return {"board": board_version()}


@router.get("/static/{name:path}")
def static(name: str, request: Request) -> Response:
    """A static file; kept for a week where the address names its hash."""
    content = content_of(name)
    if content is None:
        raise not_found("file")
    headers = {"Cache-Control": WEEK if "v" in request.query_params else "no-cache"}
    if name == "board/sw.js":
        headers |= {"Service-Worker-Allowed": "/", "Cache-Control": "no-cache"}
    return Response(content, media_type=TYPES[name.rpartition(".")[2]], headers=headers)
