"""How often one client may ask: a bucket of tokens for each client and purpose, kept in memory."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

from boottop.web.refused import refused

BUCKETS_MAX = 10_000


@dataclass(frozen=True, kw_only=True)
class Pace:
    """So many at once, and then so many a minute."""

    burst: float
    per_minute: float


PACES: Mapping[str, Pace] = {
    "pair": Pace(burst=8, per_minute=4),
    "enter": Pace(burst=8, per_minute=4),
    "log": Pace(burst=120, per_minute=240),
    "photo": Pace(burst=40, per_minute=40),
    "plan": Pace(burst=4, per_minute=4),
    "edit": Pace(burst=60, per_minute=120),
}
"""A crew logs a few events a minute; a phone back in range sends its whole queue in one batch, and its photographs
one by one. Typing in a form asks for a check every half second at most (common practice, no source)."""


class Limits:
    """The buckets. `now_s` is any clock that only goes forward."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._buckets: dict[tuple[str, str], tuple[float, float]] = {}

    def take(self, purpose: str, client: str, *, now_s: float) -> None:
        """Take one token, or refuse with 429 and the seconds after which there is one."""
        pace = PACES[purpose]
        with self._lock:
            if len(self._buckets) >= BUCKETS_MAX:
                self._sweep(now_s)
            left, at_s = self._buckets.get((purpose, client), (pace.burst, now_s))
            left = min(pace.burst, left + max(0.0, now_s - at_s) * pace.per_minute / 60.0)
            enough = left >= 1.0
            self._buckets[purpose, client] = (left - 1.0 if enough else left, now_s)
        if not enough:
            wait_s = max(1, ceil((1.0 - left) * 60.0 / pace.per_minute))
            raise refused(
                429,
                "requests",
                found="too many in a short time",
                allowed=f"{pace.burst:g} at once, then {pace.per_minute:g} a minute",
                advice=f"Wait {wait_s} s; what waits on the device is kept.",
                wait_s=wait_s,
            )

    def _sweep(self, now_s: float) -> None:
        """Forget every bucket that has filled up again; if none has, the older half."""
        kept = {
            key: (left, at_s)
            for key, (left, at_s) in self._buckets.items()
            if left + (now_s - at_s) * PACES[key[0]].per_minute / 60.0 < PACES[key[0]].burst
        }
        if len(kept) >= BUCKETS_MAX:
            kept = dict(sorted(kept.items(), key=lambda entry: entry[1][1])[BUCKETS_MAX // 2 :])
        self._buckets = kept
