"""A small polite client: says who it is, asks seldom, waits when told to, and trusts no answer before it is read."""

from __future__ import annotations

import json
import random
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import Generic, NoReturn, TypeVar

import httpx

from boottop import __version__
from boottop.base.errors import InputError, Problem
from boottop.services.cache import Cache, Entry
from boottop.services.failure import BY_FILE, ServiceError, failed

T = TypeVar("T")

SKEW_TOLD = timedelta(minutes=2)
MAX_REDIRECTS = 4
_JSON_TYPES = ("application/json", "application/geo+json", "application/ld+json")


@dataclass(frozen=True, kw_only=True)
class Question(Generic[T]):
    """What is asked: of whom (`name` for the cache, `title` for people), where, and how the answer is read.

    `decode` raises when the answer is not what it should be; such an answer is never kept. `life_s` is how long an
    answer may be used when the service does not say, `longest_life_s` the most we believe.
    """

    name: str
    title: str
    url: str
    decode: Callable[[object], T]
    params: Mapping[str, str] = field(default_factory=dict)
    life_s: float = 3600.0
    longest_life_s: float = 6 * 3600.0

    @property
    def address(self) -> str:
        return str(httpx.URL(self.url, params=dict(self.params))) if self.params else self.url


@dataclass(frozen=True, kw_only=True)
class Reply(Generic[T]):
    """An answer that could be read. `stale`: past its time, used because the service could not be asked: `trouble`
    says why. `notes` is what else a person should hear."""

    value: T
    confirmed: datetime
    stale: bool = False
    trouble: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Patience:
    """How often a service is tried, how long in all, and how much is read of it."""

    attempts: int = 3
    first_wait_s: float = 1.0
    longest_wait_s: float = 20.0
    whole_answer_s: float = 60.0
    max_bytes: int = 25_000_000


@dataclass(frozen=True, kw_only=True)
class _Got:
    status: int
    headers: httpx.Headers
    body: object


class _Again(Exception):
    """Worth another try; `wait_s` if the service said how long."""

    def __init__(self, found: str, wait_s: float | None = None, *, at_most: int | None = None) -> None:
        super().__init__(found)
        self.wait_s = wait_s
        self.at_most = at_most


