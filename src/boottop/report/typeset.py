"""Units as a printed page has them; inside, and in the terminal, they are plain ASCII."""

from __future__ import annotations

import re

SIGNS = tuple(
    (re.compile(rf"(?<=\d) {plain}\b"), f" {sign}")
    for plain, sign in (("degC", "°C"), ("degF", "°F"), ("m2", "m²"), ("um", "µm"))
)

ROLE_WORDS = {"antifouling": "antifouling", "barrier": "barrier coat", "primer": "primer"}


def typeset(text: str) -> str:
    """Degrees, square metres and micrometres after a number with their signs; all else as it is.

    >>> typeset("7.9 degC on 13.9 m2, limit 8 degC; deck m2 as it is")
    '7.9 °C on 13.9 m², limit 8 °C; deck m2 as it is'
    """
    for plain, sign in SIGNS:
        text = plain.sub(sign, text)
    return text
