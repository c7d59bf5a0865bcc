"""Which signs the record's own font has: a PDF that is to last may show no other."""

from __future__ import annotations

import struct
import unicodedata
from functools import lru_cache
from importlib import resources

REGULAR = "SourceSansPro-Regular.otf"


@lru_cache(maxsize=1)
def known_signs() -> frozenset[int]:
    """Code points of the font, from its character map (OpenType 1.9, cmap format 12; from memory)."""
    font = resources.files("boottop.report").joinpath("fonts", REGULAR).read_bytes()
    tables = struct.unpack_from(">H", font, 4)[0]
    records = (struct.unpack_from(">4sIII", font, 12 + 16 * number) for number in range(tables))
    cmap = next(offset for tag, _, offset, _ in records if tag == b"cmap")
    subtables = struct.unpack_from(">H", font, cmap + 2)[0]
    places = (struct.unpack_from(">HHI", font, cmap + 4 + 8 * number) for number in range(subtables))
    table = cmap + next(offset for platform, encoding, offset in places if (platform, encoding) == (3, 10))
    groups = struct.unpack_from(">I", font, table + 12)[0]
    found: set[int] = set()
    for number in range(groups):
        first, last, _ = struct.unpack_from(">III", font, table + 16 + 12 * number)
        found.update(range(first, last + 1))
    return frozenset(found)


def showable(text: str) -> str:
    """The text, composed (Unicode NFC), with what the font lacks and loose accents as their number in Unicode, and
    control characters, marks without ink and strange blanks as a blank.

    >>> showable("Zoe\u0308 漢"), showable("a\x07b\ufeff")
    ('Zoë [U+6F22]', 'a b ')
    """
    return "".join(_sign(letter) for letter in unicodedata.normalize("NFC", text))


def _sign(letter: str) -> str:
    kind = unicodedata.category(letter)
    if kind[0] in "CZ":
        return " "
    if kind[0] != "M" and ord(letter) in known_signs():
        return letter
    return f"[U+{ord(letter):04X}]"
