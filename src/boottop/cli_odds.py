"""Commands that look beyond one forecast: the odds by season, and the choice among options over an ensemble."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from boottop.base.errors import InputError, Problem
from boottop.odds_wish import SIDES, SIDES_RULES, Wish

if TYPE_CHECKING:
    from boottop.files.odds_json import OddsDocument
    from boottop.odds_ask import Answer

T = TypeVar("T")

AsJson = Annotated[bool, typer.Option("--json", help="Print a JSON document on stdout; see `boottop schema`.")]
JobFile = Annotated[Path, typer.Argument(help="The job sheet (TOML).")]
WeatherFiles = Annotated[
    list[Path] | None, typer.Option("--weather", help="Weather of past years; as many files as you like.")
]
Places = Annotated[
    list[str] | None,
    typer.Option("--place", help="NAME=FILE,FILE or NAME@LATITUDE,LONGITUDE,ZONE=FILE#STATION; once a place."),
]
Week = Annotated[
    str | None, typer.Option("--week", help="Week to compare options for, MM-DD in it; else of the earliest haul-out.")
]
SaveFile = Annotated[
    Path | None, typer.Option("--save", help="Write the result as JSON: for `boottop cost --odds` and the Odds page.")
]
Station = Annotated[str | None, typer.Option("--station", help="Which station, in a file that holds several.")]
AssumeDry = Annotated[bool, typer.Option("--assume-dry", help="Take rain that the file lacks as none; said.")]
People = Annotated[list[int] | None, typer.Option("--crew", min=1, max=12, help="Hands; several are compared.")]
Tent = Annotated[str, typer.Option("--tent", help="no, yes, or both to compare.")]
Coats = Annotated[list[int] | None, typer.Option("--coats", min=1, max=9, help="Antifouling coats; several compared.")]
Sides = Annotated[str | None, typer.Option("--sides", help="one_day, side_a_day or either; else as the sheet says.")]
First = Annotated[str, typer.Option("--first", help="port, starboard, or both to compare.")]
Wait = Annotated[
    list[int] | None, typer.Option("--wait", min=0, max=30, help="Lost days to wait for a day that takes both sides.")
]
Within = Annotated[list[int] | None, typer.Option("--within", min=2, max=60, help="Days to be afloat within.")]
Target = Annotated[
    int | None, typer.Option("--target", min=2, max=60, help="Days to compare options by; default: as the sheet wants.")
]
Horizon = Annotated[
    int, typer.Option("--horizon", min=7, max=90, help="Days after which a start counts as never afloat.")
]
SeasonFrom = Annotated[str, typer.Option("--from", help="First start of the season, MM-DD.")]
SeasonTo = Annotated[str, typer.Option("--to", help="Last start of the season, MM-DD.")]
EverySlot = Annotated[bool, typer.Option("--every-slot", help="A start at every quarter of an hour, not each day.")]
Seed = Annotated[int, typer.Option("--seed", help="Seed of the resampled years.")]
Dask = Annotated[str | None, typer.Option("--dask", help="Address of a Dask scheduler that is running.")]
Threads = Annotated[int | None, typer.Option("--threads", min=1, max=256, help="Threads here; default: all cores.")]
Keep = Annotated[Path | None, typer.Option("--keep", help="Folder for finished pieces; taken up again from there.")]

PageFile = Annotated[Path | None, typer.Option("--page", help="Write the study as one self-contained HTML page.")]
SvgFile = Annotated[Path | None, typer.Option("--svg", help="Write the pictures as SVG.")]
PngFile = Annotated[Path | None, typer.Option("--png", help="Write the pictures as PNG.")]
EnsembleFiles = Annotated[
    list[Path], typer.Option("--ensemble", help="An ensemble's answer (JSON), one file a member, or past years.")
]
Risk = Annotated[float, typer.Option("--risk", min=0.0, max=0.9, help="Chance of being late that you bear.")]
By = Annotated[datetime | None, typer.Option("--by", formats=["%Y-%m-%d"], help="Last good day; else the sheet's.")]
HaulDays = Annotated[int, typer.Option("--haul-days", min=1, max=40, help="Days in which lift slots are looked at.")]
LookAhead = Annotated[int, typer.Option("--days", min=7, max=60, help="Days of weather looked at.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the command line."""
    app.command()(odds)
    app.command()(choose)


