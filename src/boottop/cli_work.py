"""What the commands share: reading the job, getting the weather, planning, and handing out the results."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import typer

from boottop.base.errors import BoottopError, InputError, NoPlanError

if TYPE_CHECKING:
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
    from datetime import UTC, datetime

    from boottop.weather_source import weather_for
    from boottop.workflow import outlook_for

    return outlook_for(ashore, weather_for(ashore.job, wish, now=datetime.now(UTC)), days=wish.days)


def planned(ashore: Ashore, outlook: Outlook, time_limit_s: float) -> Planned:
    from boottop.console import planning
    from boottop.workflow import plan_for

    with planning(ZoneInfo(ashore.job.plan.yard.zone_name)) as on_first:
        planned = plan_for(ashore, outlook, time_limit_s=time_limit_s, on_first=on_first)
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
    from datetime import UTC, datetime

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
    from boottop.base.errors import Problem

    return InputError(
        Problem(
            where=str(folder),
            found=f"the folder cannot be made ({error.strerror or error})",
            allowed="a folder that exists or can be made",
            advice="Give another place with --out.",
        )
    )
