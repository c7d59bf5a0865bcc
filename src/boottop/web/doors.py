"""How many connections one address may hold, so that a stray device in the network cannot take every one there is."""

from __future__ import annotations

import asyncio
from collections import Counter
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

OPEN_MAX = 200
"""Connections of one address. A browser holds six and a phone of the crew one or two; many systems let a program have
1024 files and connections in all, and the store needs some of them (common practice, no source)."""


class CountedProtocol(H11Protocol):
    """HTTP as uvicorn speaks it; what is beyond OPEN_MAX of one address is closed unheard."""

    held: ClassVar[Counter[str]] = Counter()

    def __init__(self, *args: Any, **rest: Any) -> None:
        super().__init__(*args, **rest)
        self._host = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count it in, or close it."""
        super().connection_made(transport)
        self._host = self.client[0] if self.client else "?"
        self.held[self._host] += 1
        if self.held[self._host] > OPEN_MAX:
            transport.abort()

    def connection_lost(self, exc: Exception | None) -> None:
        """Count it out."""
        if self.held[self._host] <= 1:
            del self.held[self._host]
        else:
            self.held[self._host] -= 1
        super().connection_lost(exc)
