"""What one running server has: the store and what stands around it. Everything comes in from outside."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from boottop.base.errors import InputError
from boottop.store.store import Store
from boottop.web.codes import Codes
from boottop.web.desk import Desk
from boottop.web.ledger import Ledger
from boottop.web.limits import Limits
from boottop.web.live import Hub
from boottop.web.local_key import LocalKey
from boottop.web.papers import Cabinet

CLOCK_KIND, CLOCK_NAME = "plan", "clock.json"


@dataclass(frozen=True, kw_only=True)
class Clock:
    """By how much the clock of a job differs from the world's; 0 for every job but the demonstration."""

    offset_s: int = 0

    @property
    def words(self) -> str:
        if not self.offset_s:
            return ""
        return "Demonstration: the clock of this job is set to the days of its weather and runs on from there."


@dataclass(kw_only=True)
class House:
    """One server. `now`: the time, aware UTC; `steady_s`: a clock that only goes forward; `keeper`: who sits at this
    computer; `addresses`: under which phones reach it, none when it is bound to this computer alone."""

    store: Store
    cabinet: Cabinet
    ledger: Ledger
    hub: Hub
    desk: Desk
    codes: Codes
    now: Callable[[], datetime]
    steady_s: Callable[[], float]
    keeper: str = "Skipper"
    addresses: Sequence[str] = ()
    local: LocalKey = field(default_factory=LocalKey)
    limits: Limits = field(default_factory=Limits)
    _known: set[str] = field(default_factory=set)
    _clocks: dict[str, Clock] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def has_job(self, job: str) -> bool:
        """Whether there is a job of that id; InputError where the store cannot say: a phone that is told "no such
        job" takes itself for sent away."""
        if job in self._known:
            return True
        try:
            self.store.jobs.get(job)
        except InputError as error:
            if any(one.where == self.store.database.place for one in error.problems):
                raise
            return False
        self._known.add(job)
        return True

    def clock(self, job: str) -> Clock:
        """The clock of a job."""
        with self._lock:
            if job not in self._clocks:
                self._clocks[job] = Clock(offset_s=self._offset_s(job))
            return self._clocks[job]

    def set_clock(self, job: str, offset_s: int) -> None:
        """Give a job a clock of its own."""
        text = json.dumps({"offset_s": offset_s})
        self.store.documents.put(job, text, kind=CLOCK_KIND, name=CLOCK_NAME, now=self.now())
        with self._lock:
            self._clocks[job] = Clock(offset_s=offset_s)

    def job_now(self, job: str) -> datetime:
        """What time it is in a job."""
        return self.now() + timedelta(seconds=self.clock(job).offset_s)

    def take(self, purpose: str, client: str) -> None:
        """Count a request of a client, or refuse it."""
        self.limits.take(purpose, client, now_s=self.steady_s())

    def _offset_s(self, job: str) -> int:
        if not self.store.documents.versions(job, kind=CLOCK_KIND, name=CLOCK_NAME):
            return 0
        kept: Any = json.loads(self.store.documents.get(job, kind=CLOCK_KIND, name=CLOCK_NAME).text)
        return int(kept["offset_s"])


def world_now() -> datetime:
    """The time, aware UTC."""
    return datetime.now(UTC)
