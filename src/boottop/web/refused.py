"""What the server answers when it does not do what was asked: a status and the problems behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from boottop.base.errors import Problem


class Refused(Exception):
    """A request that is answered with a status of 400 or above. `wait_s`: when it may be tried again."""

    def __init__(self, status: int, problems: Problem | Iterable[Problem], *, wait_s: int | None = None) -> None:
        self.status = status
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        self.wait_s = wait_s
        super().__init__("; ".join(str(problem) for problem in self.problems))

    @property
    def headers(self) -> dict[str, str]:
        """Headers of the answer."""
        return {} if self.wait_s is None else {"Retry-After": str(self.wait_s)}


def refused(status: int, where: str, *, found: str, allowed: str, advice: str, wait_s: int | None = None) -> Refused:
    """A refusal with one problem."""
    return Refused(status, Problem(where=where, found=found, allowed=allowed, advice=advice), wait_s=wait_s)


def problems_out(problems: Sequence[Problem]) -> list[dict[str, str]]:
    """Problems as JSON values."""
    return [vars(problem) for problem in problems]


def not_found(what: str) -> Refused:
    """404: there is none, or none for this session; the two are not told apart."""
    return refused(
        404,
        what,
        found="nothing here for this session",
        allowed="what the session was paired for",
        advice="Go back to the start page, or pair this device again with a code from the laptop.",
    )


def not_paired() -> Refused:
    """401."""
    return refused(
        401,
        "session",
        found="none, or one that has ended",
        allowed="a paired device, or this computer by the address that boottop serve printed",
        advice="Pair the device with a code from the laptop; what waits on it is kept.",
    )


def too_little(role: str, needed: str) -> Refused:
    """403: the role may not do that."""
    return refused(
        403,
        "role",
        found=role,
        allowed=f"{needed} or more",
        advice="Ask the skipper to do it, or to pair this device with another role.",
    )
