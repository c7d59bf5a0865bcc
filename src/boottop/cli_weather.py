"""The options that say where a command's weather comes from: written once, taken by every command as one wish."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

if TYPE_CHECKING:
    from boottop.weather_source import WeatherWish

WISH = "wish"
OPTIONS: dict[str, tuple[Any, object]] = {
    "weather": (
        Annotated[
            Path | None,
            typer.Option(
                "--weather",
                help="Hourly weather file; else the sheet's, else the open services or what they last said.",
            ),
        ],
        None,
    ),
    "station": (
        Annotated[str | None, typer.Option("--station", help="Which station, in a file that holds several.")],
        None,
    ),
    "days": (
        Annotated[
            int, typer.Option("--days", min=2, max=60, help="Days to look ahead from the earliest haul-out.")
        ],
        21,
    ),
    "assume_dry": (
        Annotated[
            bool,
            typer.Option("--assume-dry", help="Take rain that the file lacks as none; said in the result."),
        ],
        False,
    ),
    "service": (
        Annotated[
            str | None, typer.Option("--service", help="Ask this open service, not the first that answers.")
        ],
        None,
    ),
    "reading": (
        Annotated[
            list[str] | None,
            typer.Option(
                "--reading", help='Read at the yard: "2026-05-04T08:30, 11.5 degC, 80 %"; corrects the next hours.'
            ),
        ],
        None,
    ),
    "readings": (
        Annotated[Path | None, typer.Option("--readings", help="The same from a logger's CSV.")],
        None,
    ),
}  # fmt: skip
"""By parameter: its type with the option, and what it is when not given."""


def weather_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of its weather; it takes them as `wish`, a WeatherWish, after its other options."""
    hints = get_type_hints(command, localns={"WeatherWish": object}, include_extras=True)
    own = [one for name, one in inspect.signature(command).parameters.items() if name != WISH]
    shared = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=default)
        for name, (_, default) in OPTIONS.items()
    ]

    @wraps(command)
    def run(**given: Any) -> None:
        wish = wish_of({name: given.pop(name) for name in OPTIONS})
        command(**given, **{WISH: wish})

    types = {one.name: hints[one.name] for one in own} | {name: kind for name, (kind, _) in OPTIONS.items()}
    run.__signature__ = inspect.Signature(  # type: ignore[attr-defined] # read by typer
        [one.replace(kind=inspect.Parameter.KEYWORD_ONLY, annotation=types[one.name]) for one in (*own, *shared)]
    )
    run.__annotations__ = types
    del run.__wrapped__  # else the signature of the command itself is read
    return run


def wish_of(given: dict[str, Any]) -> WeatherWish:
    """The wish that the options add up to."""
    from boottop.weather_source import WeatherWish

    return WeatherWish(
        path=given["weather"],
        station=given["station"],
        days=given["days"],
        assume_dry=given["assume_dry"],
        service=given["service"],
        readings=tuple(given["reading"] or ()),
        readings_file=given["readings"],
    )
