"""What a hull is wiped with before it is coated: which cleaners leave it wet."""

from __future__ import annotations

import re

_WATER = re.compile(r"\b(?:water|detergent|soap|suds)\b(?![- ]free)", re.IGNORECASE)


def leaves_water(cleaner: str) -> bool:
    """Whether a cleaner leaves water that must dry off: water, or what is mixed with it. Solvents flash off.

    Common practice, no source.

    >>> [leaves_water(name) for name in ("fresh water, dried fully", "isopropanol", "water-free alcohol")]
    [True, False, False]
    """
    return _WATER.search(cleaner) is not None
