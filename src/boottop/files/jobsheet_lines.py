"""Where in a TOML text each key stands: the standard reader gives values without their lines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]
_SPACE = " \t\r\n"


def find_lines(text: str) -> Mapping[KeyPath, int]:
    """Line (1 = first) of every key, table and list element of a TOML text that the standard reader accepts.

    >>> find_lines('[yard]\\nname = "x"\\n[[zones]]\\narea = "1 m2"')[("zones", 0, "area")]
    4
    """
    scan = _Scan(text=text)
    scan.document()
    return scan.lines


@dataclass(kw_only=True)
class _Scan:
    """One pass over the text; every step moves forward, so it ends on any text."""

    text: str
    at: int = 0
    lines: dict[KeyPath, int] = field(default_factory=dict)
    counts: dict[KeyPath, int] = field(default_factory=dict)
    line: int = 1

    def peek(self, width: int = 1) -> str:
        return self.text[self.at : self.at + width]

    def skip(self, width: int = 1) -> None:
        self.line += self.text.count("\n", self.at, self.at + width)
        self.at += width

    def skip_space(self, also: str = "") -> None:
        while (char := self.peek()) and (char in _SPACE or char in also or char == "#"):
            if char == "#":
                end = self.text.find("\n", self.at)
                self.skip((end if end >= 0 else len(self.text)) - self.at)
            else:
                self.skip()

    def document(self) -> None:
        prefix: KeyPath = ()
        self.skip_space()
        while self.peek():
            if self.peek() == "[":
                prefix = self.header()
            else:
                self.pair(prefix)
            self.skip_space()

    def header(self) -> KeyPath:
        is_list = self.peek(2) == "[["
        line = self.line
        self.skip(2 if is_list else 1)
        path: KeyPath = ()
        names = self.key("]")
        for name in names[:-1]:
            path = self.latest((*path, name))
        path = (*path, *names[-1:])
        self.lines.setdefault(path, line)
        if is_list:
            self.counts[path] = self.counts.get(path, -1) + 1
        path = self.latest(path)
        self.lines.setdefault(path, line)
        self.skip(2 if is_list else 1)
        return path

    def latest(self, path: KeyPath) -> KeyPath:
        """The path with the number of its newest element when it is a list of tables."""
        return (*path, self.counts[path]) if path in self.counts else path

    def key(self, end: str) -> list[str]:
        """Parts of a dotted key up to (not over) `end`."""
        parts: list[str] = []
        while self.peek() not in ("", end):
            self.skip_space(also=".")
            if self.peek() in ('"', "'"):
                parts.append(self.quoted())
            elif self.peek() != end:
                start = self.at
                while self.peek() and self.peek() not in f".{end}{_SPACE}":
                    self.skip()
                parts.append(self.text[start : self.at])
            self.skip_space(also=".")
        return parts

    def quoted(self) -> str:
        """Skip a string of any of the four kinds; its raw inside."""
        mark = self.peek()
        if self.peek(3) == mark * 3:
            mark *= 3
        start = self.at + len(mark)
        self.skip(len(mark))
        while self.peek() and self.peek(len(mark)) != mark:
            self.skip(2 if mark[0] == '"' and self.peek() == "\\" else 1)
        inside = self.text[start : self.at]
        self.skip(len(mark))
        while len(mark) == 3 and self.peek() == mark[0]:
            self.skip()
        return inside

    def pair(self, prefix: KeyPath) -> None:
        line = self.line
        path = prefix
        for part in self.key("="):
            path = (*path, part)
            self.lines.setdefault(path, line)
        self.skip()
        self.value(path)

    def value(self, path: KeyPath) -> None:
        while self.peek() in (" ", "\t"):
            self.skip()
        char = self.peek()
        if char in ('"', "'"):
            self.quoted()
        elif char == "[":
            self.elements(path)
        elif char == "{":
            self.inline_table(path)
        else:
            while self.peek() and self.peek() not in ",]}\n#":
                self.skip()

    def elements(self, path: KeyPath) -> None:
        self.skip()
        self.skip_space()
        count = 0
        while self.peek() not in ("", "]"):
            element = (*path, count)
            self.lines[element] = self.line
            before = self.at
            self.value(element)
            self.skip_space(also=",")
            self.skip(1 if self.at == before else 0)
            count += 1
        self.skip()

    def inline_table(self, path: KeyPath) -> None:
        self.skip()
        self.skip_space()
        while self.peek() not in ("", "}"):
            before = self.at
            self.pair(path)
            self.skip_space(also=",")
            self.skip(1 if self.at == before else 0)
        self.skip()
