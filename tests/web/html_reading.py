"""Pages as their parser sees them: what must not be in them, and what a reader needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Seen:
    """What a page has: tags with their attributes, in order."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)

    def all(self, name: str) -> list[dict[str, str]]:
        return [attributes for tag, attributes in self.tags if tag == name]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen = Seen()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.tags.append((tag, {name: value or "" for name, value in attrs}))


def read(text: str) -> Seen:
    """Tags of a page."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    return reader.seen
