"""The line of every key, in every way that TOML lets it be written."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.files.jobsheet_lines import find_lines
from boottop.files.jobsheet_table import spelled

TEXT = '''format = 1 # x = 2
[a]
b.c = """x
[not]
y = 1"""
"q k" = [1, 2, # c = 3
  "a,]b",
  {x = 1, y = [3,
  4]}]
lit = \'\'\'
z = 1\'\'\'
[[m.g]]
s=1
[[m.g]]
s=2
[m.g.sub]
t=2022-04-25 09:00:00
esc = "quote \\" and ] # no comment"
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("format",), 1),
        (("a",), 2),
        (("a", "b", "c"), 3),
        (("a", "q k"), 6),
        (("a", "q k", 2), 7),
        (("a", "q k", 3, "y"), 8),
        (("a", "q k", 3, "y", 1), 9),
        (("a", "lit"), 10),
        (("m", "g", 0), 12),
        (("m", "g", 0, "s"), 13),
        (("m", "g", 1, "s"), 15),
        (("m", "g", 1, "sub", "t"), 17),
        (("m", "g", 1, "sub", "esc"), 18),
    ],
    ids=lambda value: spelled(value) if isinstance(value, tuple) else str(value),
)
def test_lines(path: tuple[str | int, ...], line: int) -> None:
    tomllib.loads(TEXT)
    assert find_lines(TEXT)[path] == line


def test_nothing_in_strings_and_remarks_is_taken_for_a_key() -> None:
    assert not {path for path in find_lines(TEXT) if path[-1] in {"not", "z", "c = 3"} or path == ("x",)}


@given(st.text(alphabet="[]{}\"='\n\\#,. ab1", max_size=60))
def test_ends_on_any_text_and_never_counts_past_it(text: str) -> None:
    assert all(1 <= line <= text.count("\n") + 1 for line in find_lines(text).values())
