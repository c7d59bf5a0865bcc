"""What the coating room has to say about a job: findings with cause, advice and source."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Literal

from boottop.base.errors import InputError, Problem

COMMON_PRACTICE = "common practice, no source"
FROM_MEMORY = "from memory"

Severity = Literal["stop", "warn", "note"]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing found: which rule, how bad, why, what to do, and who says so.

    "stop": the coating is expected to fail or to harm the hull. "warn": it may. "note": to be known. No finding and
    no absence of one means that something is permitted: the data sheet, the yard and local law decide that.
    """

    rule: str
    severity: Severity
    cause: str
    advice: str
    source: str


def require_between(value: float, limits: tuple[float, float], *, where: str, unit: str, open_low: bool = True) -> None:
    """InputError naming `where` unless low < value <= high (low <= value < high when `open_low` is False)."""
    low, high = limits
    if (low < value <= high) if open_low else (low <= value < high):
        return
    span = f"above {low:g}" if open_low else f"{low:g} or more"
    if isfinite(high):
        span += f", up to {high:g}" if open_low else f", below {high:g}"
    raise InputError(
        Problem(
            where=where,
            found=f"{value:g} {unit}",
            allowed=f"{span} {unit}",
            advice="Check the number and its unit against the data sheet.",
        )
    )
