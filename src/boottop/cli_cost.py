"""`boottop cost` and `boottop proof`: does it pay, and did it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from boottop.files.cost_case import DaysAshore, JobFacts
    from boottop.files.cost_log import LogSheet
    from boottop.files.cost_sheet import CostSheet
    from boottop.plan.plan import Plan
    from boottop.weather_source import WeatherWish
    from boottop.workflow import Ashore

JobFile = Annotated[Path, typer.Argument(help="The job sheet (TOML).")]
CostFile = Annotated[
    Path | None, typer.Option("--prices", help="The cost document; else cost.toml beside the job sheet.")
]
WeatherFile = Annotated[
    Path | None, typer.Option("--weather", help="Hourly weather file for the plan; else as in plan.")
]
AssumeDry = Annotated[bool, typer.Option("--assume-dry", help="Take rain that the file lacks as none.")]
OddsFile = Annotated[Path | None, typer.Option("--odds", help="Days ashore of the odds (JSON) instead of the plan's.")]
NoPlan = Annotated[bool, typer.Option("--no-plan", help="Do not plan; the document must then give days and hours.")]
Draws = Annotated[int, typer.Option("--draws", min=100, max=200_000, help="Draws from the ranges.")]
Seed = Annotated[int, typer.Option("--seed", min=0, max=2**31, help="The same seed draws the same numbers.")]
PageFile = Annotated[Path | None, typer.Option("--page", help="Write the comparison as one self-contained HTML page.")]
LogFiles = Annotated[list[Path], typer.Argument(help="Logs of speed with fuel or revolutions; see docs/cost.md.")]
Hauled = Annotated[str, typer.Option("--hauled", help="Day of the haul-out, such as 2026-04-25.")]
Afloat = Annotated[str, typer.Option("--afloat", help="Day of the launch.")]
Worth = Annotated[float, typer.Option("--worth", min=0.005, max=0.5, help="Smallest change worth knowing, 0.05: 5 %.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print a JSON document on stdout.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(cost)
    app.command()(proof)


def cost(  # noqa: PLR0913 - one parameter an option of the command
    job: JobFile,
    prices: CostFile = None,
    weather: WeatherFile = None,
    *,
    assume_dry: AssumeDry = False,
    odds: OddsFile = None,
    no_plan: NoPlan = False,
    draws: Draws = 10_000,
    seed: Seed = 20,
    page: PageFile = None,
    as_json: AsJson = False,
) -> None:
    """Does it pay: ways to keep the bottom, side by side over the years, with fuel. Writes cost.toml when missing."""
    from boottop import cli_work
    from boottop.files.cost_job import load_odds
    from boottop.files.save import check_places
    from boottop.weather_source import WeatherWish

    read = [job, *(one for one in (prices, weather, odds) if one)]
    check_places({"--page": page}, read=read)
    ashore = cli_work.ashore(job)
    sheet = _sheet(ashore, job, prices)
    spread = load_odds(odds) if odds else None
    facts = _facts(ashore, sheet, WeatherWish(path=weather, assume_dry=assume_dry), odds=spread, no_plan=no_plan)
    _show(sheet, facts, draws=draws, seed=seed, page=page, as_json=as_json)


def _sheet(ashore: Ashore, job: Path, prices: Path | None) -> CostSheet:
    """The cost document; written first where there is none."""
    from boottop.console import say
    from boottop.files.cost_job import known_of
    from boottop.files.cost_sheet import COST_FILE, load_cost
    from boottop.files.cost_template import cost_text
    from boottop.files.save import check_places, write_bytes

    path = prices or job.parent / COST_FILE
    if prices is None and not path.exists():
        check_places({COST_FILE: path}, read=[job])
        write_bytes(path, cost_text(known_of(ashore)).encode())
        say(f"wrote {path}: its prices are guesses until you put your own in")
    return load_cost(path, currency=ashore.job.plan.currency)


def _facts(ashore: Ashore, sheet: CostSheet, wish: WeatherWish, *, odds: DaysAshore | None, no_plan: bool) -> JobFacts:
    from boottop.files.cost_job import facts_of, needs_plan

    if no_plan or not needs_plan(sheet):
        return facts_of(ashore, None, odds=odds, no_plan="no plan was made")
    found, why = _plan(ashore, wish)
    return facts_of(ashore, found, odds=odds, no_plan=why)


def _plan(ashore: Ashore, wish: WeatherWish) -> tuple[Plan, str]:
    from boottop import cli_work

    planned = cli_work.planned(ashore, cli_work.outlook(ashore, wish), 60.0)
    return planned.plan, "there is no plan in this weather"


def _show(sheet: CostSheet, facts: JobFacts, *, draws: int, seed: int, page: Path | None, as_json: bool) -> None:
    from boottop.report.cost_view import view_of

    view = view_of(sheet, facts, draws=draws, seed=seed)
    if page is not None:
        from boottop.console import say
        from boottop.files.save import write_bytes
        from boottop.report.cost_page import cost_page

        write_bytes(page, cost_page(view).encode())
        say(f"wrote {page}")
    if as_json:
        from boottop import cli_work
        from boottop.files.cost_json import cost_document

        cli_work.print_json(cost_document(view.decision, boat=facts.boat))
    else:
        from boottop.terminal_cost import show_cost

        show_cost(view)


def proof(
    job: JobFile,
    logs: LogFiles,
    *,
    hauled: Hauled,
    afloat: Afloat,
    prices: CostFile = None,
    worth: Worth = 0.05,
    as_json: AsJson = False,
) -> None:
    """Did it pay: burn and speed before the haul-out and after the launch, from the boat's own log."""
    from boottop.console import say
    from boottop.files.cost_proof import prove_files, spans_of
    from boottop.files.jobsheet import load_job

    found = load_job(job)
    ashore_s = spans_of(found, hauled, afloat)
    result, notes = prove_files(found, logs, ashore_s, how=_log_how(job, prices, found.plan.currency), worth=worth)
    if as_json:
        from boottop import cli_work
        from boottop.files.cost_json import proof_document

        cli_work.print_json(proof_document(result, boat=found.boat.name, notes=notes))
        return
    from boottop.terminal_cost import show_proof

    show_proof(result)
    for note in notes:
        say(f"  note: {note}")


def _log_how(job: Path, prices: Path | None, currency: str) -> LogSheet:
    """[log] of the cost document where there is one."""
    from boottop.files.cost_log import LogSheet
    from boottop.files.cost_sheet import COST_FILE, load_cost

    path = prices or job.parent / COST_FILE
    return load_cost(path, currency=currency).log if prices or path.exists() else LogSheet()
