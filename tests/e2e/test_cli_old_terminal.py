"""A terminal that knows no narrow blank shows a plain one between thousands, never its code."""

from __future__ import annotations

import subprocess
import sys

import pytest

SAYS = """
from boottop.base.money import format_money
from boottop.console import say
say(format_money(319500, "USD") + " \\u2192")
"""


@pytest.mark.parametrize(
    ("encoding", "words"), [("ascii", "3 195 USD \\u2192"), ("utf-8", "3\u202f195\u00a0USD \u2192")]
)
def test_money_on_an_old_terminal(encoding: str, words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", SAYS],
        env={"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"},
        capture_output=True,
        timeout=60,
        check=True,
    )
    assert done.stderr.decode(encoding).strip() == words
