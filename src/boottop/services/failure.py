"""What goes wrong between here and a weather service."""

from __future__ import annotations

from datetime import datetime

from boottop.base.errors import InputError, Problem

BY_FILE = "Give a weather file with --weather FILE, or try again later."


class ServiceError(InputError):
    """A weather service did not give what was asked of it; `not_before` is when it said it may be asked again.

    An InputError (exit code 2): the way out is the person's, a file or another day.
    """

    def __init__(self, problem: Problem, *, not_before: datetime | None = None) -> None:
        super().__init__(problem)
        self.not_before = not_before


def failed(where: str, found: str, *, allowed: str, advice: str = BY_FILE) -> ServiceError:
    """A ServiceError with one problem."""
    return ServiceError(Problem(where=where, found=found, allowed=allowed, advice=advice))
