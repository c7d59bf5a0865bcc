"""Where the job left the sheet, the windows or good practice: every such place named, none hidden, for a person to
explain."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from boottop.record.coat_rules import (
    coats_missing,
    conditions_outside,
    nothing_read,
    preparation,
    rained_on,
    waits_missed,
    windows_closed,
)
from boottop.record.evidence import Deviation, Evidence
from boottop.record.job_rules import activation, batches, film_off, log_odd, strangers


def deviations(evidence: Evidence) -> tuple[Deviation, ...]:
    """Every deviation, the serious first, then in order of time; each with its explanation where there is one."""
    found = [
        Deviation(**{**vars(one), "explained": evidence.facts.explained.get(one.key, "")})
        for rule in RULES
        for one in rule(evidence)
    ]
    far = max((one.at_s for one in found if one.at_s is not None), default=0)
    return tuple(sorted(found, key=lambda one: (one.weight != "serious", one.at_s or far + 1, one.key)))


RULES: tuple[Callable[[Evidence], Iterator[Deviation]], ...] = (
    conditions_outside,
    windows_closed,
    nothing_read,
    rained_on,
    waits_missed,
    coats_missing,
    preparation,
    batches,
    activation,
    film_off,
    strangers,
    log_odd,
)


def open_ones(found: Sequence[Deviation]) -> Mapping[str, int]:
    """How many deviations there are, how many of them serious, and how many without an explanation."""
    return {
        "all": len(found),
        "serious": sum(one.weight == "serious" for one in found),
        "unexplained": sum(not one.explained for one in found),
    }
