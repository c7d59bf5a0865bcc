"""The command line: JSON to stdout, all else to stderr; exit 0 done, 2 input wrong, 3 no plan, 1 our own fault."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from boottop.base.errors import BoottopError, InputError, NoPlanError

if TYPE_CHECKING:
    from boottop.workflow import Ashore, Outlook, Planned

DEMO_JOB = Path(__file__).parent / "demo" / "job.toml"

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Plan a bottom job: how much hull, what to buy, when each part may be coated, and the way from haul-out to "
    "launch. The data sheet, the yard and local code always have the last word.",
)

JobFile = Annotated[Path, typer.Argument(help="The job sheet (TOML). `boottop new DIR` writes one to start from.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print a JSON document on stdout; see `boottop schema`.")]
WeatherFile = Annotated[
    Path | None, typer.Option("--weather", help="Hourly weather: own CSV, EPW or airport reports; else the sheet's.")
]
Station = Annotated[str | None, typer.Option("--station", help="Which station, in a file that holds several.")]
Days = Annotated[int, typer.Option("--days", min=2, max=60, help="Days to look ahead from the earliest haul-out.")]
AssumeDry = Annotated[
    bool, typer.Option("--assume-dry", help="Take rain that the file lacks as none; said in the result.")
]


@app.command()
def new(directory: Annotated[Path, typer.Argument(help="A folder to make, or an empty one.")]) -> None:
    """Write a commented job sheet and product sheets to start from."""
    from boottop.console import say
    from boottop.files.template import write_new

    for path in write_new(directory):
        say(f"wrote {path}")
    say(f"Now measure, fill it in, and try: boottop check {directory / 'job.toml'}")


@app.command()
def check(job: JobFile, as_json: AsJson = False) -> None:
    """Read the job sheet and say what a coatings inspector would say before a tin is opened."""
    from boottop import terminal

    ashore = _ashore(job)
    ashore.order  # noqa: B018 - computed so that its errors are found here too
    if as_json:
        from boottop.files.document_of import check_document

        _print_json(check_document(ashore))
    else:
        terminal.show_findings(ashore)


@app.command()
def area(job: JobFile, as_json: AsJson = False) -> None:
    """How much hull there is, by zone, and how sure that is."""
    from boottop import terminal

    ashore = _ashore(job)
    if as_json:
        from boottop.files.document_of import area_document

        _print_json(area_document(ashore))
    else:
        terminal.show_area(ashore)


@app.command()
def order(
    job: JobFile,
    as_json: AsJson = False,
    csv: Annotated[Path | None, typer.Option("--csv", help="Write the order as a table for a spreadsheet.")] = None,
) -> None:
    """What to buy: whole kits, batches, consumables, protective gear, freight weight."""
    from boottop import terminal
    from boottop.files.save import check_places

    check_places({"--csv": csv}, read=[job])
    ashore = _ashore(job)
    _write_order(ashore, csv)
    if as_json:
        from boottop.files.document_of import order_document

        _print_json(order_document(ashore))
    else:
        terminal.show_order(ashore)


@app.command()
def windows(
    job: JobFile,
    weather: WeatherFile = None,
    station: Station = None,
    *,
    days: Days = 21,
    assume_dry: AssumeDry = False,
    as_json: AsJson = False,
) -> None:
    """When each part of the hull may be coated, and which rule closes the hours in between."""
    from boottop import terminal

    ashore = _ashore(job)
    outlook = _outlook(ashore, weather, (station, days, assume_dry))
    if as_json:
        from boottop.files.document_of import windows_document

        _print_json(windows_document(ashore, outlook))
    else:
        terminal.show_windows(ashore, outlook)


PageFile = Annotated[Path | None, typer.Option("--page", help="Write the plan as one self-contained HTML page.")]
CalendarFile = Annotated[Path | None, typer.Option("--calendar", help="Write the plan as an iCalendar file.")]
OrderFile = Annotated[Path | None, typer.Option("--order-csv", help="Write the order as a table for a spreadsheet.")]
TimeLimit = Annotated[float, typer.Option("--time-limit", min=1.0, max=3600.0, help="Seconds the solver may take.")]


@app.command()
def plan(  # noqa: PLR0913 - one parameter an option of the command
    job: JobFile,
    weather: WeatherFile = None,
    station: Station = None,
    *,
    days: Days = 21,
    assume_dry: AssumeDry = False,
    as_json: AsJson = False,
    page: PageFile = None,
    calendar: CalendarFile = None,
    order_csv: OrderFile = None,
    time_limit: TimeLimit = 60.0,
) -> None:
    """The schedule from haul-out to launch, proven best, with the reason behind every start."""
    from boottop.files.save import check_places

    check_places(
        {"--page": page, "--calendar": calendar, "--order-csv": order_csv}, read=[job, *([weather] if weather else [])]
    )
    ashore = _ashore(job)
    outlook = _outlook(ashore, weather, (station, days, assume_dry))
    _finish(ashore, outlook, _planned(ashore, outlook, time_limit), wanted=(page, calendar, order_csv, as_json))


@app.command()
def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for page, calendar and order.")] = Path("out"),
    as_json: AsJson = False,
) -> None:
    """Plan the built-in job: an invented boat and yard, real open weather."""
    from boottop.console import say

    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _folder_refused(out, error) from None
    ashore = _ashore(DEMO_JOB)
    say("Boat, yard and products of this demonstration are invented; the weather was measured.")
    outlook = _outlook(ashore, None, (None, 21, False))
    _finish(
        ashore,
        outlook,
        _planned(ashore, outlook, 60.0),
        wanted=(out / "plan.html", out / "plan.ics", out / "order.csv", as_json),
    )


@app.command()
def schema(
    name: Annotated[str, typer.Argument(help="area, check, order, plan or windows; nothing lists them.")] = "",
) -> None:
    """The JSON Schema of a document that --json prints."""
    import json

    from boottop.base.errors import Problem
    from boottop.files.documents import DOCUMENTS, json_schema

    if name and name not in DOCUMENTS:
        raise InputError(
            Problem(
                where="schema",
                found=repr(name),
                allowed=", ".join(DOCUMENTS),
                advice="Name the command whose JSON you want described.",
            )
        )
    _write_out(json.dumps(json_schema(name) if name else {"schemas": [*DOCUMENTS]}, indent=2))


def _ashore(path: Path) -> Ashore:
    from boottop.files.jobsheet import load_job, located
    from boottop.workflow import Ashore

    job = load_job(path)
    ashore = Ashore(job)
    try:
        ashore.hull  # noqa: B018 - computed here so that its errors carry the sheet's lines
    except InputError as error:
        raise located(job, error) from None
    return ashore


def _outlook(ashore: Ashore, weather: Path | None, how: tuple[str | None, int, bool]) -> Outlook:
    from boottop.base.errors import Problem
    from boottop.files.weather import load_weather
    from boottop.workflow import outlook_for, weather_span

    station, days, assume_dry = how
    path = weather or ashore.job.weather
    if path is None:
        raise InputError(
            Problem(
                where="weather",
                found="no weather file, neither with --weather nor in the job sheet",
                allowed="hourly weather in one of the known formats",
                advice="Give --weather FILE; docs/weather-files.md says how such a file looks.",
            )
        )
    start, end = weather_span(ashore.job, days)
    read = load_weather(path, site=ashore.job.site, start=start, end=end, station=station, assume_dry=assume_dry)
    return outlook_for(ashore, read, days=days)


def _planned(ashore: Ashore, outlook: Outlook, time_limit_s: float) -> Planned:
    from boottop.console import planning
    from boottop.workflow import plan_for

    with planning(ZoneInfo(ashore.job.plan.yard.zone_name)) as on_first:
        planned = plan_for(ashore, outlook, time_limit_s=time_limit_s, on_first=on_first)
    if planned.check.faults:
        raise BoottopError("the plan does not stand up to the checker: " + "; ".join(planned.check.faults))
    return planned


def _finish(
    ashore: Ashore, outlook: Outlook, planned: Planned, *, wanted: tuple[Path | None, Path | None, Path | None, bool]
) -> None:
    """Write what was asked for, print the plan, and leave with 3 when there is none."""
    from boottop import terminal

    page, calendar, order_file, as_json = wanted
    _write_order(ashore, order_file)
    if page is not None:
        from boottop.console import say
        from boottop.files.save import write_bytes
        from boottop.report.page import plan_page

        write_bytes(page, plan_page(ashore, outlook, planned).encode())
        say(f"wrote {page}")
    if calendar is not None and planned.plan.tasks:
        _write_calendar(ashore, planned, calendar)
    if as_json:
        from boottop.files.document_of import plan_document

        _print_json(plan_document(ashore, outlook, planned))
    else:
        terminal.show_plan(ashore, outlook, planned)
    if not planned.plan.tasks:
        raise typer.Exit(NoPlanError.exit_code)


def _write_order(ashore: Ashore, path: Path | None) -> None:
    if path is None:
        return
    from boottop.console import say
    from boottop.files.order_csv import order_csv
    from boottop.files.save import write_bytes

    write_bytes(path, order_csv(ashore.order, currency=ashore.job.plan.currency).encode())
    say(f"wrote {path}")


def _write_calendar(ashore: Ashore, planned: Planned, path: Path) -> None:
    from datetime import UTC, datetime

    from boottop.console import say
    from boottop.files.calendar_file import calendar_text, next_sequence
    from boottop.files.save import write_bytes

    job, zone = ashore.job.plan.job_name, ZoneInfo(ashore.job.plan.yard.zone_name)
    text = calendar_text(planned.plan, job=job, zone=zone, made=datetime.now(UTC), sequence=next_sequence(path))
    write_bytes(path, text)
    say(f"wrote {path}")


def _print_json(document: object) -> None:
    from boottop.files.documents import Document, as_json

    assert isinstance(document, Document)
    _write_out(as_json(document))


def _write_out(text: str) -> None:
    """JSON is UTF-8 (RFC 8259, 8.1), whatever the terminal speaks."""
    sys.stdout.buffer.write(text.encode() + b"\n")
    sys.stdout.flush()


def _folder_refused(folder: Path, error: OSError) -> InputError:
    from boottop.base.errors import Problem

    return InputError(
        Problem(
            where=str(folder),
            found=f"the folder cannot be made ({error.strerror or error})",
            allowed="a folder that exists or can be made",
            advice="Give another place with --out.",
        )
    )


def main() -> None:
    """Run the command line; no traceback reaches a person unless BOOTTOP_DEBUG is set."""
    try:
        app()
    except BoottopError as error:
        from boottop.console import show_error

        show_error(error)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:  # the last line of defence: a person must never meet a traceback
        if os.environ.get("BOOTTOP_DEBUG"):
            raise
        from boottop.console import show_fault

        show_fault(error)
        sys.exit(1)


if __name__ == "__main__":
    main()
