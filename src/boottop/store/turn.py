"""Appends that wait at the same time share one transaction, and so one flush to the disk."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass

from boottop.store.database import Database
from boottop.store.log import Appended, Batch, append

TOGETHER_MAX = 64


@dataclass(kw_only=True)
class _Ticket:
    batch: Batch
    appended: Appended | None = None
    error: Exception | None = None


class Turnstile:
    """Whoever comes first writes for all who wait; the others find their answer when their turn comes.

    A flush takes 0.1 ms on a good disk and 20 ms on a memory stick: twenty phones that post at once wait for two
    flushes, not for twenty. Nobody is answered before the transaction with their events is on the disk.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._guard = threading.Lock()
        self._turn = threading.Lock()
        self._waiting: list[_Ticket] = []

    def append(self, batch: Batch) -> Appended:
        """Append one batch durably."""
        ticket = _Ticket(batch=batch)
        with self._guard:
            self._waiting.append(ticket)
        with self._turn:
            while ticket.appended is None and ticket.error is None:
                with self._guard:
                    taken, self._waiting = self._waiting[:TOGETHER_MAX], self._waiting[TOGETHER_MAX:]
                self._serve(taken)
        if ticket.error is not None:
            raise ticket.error
        assert ticket.appended is not None
        return ticket.appended

    def _serve(self, tickets: Sequence[_Ticket]) -> None:
        """Write tickets together; when that fails, each by itself, so that nobody fails for another's sake."""
        try:
            with self._database.write() as connection:
                done = [append(connection, ticket.batch) for ticket in tickets]
        except Exception as error:  # handed to the thread that waits for it
            if len(tickets) == 1:
                tickets[0].error = error
                return
            for ticket in tickets:
                self._serve([ticket])
            return
        for ticket, appended in zip(tickets, done, strict=True):
            ticket.appended = appended
