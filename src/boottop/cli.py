"""The command line: JSON to stdout, all else to stderr; exit 0 done, 2 input wrong, 3 no plan, 1 our own fault."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from boottop import cli_cost, cli_hull, cli_measure, cli_odds, cli_picture, cli_record, cli_serve, cli_work
from boottop.base.errors import BoottopError, InputError
from boottop.cli_weather import weather_options

if TYPE_CHECKING:
    from boottop.weather_source import WeatherWish

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

    ashore = cli_work.ashore(job)
    ashore.order  # noqa: B018 - computed so that its errors are found here too
    if as_json:
        from boottop.files.document_of import check_document

        cli_work.print_json(check_document(ashore))
    else:
        terminal.show_findings(ashore)


@app.command()
def area(job: JobFile, as_json: AsJson = False) -> None:
    """How much hull there is, by zone, and how sure that is."""
    from boottop import terminal

    ashore = cli_work.ashore(job)
    if as_json:
        from boottop.files.document_of import area_document

        cli_work.print_json(area_document(ashore))
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
    ashore = cli_work.ashore(job)
    cli_work.write_order(ashore, csv)
    if as_json:
        from boottop.files.document_of import order_document

        cli_work.print_json(order_document(ashore))
    else:
        terminal.show_order(ashore)


@app.command()
@weather_options
def windows(job: JobFile, *, as_json: AsJson = False, wish: WeatherWish) -> None:
    """When each part of the hull may be coated, and which rule closes the hours in between."""
    from boottop import terminal

    ashore = cli_work.ashore(job)
    outlook = cli_work.outlook(ashore, wish)
    if as_json:
        from boottop.files.document_of import windows_document

        cli_work.print_json(windows_document(ashore, outlook))
    else:
        terminal.show_windows(ashore, outlook)


PageFile = Annotated[Path | None, typer.Option("--page", help="Write the plan as one self-contained HTML page.")]
CalendarFile = Annotated[Path | None, typer.Option("--calendar", help="Write the plan as an iCalendar file.")]
OrderFile = Annotated[Path | None, typer.Option("--order-csv", help="Write the order as a table for a spreadsheet.")]
TimeLimit = Annotated[float, typer.Option("--time-limit", min=1.0, max=3600.0, help="Seconds the solver may take.")]


LogFile = Annotated[
    Path | None,
    typer.Option("--log", help="What was done so far: the events of the job as JSON; only the rest is planned."),
]
Now = Annotated[
    str | None,
    typer.Option("--now", help='With --log: "2026-05-04T08:30" at the yard; else the clock of this computer.'),
]
Hired = Annotated[
    list[str] | None, typer.Option("--hired", help="With --log: tent or helper, where that is paid for already.")
]


@app.command()
@weather_options
def plan(  # noqa: PLR0913 - one parameter an option of the command
    job: JobFile,
    *,
    log: LogFile = None,
    now: Now = None,
    hired: Hired = None,
    as_json: AsJson = False,
    page: PageFile = None,
    calendar: CalendarFile = None,
    order_csv: OrderFile = None,
    time_limit: TimeLimit = 60.0,
    wish: WeatherWish,
) -> None:
    """The schedule from haul-out to launch, proven best, with the reason behind every start; with --log from where the
    work stands."""
    from boottop.files.save import check_places

    read = [path for path in (job, wish.path, log) if path is not None]
    check_places({"--page": page, "--calendar": calendar, "--order-csv": order_csv}, read=read)
    ashore = cli_work.ashore(job)
    work = cli_work.begun(ashore, wish, log=log, now=now, hired=tuple(hired or ()))
    planned = cli_work.planned(work.ashore, work.outlook, time_limit, progress=work.progress)
    cli_work.finish(work.ashore, work.outlook, planned, wanted=(page, calendar, order_csv, as_json))


@app.command()
def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for page, calendar and order.")] = Path("out"),
    as_json: AsJson = False,
) -> None:
    """Plan the built-in job: an invented boat and yard, real open weather."""
    from boottop.console import say
    from boottop.weather_source import WeatherWish

    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cli_work.folder_refused(out, error) from None
    ashore = cli_work.ashore(DEMO_JOB)
    say("Boat, yard and products of this demonstration are invented; the weather was measured.")
    outlook = cli_work.outlook(ashore, WeatherWish())
    cli_work.finish(
        ashore,
        outlook,
        cli_work.planned(ashore, outlook, 60.0),
        wanted=(out / "plan.html", out / "plan.ics", out / "order.csv", as_json),
    )


@app.command()
def doctor() -> None:
    """Say what this machine has, what is missing, and what to do about it."""
    from datetime import datetime

    from boottop.console import console
    from boottop.doctor import examine
    from boottop.weather_source import kept_weather_folder

    words = {"good": "good   ", "without": "without", "missing": "MISSING"}
    signs = examine(now=datetime.now().astimezone(), cache=kept_weather_folder())
    for sign in signs:
        console().print(f"{words[sign.state]}  {sign.what}: {sign.found}. {sign.advice}", markup=False, soft_wrap=True)
    if any(sign.state == "missing" for sign in signs):
        raise typer.Exit(InputError.exit_code)


@app.command()
def schema(
    name: Annotated[str, typer.Argument(help="A command that has --json; nothing lists them.")] = "",
) -> None:
    """The JSON Schema of a document that --json prints."""
    import json

    from boottop.base.errors import Problem
    from boottop.files.document_register import DOCUMENTS
    from boottop.files.documents import schema_of

    if name and name not in DOCUMENTS:
        raise InputError(
            Problem(
                where="schema",
                found=repr(name),
                allowed=", ".join(DOCUMENTS),
                advice="Name the command whose JSON you want described.",
            )
        )
    cli_work.write_out(json.dumps(schema_of(DOCUMENTS[name]) if name else {"schemas": [*DOCUMENTS]}, indent=2))


cli_serve.register(app)
cli_record.register(app)
cli_hull.register(app)
cli_measure.register(app)
cli_picture.register(app)
cli_odds.register(app)
cli_cost.register(app)


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
