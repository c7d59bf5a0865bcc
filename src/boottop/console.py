"""The console: one line to the person, progress, errors; on stderr, and light enough for the last line of defence."""

from __future__ import annotations

import codecs
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.markup import escape

from boottop.base.errors import BoottopError, InputError

if TYPE_CHECKING:
    from boottop.plan.plan import Plan


NEAREST = "boottop-nearest"
"""Name of the way in which what a terminal cannot write is written."""


def _nearest(error: UnicodeError) -> tuple[str | bytes, int]:
    """A blank for a special blank, "3 195 USD", and the code for anything else that the terminal cannot write."""
    if isinstance(error, UnicodeEncodeError) and error.object[error.start : error.end].isspace():
        return " " * (error.end - error.start), error.end
    return codecs.backslashreplace_errors(error)


codecs.register_error(NEAREST, _nearest)


def console() -> Console:
    """The one console: stderr, no clever guessing at numbers, and colons stay colons (":x:" is no picture)."""
    stream = sys.stderr
    if isinstance(stream, TextIOWrapper) and not stream.encoding.lower().startswith("utf"):
        stream.reconfigure(errors=NEAREST)
    return Console(stderr=True, highlight=False, emoji=False)


def say(text: str) -> None:
    """One line to the person."""
    console().print(escape(text), soft_wrap=True)


@contextmanager
def planning(zone: ZoneInfo) -> Iterator[Callable[[Plan], None]]:
    """A progress line while the solver works; the first plan is told as soon as there is one."""
    out = console()
    with out.status("looking for a plan") as status:

        def on_first(first: Plan) -> None:
            if first.launch is not None:
                out.print(
                    escape(
                        f"a first plan: afloat {first.launch.astimezone(zone):%a %d %b %H:%M}; looking for a better one"
                    )
                )
                status.update("improving the plan until it is proven best")

        yield on_first


def show_error(error: BoottopError) -> None:
    """What is wrong, where, what is allowed, what to do."""
    out = console()
    if not isinstance(error, InputError):
        out.print(f"[bold red]{escape(str(error))}[/]", soft_wrap=True)
        return
    count = len(error.problems)
    out.print(f"[bold red]{count} thing{'s' if count > 1 else ''} to put right[/]")
    for problem in error.problems:
        out.print(f"  [bold]{escape(problem.where)}[/bold]", soft_wrap=True)
        out.print(f"    found:   {escape(problem.found)}", soft_wrap=True)
        out.print(f"    allowed: {escape(problem.allowed)}", soft_wrap=True)
        out.print(f"    do:      {escape(problem.advice)}", soft_wrap=True)


def show_fault(error: Exception) -> None:
    """Our own fault: no traceback, but what is needed to report it."""
    out = console()
    out.print("[bold red]Boottop has stumbled over its own feet; your files are untouched.[/]")
    out.print(f"  {escape(type(error).__name__)}: {escape(str(error))}", soft_wrap=True)
    out.print(
        "  Run the same command with BOOTTOP_DEBUG=1 and report what it prints, with the job sheet.", soft_wrap=True
    )
