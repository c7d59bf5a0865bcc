"""The registry of crew policies: what each is called."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Policy = Literal["together", "each_a_side", "side_a_day", "side_by_side", "longest_first"]
Side = Literal["port", "starboard"]
SIDES: tuple[Side, Side] = ("port", "starboard")

POLICIES: Mapping[Policy, str] = {
    "together": "both sides on one day, coat by coat in turn",
    "each_a_side": "the crew divided, each half with a side of its own, both sides on one day",
    "side_a_day": "all of her prepared first, then side after side, each on one day",
    "side_by_side": "one side from bare to coated before the other is begun",
    "longest_first": "all of her prepared first, then the zone with most rolling before the next",
}
