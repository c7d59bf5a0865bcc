"""Live updates: whoever writes tells the hub, the hub wakes every open stream of the job."""

from __future__ import annotations

import asyncio
import json
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import suppress
from dataclasses import dataclass, field

from sse_starlette.event import ServerSentEvent

from boottop.job.events import Json

CHECK_S = 15.0
STREAMS_PER_SESSION = 12


@dataclass(eq=False, kw_only=True)
class Listener:
    """One open stream: the newest message of each kind that was not sent yet."""

    loop: asyncio.AbstractEventLoop
    session: str
    awake: asyncio.Event = field(default_factory=asyncio.Event)
    waiting: dict[str, Json] = field(default_factory=dict)

    def tell(self, kind: str, data: Json) -> None:
        """From any thread; a message that was not sent yet is replaced by the newer one."""
        self.loop.call_soon_threadsafe(self._put, kind, data)

    def _put(self, kind: str, data: Json) -> None:
        self.waiting[kind] = data
        self.awake.set()

    def taken(self) -> dict[str, Json]:
        """What waits, which then waits no longer."""
        self.awake.clear()
        found, self.waiting = self.waiting, {}
        return found


class Hub:
    """The open streams by job."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._listeners: dict[str, set[Listener]] = {}

    def tell(self, job: str, kind: str, data: Json) -> None:
        """Tell every stream of a job."""
        with self._lock:
            listeners = list(self._listeners.get(job, ()))
        for listener in listeners:
            try:
                listener.tell(kind, data)
            except RuntimeError:  # its loop was closed with the server
                self.leave(job, listener)

    def join(self, job: str, session: str) -> Listener | None:
        """A new stream, to be left at its end; None when the session has too many already."""
        listener = Listener(loop=asyncio.get_running_loop(), session=session)
        with self._lock:
            there = self._listeners.setdefault(job, set())
            if sum(one.session == session for one in there) >= STREAMS_PER_SESSION:
                return None
            there.add(listener)
        return listener

    def leave(self, job: str, listener: Listener) -> None:
        """Forget a stream."""
        with self._lock:
            self._listeners.get(job, set()).discard(listener)

    def count(self, job: str) -> int:
        """Streams that are open."""
        with self._lock:
            return len(self._listeners.get(job, ()))


async def stream(
    hub: Hub, job: str, listener: Listener, *, first: dict[str, Json], still: Callable[[], bool]
) -> AsyncIterator[ServerSentEvent]:
    """The messages of one stream, `first` at the start. `still`: asked every CHECK_S, and before each message,
    whether the session may go on; it may read the disk."""
    try:
        for kind, data in first.items():
            yield _message(kind, data)
        while True:
            with suppress(TimeoutError):
                await asyncio.wait_for(listener.awake.wait(), CHECK_S)
            if not await asyncio.to_thread(still):
                yield _message("ended", {})
                return
            for kind, data in listener.taken().items():
                yield _message(kind, data)
    finally:
        hub.leave(job, listener)


def _message(kind: str, data: Json) -> ServerSentEvent:
    return ServerSentEvent(data=json.dumps(data), event=kind, sep="\n")
