"""The log of every job in memory, as far as it was asked for: folded once for all phones, not once for each."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

from boottop.job.board import BoardTable
from boottop.job.fold import fold
from boottop.job.learn import learn
from boottop.job.learned import NOTHING, Learned
from boottop.job.state import State
from boottop.store.entry import Logged
from boottop.store.store import Store


@dataclass(kw_only=True)
class _Book:
    lock: threading.Lock = field(default_factory=threading.Lock)
    events: list[Logged] = field(default_factory=list)
    state: tuple[int, State] | None = None
    learned: tuple[int, BoardTable, Learned] | None = None


class Ledger:
    """What the log of each job says. Reads only what is new, and folds only when there is something new."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._books: dict[str, _Book] = {}

    def events(self, job: str) -> list[Logged]:
        """Every event of a job in the order of arrival; the list is the caller's."""
        book = self._book(job)
        with book.lock:
            self._read(job, book)
            return list(book.events)

    def state(self, job: str) -> State:
        """What the log says now."""
        book = self._book(job)
        with book.lock:
            return self._state(job, book)

    def learned(self, job: str, table: BoardTable | None) -> Learned:
        """What touch tests and readings taught against a table; nothing without one."""
        if table is None:
            return NOTHING
        book = self._book(job)
        with book.lock:
            state = self._state(job, book)
            known = book.learned
            if known is None or known[0] != len(book.events) or known[1] is not table:
                known = book.learned = (len(book.events), table, learn(state, table))
            return known[2]

    def _book(self, job: str) -> _Book:
        with self._lock:
            return self._books.setdefault(job, _Book())

    def _read(self, job: str, book: _Book) -> None:
        last = book.events[-1].seq if book.events else 0
        book.events += self._store.events_after(job, last)

    def _state(self, job: str, book: _Book) -> State:
        self._read(job, book)
        if book.state is None or book.state[0] != len(book.events):
            book.state = (len(book.events), fold(one.event for one in book.events))
        return book.state[1]
