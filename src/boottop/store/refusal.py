"""Short ways to the errors of the store."""

from __future__ import annotations

from datetime import datetime

from boottop.base.errors import InputError, Problem


def refuse(where: str, *, found: str, allowed: str, advice: str) -> InputError:
    """The InputError with one problem."""
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))


def check_aware(when: datetime, *, where: str) -> None:
    """InputError unless the time says how far from UTC it is."""
    if when.utcoffset() is None:
        raise refuse(
            where,
            found=f"{when.isoformat()}, a time without its offset from UTC",
            allowed="an aware time",
            advice="Give the time in UTC: a wall-clock time can mean two moments.",
        )


def no_job(job: str) -> InputError:
    """The error for a job that is not in this store."""
    return refuse(
        f"job {job}",
        found="no such job in this store",
        allowed="the id of a job that was made here",
        advice="Make the job first, or pick one from the list of jobs.",
    )
