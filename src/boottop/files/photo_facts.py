"""What a photograph is, when its camera says that it was taken, and a small copy of it for paper."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from PIL.Image import Image

PIXELS_MAX = 120_000_000
PRINT_PX = 900
CLOCK_PLAY_S = 900
"""A camera's clock within a quarter of an hour of the log's is taken as right (common practice, no source)."""
_TAKEN, _TAKEN_OFFSET, _EXIF = 0x9003, 0x9011, 0x8769


@dataclass(frozen=True, kw_only=True)
class PhotoSeen:
    """A photograph as looked at: `words` say what it is or why it cannot be shown; `camera_s` by its own clock."""

    words: str
    shown: bool
    camera_s: int | None


def look_at(content: bytes, zone: ZoneInfo, *, named: str = "") -> PhotoSeen:
    """What the bytes are. Nothing is ever thrown away because it cannot be shown.

    The camera's clock has no zone unless it says so; the yard's `zone` is taken then.
    """
    if named in ("image/heic", "image/heif"):
        return PhotoSeen(
            words="HEIC, kept as the camera made it; it cannot be shown here (no free decoder comes with boottop)",
            shown=False,
            camera_s=None,
        )
    try:
        with _opened(content) as image:
            words = f"{image.format}, {image.width} x {image.height}"
            image.draft("RGB", (PRINT_PX, PRINT_PX))
            image.load()
            return PhotoSeen(words=words, shown=True, camera_s=_taken_s(image, zone))
    except _UNREADABLE as error:
        return PhotoSeen(words=f"kept, but it does not open as a picture ({_short(error)})", shown=False, camera_s=None)


def clock_words(taken_s: int, camera_s: int | None) -> str:
    """What is to be said where camera and log disagree; empty where they agree or the camera says nothing.

    >>> clock_words(10_000, 10_100)
    ''
    >>> clock_words(100_000, 100_000 - 7_200)
    "the camera's clock says 2 h 0 min before the log; one of the two is wrong"
    """
    if camera_s is None or abs(camera_s - taken_s) <= CLOCK_PLAY_S:
        return ""
    gap_s = abs(camera_s - taken_s)
    days, rest = divmod(gap_s, 86_400)
    span = f"{days} d {rest // 3600} h" if days else f"{rest // 3600} h {rest % 3600 // 60} min"
    return (
        f"the camera's clock says {span} {'before' if camera_s < taken_s else 'after'} the log; one of the two is wrong"
    )


def for_print(content: bytes) -> bytes | None:
    """A JPEG of at most 900 pixels, upright, with nothing of the camera's data in it; None where it cannot be made."""
    from PIL import ImageOps

    try:
        with _opened(content) as image:
            image.draft("RGB", (PRINT_PX, PRINT_PX))
            upright = ImageOps.exif_transpose(image).convert("RGB")
            upright.thumbnail((PRINT_PX, PRINT_PX))
            out = io.BytesIO()
            upright.save(out, "JPEG", quality=80, optimize=True)
            return out.getvalue()
    except _UNREADABLE:
        return None


def _opened(content: bytes) -> Image:
    from PIL import Image as Images

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            image = Images.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP", "AVIF"))
    except Images.DecompressionBombError:
        raise ValueError("more points than a camera makes") from None
    if image.width * image.height > PIXELS_MAX:
        raise ValueError(f"{image.width} x {image.height}, more points than a camera makes")
    return image


_UNREADABLE = (OSError, ValueError, SyntaxError, EOFError, MemoryError, ArithmeticError, AttributeError, TypeError)
"""What a picture library raises on rubbish; a record is never stopped by a picture."""


def _taken_s(image: Image, zone: ZoneInfo) -> int | None:
    exif: Any = image.getexif().get_ifd(_EXIF)
    text, offset = exif.get(_TAKEN), exif.get(_TAKEN_OFFSET)
    try:
        wall = datetime.strptime(str(text).strip("\0 "), "%Y:%m:%d %H:%M:%S").replace(tzinfo=zone)
        if isinstance(offset, str) and offset.strip("\0 "):
            wall = datetime.fromisoformat(f"{wall:%Y-%m-%dT%H:%M:%S}{offset.strip(chr(0) + ' ')}")
        return int(wall.astimezone(UTC).timestamp())
    except (ValueError, OverflowError):
        return None


def _short(error: BaseException) -> str:
    return " ".join(str(error).split())[:80].replace("<_io.BytesIO object", "the file") or type(error).__name__
