"""Servers on one store learn of each other, whichever was stopped or killed in between."""

from __future__ import annotations

import signal
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

import pytest

from boottop.store.open import open_store
from boottop.store.served import ENDING, marked_as_served

HOLDER = """
import sys
from pathlib import Path
from boottop.store.open import open_store
from boottop.store.served import marked_as_served
with open_store(Path(sys.argv[1])) as store, marked_as_served(store.database) as others:
    print(others, flush=True)
    sys.stdin.read()
"""


def test_the_second_learns_of_the_first_and_a_third_of_the_second_alone(tmp_path: Path) -> None:
    with open_store(tmp_path / "a.db") as store, open_store(tmp_path / "b.db") as other, ExitStack() as rest:
        first = ExitStack()
        assert not first.enter_context(marked_as_served(store.database))
        assert not rest.enter_context(marked_as_served(other.database)), "another store is no matter"
        second = ExitStack()
        assert second.enter_context(marked_as_served(store.database))
        first.close()
        with marked_as_served(store.database) as others:
            assert others
        second.close()
        with marked_as_served(store.database) as others:
            assert not others


def test_a_server_that_was_killed_leaves_nothing_behind_that_counts(tmp_path: Path) -> None:
    place = tmp_path / "a.db"
    with open_store(place) as store:
        process = subprocess.Popen(
            [sys.executable, "-c", HOLDER, str(place)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        with process:
            assert process.stdout is not None
            assert process.stdout.readline() == "False\n"
            with marked_as_served(store.database) as others:
                assert others
            process.send_signal(signal.SIGKILL)
            process.wait(20)
        assert (tmp_path / f"a.db{ENDING}").exists()
        with marked_as_served(store.database) as others:
            assert not others


def test_where_no_lock_can_be_had_nothing_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_store(tmp_path / "a.db") as store:
        (tmp_path / f"a.db{ENDING}").mkdir()
        with marked_as_served(store.database) as others:
            assert not others