@dataclass(frozen=True, kw_only=True)
class Client:
    """Asks questions over `http`, keeps answers in `cache`. Waiting, chance and the stopwatch can be replaced.

    `contact` (an address of the web or e-mail of whoever runs this) is sent with every question, as the services'
    terms ask. `bases` replaces the root address of a service by its name.
    """

    http: httpx.Client
    contact: str
    cache: Cache
    patience: Patience = field(default_factory=Patience)
    bases: Mapping[str, str] = field(default_factory=dict)
    sleep: Callable[[float], None] = time.sleep
    chance: Callable[[], float] = field(default_factory=lambda: random.Random().random)
    stopwatch: Callable[[], float] = time.monotonic

    def get(self, question: Question[T], *, now: datetime) -> Reply[T]:
        """The answer: kept and still fresh, else asked for, else the last one that was kept, however old.

        Raises ServiceError when there is none at all.
        """
        entry = self.cache.read(question.name, question.address)
        kept = _read_again(entry, question)
        if entry is not None and kept is not None and entry.fresh(now):
            return Reply(value=kept[0], confirmed=entry.confirmed)
        try:
            return self._asked(question, entry if kept is not None else None, now, sent_away=entry)
        except InputError as error:
            self._remember_ban(question, entry, error, now=now)
            if entry is None or kept is None:
                raise
            return Reply(value=kept[0], confirmed=entry.confirmed, stale=True, trouble=error.problems)

    def _asked(self, question: Question[T], entry: Entry | None, now: datetime, *, sent_away: Entry | None) -> Reply[T]:
        if sent_away is not None and sent_away.not_before is not None and now < sent_away.not_before:
            raise failed(
                question.title,
                f"asked to be left alone until {sent_away.not_before:%Y-%m-%dT%H:%MZ}",
                allowed="another question after that time",
            )
        got = self._with_patience(question, entry, now)
        if got.status == 304 and entry is not None:
            body, value = entry.body, question.decode(entry.body)
        else:
            body, value = got.body, question.decode(got.body)
        kept = Entry(
            url=question.address,
            confirmed=now,
            fresh_until=now + _life(got.headers, question),
            etag=got.headers.get("etag", entry.etag if entry and got.status == 304 else ""),
            last_modified=got.headers.get("last-modified", entry.last_modified if entry and got.status == 304 else ""),
            body=body,
        )
        notes = [*_skew(got.headers, now, question.title), *_deprecated(got, question.title)]
        hindered = self.cache.write(question.name, kept)
        return Reply(value=value, confirmed=now, notes=(*notes, *([hindered] if hindered else [])))

    def _remember_ban(self, question: Question[T], entry: Entry | None, error: InputError, *, now: datetime) -> None:
        not_before = error.not_before if isinstance(error, ServiceError) else None
        if not_before is None:
            return
        blank = Entry(url=question.address, confirmed=now, fresh_until=now)
        self.cache.write(question.name, replace(entry or blank, not_before=not_before))

    def _with_patience(self, question: Question[T], entry: Entry | None, now: datetime) -> _Got:
        for attempt in range(1, self.patience.attempts + 1):
            try:
                return self._once(question, entry, now)
            except _Again as again:
                self._wait(again, attempt, question=question, now=now)
        raise AssertionError("the last attempt either answers or fails")

    def _wait(self, again: _Again, attempt: int, *, question: Question[T], now: datetime) -> None:
        told = again.wait_s
        if told is not None and told > self.patience.longest_wait_s:
            until = now + timedelta(seconds=min(told, 7 * 86400.0))
            raise ServiceError(
                Problem(
                    where=question.title,
                    found=f"{again}, to be asked again after {told:.0f} s",
                    allowed=f"a wait of at most {self.patience.longest_wait_s:g} s",
                    advice=BY_FILE,
                ),
                not_before=until,
            ) from None
        if attempt >= min(self.patience.attempts, again.at_most or self.patience.attempts):
            tries = "once" if attempt == 1 else f"{attempt} times"
            raise failed(question.title, f"{again} (tried {tries})", allowed="an answer in JSON") from None
        backed_off = self.patience.first_wait_s * 2.0 ** (attempt - 1) * (0.5 + self.chance())
        self.sleep(min(backed_off, self.patience.longest_wait_s) if told is None else told + 0.5 * self.chance())

    def _once(self, question: Question[T], entry: Entry | None, now: datetime) -> _Got:
        headers = {"User-Agent": f"boottop/{__version__} {self.contact}", "Accept": ", ".join(_JSON_TYPES)}
        if entry is not None:
            conditions = (("If-None-Match", entry.etag), ("If-Modified-Since", entry.last_modified))
            headers |= {name: value for name, value in conditions if value}
        try:
            with self.http.stream("GET", question.address, headers=headers) as response:
                _check_status(response, question.title, now)
                if response.status_code == 304:
                    return _Got(status=304, headers=response.headers, body=None)
                _check_type(response, question.title)
                raw = self._body(response, question.title)
                return _Got(status=response.status_code, headers=response.headers, body=_parsed(raw))
        except httpx.TooManyRedirects:
            raise failed(question.title, "sent round in a circle", allowed="an answer in JSON") from None
        except httpx.TimeoutException as error:
            raise _Again(f"no answer in time ({type(error).__name__})") from None
        except httpx.ConnectError as error:
            raise _Again(f"no connection ({error})", at_most=2) from None
        except (httpx.RequestError, httpx.InvalidURL) as error:
            raise _Again(f"a broken answer ({type(error).__name__}: {error})") from None

    def _body(self, response: httpx.Response, title: str) -> bytes:
        begun = self.stopwatch()
        parts, total = [], 0
        for part in response.iter_bytes():
            total += len(part)
            if total > self.patience.max_bytes:
                limit = f"at most {self.patience.max_bytes / 1e6:g} MB"
                raise failed(title, "an answer without an end", allowed=limit)
            if self.stopwatch() - begun > self.patience.whole_answer_s:
                raise _Again(f"an answer that trickles for over {self.patience.whole_answer_s:g} s")
            parts.append(part)
        return b"".join(parts)


