"""A plain reader of HTML: tags, attributes, text, and whether every tag is closed."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = {"meta", "br", "hr", "img", "input", "link"}


class Page(HTMLParser):
    """What a page holds. `unclosed` is empty when every tag was closed in its order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.words: list[str] = []
        self.unclosed: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.unclosed.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.unclosed[-1] == tag, f"{tag} closed, {self.unclosed[-1]} was open"
        self.unclosed.pop()

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        """All words of the page."""
        return "".join(self.words)
