"""The one exception tree.

BoottopError                     exit code 1: our own fault unless a subclass says otherwise
├── InputError                   exit code 2: what the person gave is wrong; carries every Problem found
│   └── ServiceError             a weather service did not answer as it should (services.failure)
└── NoPlanError                  exit code 3: no plan exists; carries reasons and ways out
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing wrong with what a person gave: where, what was found, what is allowed, what to do."""

    where: str
    found: str
    allowed: str
    advice: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; allowed: {self.allowed}. {self.advice}"


class BoottopError(Exception):
    """Root of every error boottop raises on purpose."""

    exit_code = 1


class InputError(BoottopError):
    """The input is wrong. `problems` holds all that was found, not only the first."""

    exit_code = 2

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class NoPlanError(BoottopError):
    """No plan exists under the rules; `reasons` say why, `ways_out` what would make one exist."""

    exit_code = 3

    def __init__(self, reasons: Sequence[str], ways_out: Sequence[str] = ()) -> None:
        self.reasons = tuple(reasons)
        self.ways_out = tuple(ways_out)
        super().__init__("; ".join(self.reasons))