def odds(  # noqa: PLR0913 - one parameter an option of the command
    job: JobFile,
    weather: WeatherFiles = None,
    *,
    place: Places = None,
    station: Station = None,
    assume_dry: AssumeDry = False,
    crew: People = None,
    tent: Tent = "no",
    coats: Coats = None,
    sides: Sides = None,
    first: First = "both",
    wait: Wait = None,
    within: Within = None,
    target: Target = None,
    horizon: Horizon = 35,
    season_from: SeasonFrom = "01-01",
    season_to: SeasonTo = "12-31",
    week: Week = None,
    every_slot: EverySlot = False,
    seed: Seed = 20,
    dask: Dask = None,
    threads: Threads = None,
    keep: Keep = None,
    page: PageFile = None,
    svg: SvgFile = None,
    png: PngFile = None,
    save: SaveFile = None,
    as_json: AsJson = False,
) -> None:
    """How likely she is afloat again within so many days, by week of the start, over years of weather."""
    from boottop import cli_work
    from boottop.files.odds_json import odds_document
    from boottop.files.save import check_places
    from boottop.odds_ask import Ask, answer, days_wanted, season_of, study_ways, week_asked
    from boottop.odds_places import places_of
    from boottop.odds_spread import Spread
    from boottop.odds_work import Study
    from boottop.plan.odds_result import WITHIN_DAYS, Question
    from boottop.terminal_odds import show_odds

    files, places = tuple(weather or ()), places_of(place or ())
    read = [job, *files, *(path for one in places for path in one.files)]
    check_places({"--page": page, "--svg": svg, "--png": png, "--save": save}, read=read)
    ashore = cli_work.ashore(job)
    wish = Wish(
        people=tuple(crew or ()),
        tents=_one_of("--tent", tent, {"no": (False,), "yes": (True,), "both": (False, True)}),
        coats=tuple(coats or ()),
        sides=_one_of("--sides", sides or ashore.job.plan.wishes.sides, {name: name for name in SIDES_RULES}),
        firsts=_one_of("--first", first, {"both": SIDES, "port": SIDES[:1], "starboard": SIDES[1:]}),
        waits=tuple(wait or ()),
    )
    season = season_of(season_from, season_to)
    study = Study(ways=study_ways(ashore, wish), horizon_days=horizon, season=season, every_slot=every_slot)
    question = Question(
        within=tuple(within or WITHIN_DAYS),
        target_days=target or days_wanted(ashore),
        week=week_asked(ashore, season, week),
        seed=seed,
    )
    ask = Ask(files=files, places=places, station=station, assume_dry=assume_dry, study=study, question=question)
    with _kept(keep), _progress() as told:
        found = answer(ashore, ask, spread=Spread(dask=dask, threads=threads, folder=keep), told=told)
    document = odds_document(found)
    if as_json:
        cli_work.print_json(document)
    else:
        show_odds(found)
    _write(found, document, places={"page": page, "svg": svg, "png": png, "save": save})


@contextmanager
def _kept(folder: Path | None) -> Iterator[None]:
    """An interrupt says what is kept."""
    from boottop.console import say

    try:
        yield
    except KeyboardInterrupt:
        if folder is None:
            say("Interrupted; nothing is kept. With --keep FOLDER finished pieces are, and the same command goes on.")
        else:
            say(f"Interrupted; {len(list(folder.glob('*.npz')))} finished pieces are kept in {folder}.")
            say("The same command goes on from there.")
        raise typer.Exit(130) from None


def _write(found: Answer, document: OddsDocument, *, places: Mapping[str, Path | None]) -> None:
    """Page, pictures and result as they were asked for."""
    from boottop.console import say
    from boottop.files.documents import as_json
    from boottop.files.save import write_bytes
    from boottop.report.odds_page import odds_page
    from boottop.report.odds_picture import picture_svg, png_of

    title = f"{document.boat}: when to haul, and how sure"
    odds = [place.odds for place in found.places]
    drawn = picture_svg(odds, title=title, currency=document.currency) if places["svg"] or places["png"] else ""
    made: Mapping[str, Callable[[], bytes]] = {
        "page": lambda: odds_page(document).encode(),
        "svg": drawn.encode,
        "png": lambda: png_of(drawn),
        "save": lambda: as_json(document).encode(),
    }
    for what, path in places.items():
        if path is not None:
            write_bytes(path, made[what]())
            say(f"wrote {path}")
    if places["save"] is not None:
        of = document.days_ashore_of
        out = f"; {of.left_out} of {of.starts} starts left out, not afloat in time" if of.left_out else ""
        say(f"days ashore in it, for boottop cost --odds: {of.option}, week of {of.week_of}, {of.place}{out}")


def choose(  # noqa: PLR0913 - one parameter an option of the command
    job: JobFile,
    ensemble: EnsembleFiles,
    *,
    station: Station = None,
    assume_dry: AssumeDry = False,
    risk: Risk = 0.1,
    by: By = None,
    haul_days: HaulDays = 10,
    days: LookAhead = 28,
    threads: Threads = None,
    as_json: AsJson = False,
) -> None:
    """Which haul-out slot, side first, tent and helper: the cheapest choice that is late seldom enough."""
    import os

    from boottop import cli_work
    from boottop.choose_work import ChooseAsk, make_choice
    from boottop.console import say
    from boottop.ensemble_files import load_members
    from boottop.files.odds_json import choose_document
    from boottop.terminal_odds import show_choices

    ashore = cli_work.ashore(job)
    ask = ChooseAsk(risk=risk, by=None if by is None else by.date(), haul_days=haul_days, days=days)
    members = load_members(ensemble, ashore.job, days=days, station=station, assume_dry=assume_dry)
    with _progress("walking through the members") as told:
        found = make_choice(ashore, members.weathers, ask, threads=threads or os.cpu_count() or 1, told=told)
    if as_json:
        cli_work.print_json(choose_document(found, members.notes))
        return
    show_choices(found)
    for note in members.notes:
        say(f"- {note}")


def _one_of(option: str, value: str, meaning: Mapping[str, T]) -> T:
    if value in meaning:
        return meaning[value]
    raise InputError(
        Problem(where=option, found=repr(value), allowed=", ".join(meaning), advice="Write one of these words.")
    )


@contextmanager
def _progress(what: str = "walking through the years") -> Iterator[Callable[[int, int], None]]:
    """A bar over the pieces of the work."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from boottop.console import console

    columns = (TextColumn(what), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console(), transient=True) as bar:
        task = bar.add_task("", total=None)

        def told(done: int, of: int) -> None:
            bar.update(task, completed=done, total=of)

        yield told
