"""What a person wishes compared in a study: light enough for the command line to know before anything is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from boottop.plan.inputs import SidesRule
from boottop.plan.odds_names import SIDES, Side

SIDES_RULES: tuple[SidesRule, ...] = get_args(SidesRule)

__all__ = ["SIDES", "SIDES_RULES", "Wish"]


@dataclass(frozen=True, kw_only=True)
class Wish:
    """Hands (none: as the sheet has them), tents, coats (none: as the sheet has them), the rule about the sides, which
    side first, and lost days to wait for a day that takes both sides."""

    people: tuple[int, ...] = ()
    tents: tuple[bool, ...] = (False,)
    coats: tuple[int, ...] = ()
    sides: SidesRule = "either"
    firsts: tuple[Side, ...] = SIDES
    waits: tuple[int, ...] = ()
