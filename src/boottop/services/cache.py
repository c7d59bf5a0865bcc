"""What services answered, kept on disk: one JSON file a question, written whole or not at all, old ones kept."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

LAYOUT = 1
CLOCK_PLAY = timedelta(minutes=5)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One answer. `confirmed`: when the service last stood by it; `fresh_until`: how long it may be used unasked;
    `not_before`: when the service may be asked again, if it sent us away. `body` is the parsed JSON, None if there
    has never been an answer. All times are of this computer's clock."""

    url: str
    confirmed: datetime
    fresh_until: datetime
    not_before: datetime | None = None
    etag: str = ""
    last_modified: str = ""
    body: object = None

    def fresh(self, now: datetime) -> bool:
        """Whether it may be used unasked; not when the clock was set back since it was confirmed."""
        return self.body is not None and self.confirmed - CLOCK_PLAY <= now < self.fresh_until


@dataclass(frozen=True)
class Cache:
    """A folder of answers; None keeps nothing. It is made when first written to."""

    folder: Path | None

    def path(self, name: str, url: str) -> Path | None:
        """The file of a question: readable name, then a hash of the whole address."""
        if self.folder is None:
            return None
        return self.folder / f"{name}-{hashlib.sha256(url.encode()).hexdigest()[:24]}.json"

    def read(self, name: str, url: str) -> Entry | None:
        """What was kept; None when there is nothing, or nothing that can be read."""
        path = self.path(name, url)
        if path is None:
            return None
        try:
            kept = json.loads(path.read_text(encoding="utf-8"))
            return _entry(kept, url)
        except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError):
            return None

    def write(self, name: str, entry: Entry) -> str:
        """Keep an answer; what hindered it in words, else nothing."""
        path = self.path(name, entry.url)
        if path is None:
            return ""
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            _replace(path, json.dumps(_kept(entry), separators=(",", ":")))
        except OSError as error:
            return f"cache: {path.parent} cannot be written ({error.strerror}); without it there is no weather offline"
        return ""


def default_cache_dir(environment: Mapping[str, str], *, home: Path, platform: str) -> Path:
    """Where a program of this system keeps what it can fetch again; `platform` as in `sys.platform`.

    >>> default_cache_dir({}, home=Path("/h"), platform="linux").as_posix()
    '/h/.cache/boottop'
    """
    if platform == "win32":
        base = Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local")
        return base / "boottop" / "cache"
    if platform == "darwin":
        return home / "Library" / "Caches" / "boottop"
    return Path(environment.get("XDG_CACHE_HOME") or home / ".cache") / "boottop"


def _replace(path: Path, text: str) -> None:
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise


def _kept(entry: Entry) -> dict[str, object]:
    return {
        "layout": LAYOUT,
        "url": entry.url,
        "confirmed": entry.confirmed.isoformat(),
        "fresh_until": entry.fresh_until.isoformat(),
        "not_before": entry.not_before.isoformat() if entry.not_before else "",
        "etag": entry.etag,
        "last_modified": entry.last_modified,
        "body": entry.body,
    }


def _entry(kept: Mapping[str, object], url: str) -> Entry | None:
    if kept["layout"] != LAYOUT or kept["url"] != url:
        return None
    return Entry(
        url=url,
        confirmed=_time(kept["confirmed"]),
        fresh_until=_time(kept["fresh_until"]),
        not_before=_time(kept["not_before"]) if kept["not_before"] else None,
        etag=str(kept["etag"]),
        last_modified=str(kept["last_modified"]),
        body=kept["body"],
    )


def _time(text: object) -> datetime:
    when = datetime.fromisoformat(str(text))
    if when.tzinfo is None:
        raise ValueError("a time without an offset")
    return when.astimezone(UTC)
