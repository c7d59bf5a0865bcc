"""Commands around the record: make it, verify the log, bring readings in, the years of a boat, whole jobs as a file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from boottop.base.errors import InputError
from boottop.cli_serve import StorePlace, _place

if TYPE_CHECKING:
    from boottop.base.quantities import System
    from boottop.files.loose_csv import ColumnMap
    from boottop.store.jobs import Job
    from boottop.web.house import House

JobName = Annotated[str, typer.Argument(help="A job of the store: its name, a part of it, or its id.")]
Maps = Annotated[
    list[str] | None, typer.Option("--map", help='A column of the file, such as "value=DFT 1"; remembered.')
]
Who = Annotated[str, typer.Option("--who", help="Your name, for the log.")]
Unit = Annotated[str, typer.Option("--unit", help="Unit of numbers that carry none: um, mil; degC, degF.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the command line."""
    for command in (record, verify, readings, logger, photo, history):
        app.command()(command)
    app.command("export")(export_job)
    app.command("import")(import_job)


@contextmanager
def _house(store: str, *, create: bool = False) -> Iterator[House]:
    from boottop.web.serve import house_on, opened_store

    with opened_store(_place(store), create=create) as opened, house_on(opened) as house:
        yield house


def _job(house: House, name: str) -> Job:
    from boottop.web.record_desk import find_job

    return find_job(house.store, name)


def record(
    job: JobName = "",
    store: StorePlace = "",
    *,
    out: Annotated[Path, typer.Option("--out", help="Folder for PDF, JSON and CSV.")] = Path(),
    us: Annotated[bool, typer.Option("--us", help="Feet, mils and Fahrenheit in the PDF.")] = False,
    demo: Annotated[bool, typer.Option("--demo", help="The demonstration, finished: an invented log.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the JSON on stdout, write no file.")] = False,
) -> None:
    """Write the coating record of a job: what was done, in what conditions, by whom, with which lot."""
    import tempfile

    from boottop.cli_work import write_out
    from boottop.files.record_data import record_json
    from boottop.web.demo_record import make_finished_demo
    from boottop.web.record_desk import record_of

    with (
        tempfile.TemporaryDirectory(prefix="boottop-", ignore_cleanup_errors=True) as folder,
        _house(str(Path(folder, "demo.db")) if demo and not store else store, create=demo) as house,
    ):
        which = make_finished_demo(house) if demo else _job(house, job).id
        if as_json:
            write_out(record_json(record_of(house, which), house.ledger.events(which)))
            return
        _write_record(house, which, out, system="us" if us else "metric")


def _write_record(house: House, job: str, out: Path, *, system: System) -> None:
    from boottop.cli_work import folder_refused
    from boottop.console import say
    from boottop.files.save import check_places, write_bytes
    from boottop.record.deviations import open_ones
    from boottop.web.record_files import record_files

    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise folder_refused(out, error) from None
    made = record_files(house, job, system=system)
    check_places({f"--out {name}": out / name for name in made.files})
    for name, content in made.files.items():
        write_bytes(out / name, content)
        say(f"wrote {out / name}")
    counts = open_ones(made.record.deviations)
    say(f"{counts['all']} deviations, {counts['serious']} of them serious, {counts['unexplained']} not explained")
    say(f"end of the log: {made.record.chain.head}")
    for fault in made.record.chain.faults:
        say(f"NOT AS IT WAS WRITTEN: {fault}")


def verify(
    job: JobName,
    store: StorePlace = "",
    *,
    printed: Annotated[str, typer.Option("--printed", help="The end of the log as a record on paper has it.")] = "",
) -> None:
    """Say whether a job's log, photographs and readings are as they were written down."""
    from boottop.base.errors import Problem
    from boottop.console import say
    from boottop.files.record_verify import verify_job
    from boottop.web.serve import opened_store

    with opened_store(_place(store), create=False) as opened:
        from boottop.web.record_desk import find_job

        kept = find_job(opened, job)
        found = verify_job(opened, kept.id, printed=printed)
    if found.faults:
        raise InputError(
            Problem(
                where=f"job {kept.name!r}",
                found=fault,
                allowed="a job that is as it was written down",
                advice="Restore a backup from before; keep this store as it is for whoever asks.",
            )
            for fault in found.faults
        )
    say(f"{kept.name}: whole. {found.events} entries, {found.photos} photographs, {found.documents} documents.")
    if found.printed_seq is not None:
        later = found.events - found.printed_seq
        say(f"the printed end is entry {found.printed_seq}; {later} came after it")
    say(f"end of the log: {found.head}")


