"""The registry of crew policies: what each is called."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Policy = Literal["together", "each_a_side", "side_a_day", "side_by_side", "leapfrog", "longest_first"]
Side = Literal["port", "starboard"]
SIDES: tuple[Side, Side] = ("port", "starboard")

LEAST_PEOPLE: Mapping[str, int] = {"each_a_side": 2, "leapfrog": 2}
"""Hands below which a policy makes no sense."""

POLICIES: Mapping[Policy, str] = {
    "together": "both sides on one day, coat by coat in turn",
    "each_a_side": "the crew divided, each half with a side of its own, both sides on one day",
    "side_a_day": "all of her prepared first, then side after side, each on one day",
    "side_by_side": "one side from bare to coated before the other is begun",
    "leapfrog": "one side by all hands, then half of the crew rolls it while the other half prepares the next",
    "longest_first": "all of her prepared first, then the zone with most rolling before the next",
}