@contextmanager
def open_client(contact: str, *, cache_dir: Path | None, timeout_s: float = 10.0) -> Iterator[Client]:
    """A client for the time of the `with`: answers kept in `cache_dir`, `timeout_s` for every step of a connection."""
    with httpx.Client(timeout=timeout_s, follow_redirects=True, max_redirects=MAX_REDIRECTS) as http:
        yield Client(http=http, contact=contact, cache=Cache(cache_dir))


def _read_again(entry: Entry | None, question: Question[T]) -> tuple[T] | None:
    if entry is None or entry.body is None:
        return None
    try:
        return (question.decode(entry.body),)
    except InputError:
        return None


def _check_status(response: httpx.Response, title: str, now: datetime) -> None:
    status = response.status_code
    if status in (200, 203, 304):
        return
    if status == 429 or status >= 500:
        raise _Again(f"status {status}", _retry_after_s(response.headers, now))
    reason = _reason(response)
    found = f"status {status}" + (f" ({reason})" if reason else "")
    if status == 404:
        raise failed(title, found, allowed="a place that the service covers")
    raise failed(title, found, allowed="status 200")


def _reason(response: httpx.Response) -> str:
    """What the service says of an error, short; nothing when it says nothing that can be read."""
    try:
        said = json.loads(next(response.iter_bytes(4000), b""))
    except (ValueError, RecursionError, httpx.RequestError):
        return ""
    if not isinstance(said, dict):
        return ""
    words = next((said[key] for key in ("reason", "detail", "title") if isinstance(said.get(key), str)), "")
    return " ".join(words.split())[:160]


def _check_type(response: httpx.Response, title: str) -> None:
    kind = response.headers.get("content-type", "").split(";")[0].strip().lower()
    if kind in _JSON_TYPES:
        return
    advice = BY_FILE
    if kind == "text/html":
        advice = f"Harbour networks answer with a log-in page: open a browser and log in. {BY_FILE}"
    raise failed(title, f"{kind or 'no content type'} instead of weather", allowed="JSON", advice=advice)


def _parsed(raw: bytes) -> object:
    try:
        return json.loads(raw, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise _Again(f"{len(raw)} bytes that are not JSON ({type(error).__name__})") from None


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is not JSON")


def _http_date(text: str) -> datetime | None:
    try:
        when = parsedate_to_datetime(text)
    except (ValueError, TypeError, IndexError, OverflowError):
        return None
    return when.replace(tzinfo=UTC) if when.tzinfo is None else when.astimezone(UTC)


def _retry_after_s(headers: httpx.Headers, now: datetime) -> float | None:
    text = headers.get("retry-after", "").strip()
    if text.isdecimal() and len(text) < 10:
        return float(text)
    until = _http_date(text) if text else None
    if until is None:
        return None
    return max(0.0, (until - (_http_date(headers.get("date", "")) or now)).total_seconds())


def _life(headers: httpx.Headers, question: Question[T]) -> timedelta:
    """How long the answer is good for: by the server's own clock, so that ours may be wrong."""
    life_s = question.life_s
    expires, date = _http_date(headers.get("expires", "")), _http_date(headers.get("date", ""))
    if expires is not None and date is not None:
        life_s = (expires - date).total_seconds() - _age_s(headers)
    for part in headers.get("cache-control", "").lower().split(","):
        name, _, value = part.strip().partition("=")
        if name == "max-age" and value.isdecimal() and len(value) < 12:
            life_s = float(value) - _age_s(headers)
    return timedelta(seconds=min(max(life_s, 0.0), question.longest_life_s))


def _age_s(headers: httpx.Headers) -> float:
    text = headers.get("age", "0").strip()
    return float(text) if text.isdecimal() and len(text) < 10 else 0.0


def _skew(headers: httpx.Headers, now: datetime, title: str) -> list[str]:
    date = _http_date(headers.get("date", ""))
    if date is None:
        return []
    date += timedelta(seconds=_age_s(headers))
    if abs(date - now) <= SKEW_TOLD:
        return []
    minutes = (now - date).total_seconds() / 60
    side = "ahead of" if minutes > 0 else "behind"
    return [
        f"clock: this computer is {abs(minutes):.0f} min {side} the clock of {title}; set it before you rely on times"
    ]


def _deprecated(got: _Got, title: str) -> list[str]:
    return [f"{title} says that this way of asking will end; look for a newer boottop"] if got.status == 203 else []
