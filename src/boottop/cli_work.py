"""What the commands share: reading the job, getting the weather, planning, and handing out the results."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import typer

from boottop.base.errors import BoottopError, InputError, NoPlanError, Problem

if TYPE_CHECKING:
    from boottop.plan.progress import Progress
    from boottop.weather_source import WeatherWish
    from boottop.workflow import Ashore, Outlook, Planned


def ashore(path: Path) -> Ashore:
    from boottop.files.jobsheet import load_job, located
    from boottop.workflow import Ashore

    job = load_job(path)
    ashore = Ashore(job)
    try:
        ashore.hull  # noqa: B018 - computed here so that its errors carry the sheet's lines
    except InputError as error:
        raise located(job, error) from None
    return ashore


def outlook(ashore: Ashore, wish: WeatherWish) -> Outlook:
    """Windows for the weather wished for."""
    from boottop.weather_source import weather_for
    from boottop.workflow import outlook_for

    return outlook_for(ashore, weather_for(ashore.job, wish, now=datetime.now(UTC)), days=wish.days)


@dataclass(frozen=True, kw_only=True)
class Work:
    """What a plan is made from; `progress` None where the job has not begun."""

    ashore: Ashore
    outlook: Outlook
    progress: Progress | None = None


def begun(ashore: Ashore, wish: WeatherWish, *, log: Path | None, now: str | None, hired: tuple[str, ...] = ()) -> Work:
    """The job with its weather and, with a log, where the work stands: as the server has it."""
    if log is None:
        if now is not None or hired:
            raise InputError(_without_log("--now" if now is not None else "--hired"))
        return Work(ashore=ashore, outlook=outlook(ashore, wish))
    from dataclasses import replace

    from boottop.begun import begun_from, days_for, since_haul, with_readings
    from boottop.files.event_log import read_events
    from boottop.job.fold import fold
    from boottop.weather_source import weather_for
    from boottop.workflow import outlook_for

    at, events = moment(now, ashore), read_events(log)
    state = fold(event for event in events if event.happened <= at)
    ashore = since_haul(ashore, state)
    days = max(wish.days, days_for(ashore.job, at))
    weather = with_readings(weather_for(ashore.job, replace(wish, days=days), now=at), events, now=at)
    found = begun_from(ashore, outlook_for(ashore, weather, days=days), state, at=at, hired=known_options(hired))
    return Work(ashore=ashore, outlook=found.outlook, progress=found.progress)


def moment(text: str | None, ashore: Ashore) -> datetime:
    """A time as typed, in the yard's own zone unless it says otherwise; the clock of this computer without one."""
    if text is None:
        return datetime.now(UTC)
    from boottop.base.clock import to_utc

    try:
        wall = datetime.fromisoformat(text)
    except ValueError:
        raise InputError(
            Problem(
                where="--now",
                found=repr(text),
                allowed="a time such as 2026-05-04T08:30",
                advice="Write day and clock of the yard.",
            )
        ) from None
    return to_utc(wall, ZoneInfo(ashore.job.plan.yard.zone_name), where="--now")


def known_options(hired: tuple[str, ...]) -> tuple[str, ...]:
    """What may be hired, by name; InputError for anything else."""
    from boottop.plan.rules_modes import HELPER, TENT

    if strange := [name for name in hired if name not in (TENT, HELPER)]:
        raise InputError(
            Problem(
                where="--hired",
                found=", ".join(strange),
                allowed=f"{TENT} or {HELPER}",
                advice="Name what is paid for already, once each.",
            )
        )
    return hired


def _without_log(option: str) -> Problem:
    return Problem(
        where=option,
        found="no --log beside it",
        allowed=f"{option} together with --log",
        advice="Give the log of the work, or leave the option out: a job that has not begun is planned as a whole.",
    )


def planned(
    ashore: Ashore, outlook: Outlook, time_limit_s: float, *, progress: Progress | None = None
) -> Planned:  # fmt: skip
    from boottop.console import planning
    from boottop.workflow import plan_for

    with planning(ZoneInfo(ashore.job.plan.yard.zone_name)) as on_first:
        planned = plan_for(ashore, outlook, time_limit_s=time_limit_s, on_first=on_first, progress=progress)
    if planned.check.faults:
        raise BoottopError("the plan does not stand up to the checker: " + "; ".join(planned.check.faults))
    return planned


def finish(
    ashore: Ashore, outlook: Outlook, planned: Planned, *, wanted: tuple[Path | None, Path | None, Path | None, bool]
) -> None:
    """Write what was asked for, print the plan, and leave with 3 when there is none."""
    from boottop import terminal

    page, calendar, order_file, as_json = wanted
    write_order(ashore, order_file)
    if page is not None:
        from boottop.console import say
        from boottop.files.save import write_bytes
        from boottop.report.page import plan_page

        write_bytes(page, plan_page(ashore, outlook, planned).encode())
        say(f"wrote {page}")
    if calendar is not None and planned.plan.tasks:
        write_calendar(ashore, planned, calendar)
    if as_json:
        from boottop.files.document_of import plan_document

        print_json(plan_document(ashore, outlook, planned))
    else:
        terminal.show_plan(ashore, outlook, planned)
    if not planned.plan.tasks:
        raise typer.Exit(NoPlanError.exit_code)


def write_order(ashore: Ashore, path: Path | None) -> None:
    if path is None:
        return
    from boottop.console import say
    from boottop.files.order_csv import order_csv
    from boottop.files.save import write_bytes

    write_bytes(path, order_csv(ashore.order, currency=ashore.job.plan.currency).encode())
    say(f"wrote {path}")


def write_calendar(ashore: Ashore, planned: Planned, path: Path) -> None:
    from boottop.console import say
    from boottop.files.calendar_file import calendar_text, next_sequence
    from boottop.files.save import write_bytes

    job, zone = ashore.job.plan.job_name, ZoneInfo(ashore.job.plan.yard.zone_name)
    text = calendar_text(planned.plan, job=job, zone=zone, made=datetime.now(UTC), sequence=next_sequence(path))
    write_bytes(path, text)
    say(f"wrote {path}")


def print_json(document: object) -> None:
    from boottop.files.documents import Document, as_json

    assert isinstance(document, Document)
    write_out(as_json(document))


def write_out(text: str) -> None:
    """JSON is UTF-8 (RFC 8259, 8.1), whatever the terminal speaks."""
    sys.stdout.buffer.write(text.encode() + b"\n")
    sys.stdout.flush()


def folder_refused(folder: Path, error: OSError) -> InputError:
    return InputError(
        Problem(
            where=str(folder),
            found=f"the folder cannot be made ({error.strerror or error})",
            allowed="a folder that exists or can be made",
            advice="Give another place with --out.",
        )
    )
