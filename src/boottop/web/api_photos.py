"""Photographs: kept by their hash, given back as they came."""

from __future__ import annotations

import hashlib
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request
from fastapi.responses import Response

from boottop.base.errors import InputError
from boottop.store.photos import CONTENT_TYPES
from boottop.web.auth import AsGuest, AsHand
from boottop.web.refused import Refused, not_found, refused

router = APIRouter(prefix="/api/jobs/{job}/photos")
Hash = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


async def _raw(request: Request) -> bytes:
    return await request.body()


Raw = Annotated[bytes, Depends(_raw)]


def looks_like(content: bytes) -> str | None:
    """What kind of image the first bytes say it is, None for none of those that are kept."""
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    if content[4:8] == b"ftyp":
        brand = content[8:12]
        return "image/avif" if brand in (b"avif", b"avis") else "image/heic" if brand[:2] in (b"he", b"mi") else None
    return None


def _fits(told: str, seen: str | None) -> bool:
    return told == seen or (told, seen) == ("image/heif", "image/heic")


@router.put("/{sha256}")
def put(entry: AsHand, request: Request, *, sha256: Hash, content: Raw) -> dict[str, Any]:
    """Keep a photograph."""
    entry.house.take("photo", entry.visitor.session)
    told = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if told not in CONTENT_TYPES or not _fits(told, looks_like(content)):
        raise refused(
            415,
            "photograph",
            found=f"the type {told[:60]!r}, by its bytes {looks_like(content) or 'no image that is kept'}",
            allowed=", ".join(CONTENT_TYPES),
            advice="Send it as the camera made it.",
        )
    if hashlib.sha256(content).hexdigest() != sha256:
        raise refused(
            422,
            "photograph",
            found="other bytes than the hash in the address says",
            allowed="the SHA-256 of what is sent",
            advice="Send it again; it was cut off or changed on the way.",
        )
    try:
        photo = entry.house.store.photos.put(entry.job, content, content_type=told, now=entry.house.now())
    except InputError as error:
        raise Refused(503, error.problems, wait_s=30) from None
    return {"sha256": photo.sha256, "bytes": photo.size_bytes}


@router.get("/{sha256}")
def get(entry: AsGuest, sha256: Hash) -> Response:
    """Give a photograph back."""
    photos = entry.house.store.photos
    try:
        photo = photos.get(entry.job, sha256)
    except InputError:
        raise not_found("photograph") from None
    try:
        content = photos.read(photo)
    except InputError as error:
        raise Refused(503, error.problems) from None
    headers = {"Cache-Control": "private, max-age=31536000, immutable", "Content-Security-Policy": "sandbox"}
    return Response(content, media_type=photo.content_type, headers=headers)