def readings(  # noqa: PLR0913 - one parameter an option of the command
    job: JobName,
    file: Annotated[Path, typer.Argument(help="CSV of a film gauge.")],
    store: StorePlace = "",
    *,
    mapping: Maps = None,
    unit: Unit = "",
    method: Annotated[
        str, typer.Option("--method", help="comb, magnetic, eddy_current, ultrasonic or destructive.")
    ] = "",
    zone: Annotated[str, typer.Option("--zone", help="Zone of every reading of the file.")] = "",
    who: Who = "Skipper",
) -> None:
    """Bring film readings in from a gauge's CSV, all of them or none; how its columns are read is remembered."""
    from boottop.console import say
    from boottop.web.record_intake import take_film

    given = _given(mapping, unit=unit, method=method, zone=zone)
    with _house(store) as house:
        for line in take_film(house, _job(house, job).id, (file.name, _content(file)), given=given, who=who):
            say(line)


def logger(  # noqa: PLR0913 - one parameter an option of the command
    job: JobName,
    file: Annotated[Path, typer.Argument(help="CSV of a temperature and humidity logger.")],
    store: StorePlace = "",
    *,
    mapping: Maps = None,
    unit: Unit = "",
    dates: Annotated[str, typer.Option("--dates", help="dmy or mdy, for dates such as 04/05/2026.")] = "",
    time_zone: Annotated[str, typer.Option("--time-zone", help="Zone of the logger's clock, if not the yard's.")] = "",
    who: Who = "Skipper",
) -> None:
    """Bring a logger's readings into the log of a job; the same file twice is taken once."""
    from boottop.console import say
    from boottop.web.record_intake import take_logger

    given = _given(mapping, unit=unit, dates=dates, time_zone=time_zone)
    with _house(store) as house:
        for line in take_logger(house, _job(house, job).id, (file.name, _content(file)), given=given, who=who):
            say(line)


def photo(
    job: JobName,
    files: Annotated[list[Path], typer.Argument(help="Photographs.")],
    store: StorePlace = "",
    *,
    zone: Annotated[str, typer.Option("--zone", help="The zone that they show.")] = "",
    who: Who = "Skipper",
) -> None:
    """Bring photographs into a job, each by its camera's clock; what is none is named, the rest goes in."""
    from boottop.console import say
    from boottop.web.record_intake import take_photos

    with _house(store) as house:
        contents = {path.name: _content(path) for path in files}
        taken, problems = take_photos(house, _job(house, job).id, contents, zone=zone, who=who)
    for line in taken:
        say(line)
    if problems:
        raise InputError(problems)


def history(
    job: JobName,
    store: StorePlace = "",
    *,
    csv: Annotated[
        Path | None, typer.Option("--csv", help="Visits to add: date, what, zone, fouling, film, note.")
    ] = None,
    who: Who = "Skipper",
) -> None:
    """Print the years of a boat: visits, fouling, film left, when it is due, bare spots from last time."""
    from boottop.console import say
    from boottop.web.record_desk import record_of
    from boottop.web.record_intake import history_lines, take_visits

    with _house(store) as house:
        which = _job(house, job).id
        if csv is not None:
            for line in take_visits(house, which, (csv.name, _content(csv)), who=who):
                say(line)
        lines = history_lines(record_of(house, which))
    for line in lines:
        typer.echo(line)


def export_job(
    job: JobName,
    target: Annotated[Path, typer.Argument(help="The file to write; it must not be there yet.")],
    store: StorePlace = "",
) -> None:
    """Write a whole job to one file: log, papers, photographs, all with checksums."""
    from boottop.console import say
    from boottop.files.archive import export_job as write
    from boottop.web.house import world_now
    from boottop.web.record_desk import find_job
    from boottop.web.serve import opened_store

    with opened_store(_place(store), create=False) as opened:
        packed = write(opened, find_job(opened, job).id, target, now=world_now())
    say(f"wrote {target}: {packed.events} entries, {packed.documents} documents, {packed.photos} photographs")
    for digest in packed.missing:
        say(f"without photograph {digest[:16]}: its file is gone or was changed")


def import_job(
    source: Annotated[Path, typer.Argument(help="A file that boottop export wrote.")],
    store: StorePlace = "",
) -> None:
    """Bring a whole job in from one file, checked before anything is written."""
    from boottop.console import say
    from boottop.files.archive import import_job as bring
    from boottop.web.serve import opened_store

    with opened_store(_place(store)) as opened:
        packed = bring(opened, source)
    say(f"{packed.name}: {packed.events} entries, {packed.documents} documents, {packed.photos} photographs")
    say(f"end of the log: {packed.head}")


def _content(file: Path) -> bytes:
    from boottop.files.weather.table import refuse

    try:
        return file.read_bytes()
    except OSError as error:
        raise refuse(str(file), error.strerror or str(error), allowed="a file that can be read",
                     advice="Check its name.") from None  # fmt: skip


def _given(mapping: list[str] | None, **fixed: str) -> ColumnMap:
    from boottop.base.errors import Problem
    from boottop.files.loose_csv import ColumnMap

    columns = {}
    for text in mapping or ():
        name, sign, column = text.partition("=")
        if not sign or not name.strip() or not column.strip():
            raise InputError(
                Problem(where="--map", found=repr(text), allowed='such as "value=DFT 1"', advice="Write it so.")
            )
        columns[name.strip()] = column.strip()
    return ColumnMap(columns=columns, fixed={name: value for name, value in fixed.items() if value})
