"""`boottop doctor`: what this machine has, what is missing, and what to do about it."""

from __future__ import annotations

import importlib.metadata
import importlib.util
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

State = Literal["good", "without", "missing"]
NEEDED = ("numpy", "scipy", "numba", "pvlib", "ortools", "pint", "pydantic", "rich", "jinja2", "icalendar")
EXTRAS = {"xarray": "reanalysis files (NetCDF, Zarr)"}
OLD_CLOCK = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class Sign:
    """One thing looked at. "without": boottop works, but not all of it. "missing": something must be put right."""

    what: str
    state: State
    found: str
    advice: str = ""


def examine(*, now: datetime, cache: Path | None) -> list[Sign]:
    """Everything worth knowing about this machine; `cache` is where the weather services' answers are kept."""
    return [sign for look in LOOKS for sign in look(now, cache)]


def _python(now: datetime, cache: Path | None) -> Iterator[Sign]:
    found = ".".join(map(str, sys.version_info[:3]))
    fine = sys.version_info >= (3, 11)
    yield Sign(
        what="Python", state="good" if fine else "missing", found=found, advice="" if fine else "Install 3.11 or newer."
    )


def _libraries(now: datetime, cache: Path | None) -> Iterator[Sign]:
    for name in NEEDED:
        try:
            yield Sign(what=name, state="good", found=importlib.metadata.version(name))
        except importlib.metadata.PackageNotFoundError:
            yield Sign(what=name, state="missing", found="not installed", advice="Install boottop again.")
    for name, purpose in EXTRAS.items():
        if importlib.util.find_spec(name) is None:
            advice = f"Only for {purpose}: install boottop[reanalysis]."
            yield Sign(what=name, state="without", found="not installed", advice=advice)
        else:
            yield Sign(what=name, state="good", found=importlib.metadata.version(name))


def _zones(now: datetime, cache: Path | None) -> Iterator[Sign]:
    try:
        ZoneInfo("Europe/Lisbon")
    except ZoneInfoNotFoundError:
        yield Sign(what="time zones", state="missing", found="no zone data", advice="Install the package tzdata.")
    else:
        yield Sign(what="time zones", state="good", found="present")


def _clock(now: datetime, cache: Path | None) -> Iterator[Sign]:
    fine = now >= OLD_CLOCK
    yield Sign(
        what="clock",
        state="good" if fine else "missing",
        found=now.isoformat(timespec="minutes"),
        advice="" if fine else "The clock is far behind: set it, or every age and window is wrong.",
    )


def _compiled(now: datetime, cache: Path | None) -> Iterator[Sign]:
    """Numba keeps its compiled code beside the package, or in NUMBA_CACHE_DIR; else each run compiles anew."""
    folder = Path(os.environ.get("NUMBA_CACHE_DIR", Path(__file__).parent / "climate"))
    if _writable(folder):
        yield Sign(what="compiled code", state="good", found=f"kept in {folder}")
    else:
        advice = "Every run compiles for some ten seconds: set NUMBA_CACHE_DIR to a folder of yours."
        yield Sign(what="compiled code", state="without", found=f"{folder} cannot be written to", advice=advice)


def _kept_weather(now: datetime, cache: Path | None) -> Iterator[Sign]:
    what = "kept weather"
    if cache is None:
        advice = "Without a home folder nothing is kept: set XDG_CACHE_HOME."
        yield Sign(what=what, state="without", found="no folder", advice=advice)
        return
    ages = [now.timestamp() - path.stat().st_mtime for path in cache.glob("*.json")] if cache.is_dir() else []
    if ages:
        hours = timedelta(seconds=min(ages)) / timedelta(hours=1)
        yield Sign(what=what, state="good", found=f"{len(ages)} answers in {cache}, the newest {hours:.0f} h old")
    else:
        advice = "Plan once with a connection, or give --weather FILE."
        yield Sign(what=what, state="without", found=f"none in {cache}", advice=advice)


def _writable(folder: Path) -> bool:
    try:
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


LOOKS: tuple[Callable[[datetime, Path | None], Iterator[Sign]], ...] = (
    _python,
    _libraries,
    _zones,
    _clock,
    _compiled,
    _kept_weather,
)
