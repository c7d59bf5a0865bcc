"""`boottop tape`, `stands` and `facing`: what to tape next, where she stood, and which way the hull looks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from boottop import cli_work
from boottop.cli_weather import weather_options

if TYPE_CHECKING:
    from boottop.files.job import Job
    from boottop.measure.inputs import Girth, Girths
    from boottop.weather_source import WeatherWish
    from boottop.workflow import Ashore

JobFile = Annotated[Path, typer.Argument(help="The job sheet (TOML).")]
Most = Annotated[int, typer.Option("--stations", min=3, max=15, help="How many stations in all.")]
Picture = Annotated[Path | None, typer.Option("--picture", help="Write the picture of where to tape as SVG.")]
Record = Annotated[
    Path | None, typer.Option("--record", help="Add the places of the sheet to this CSV, under the haul-out's date.")
]
Before = Annotated[Path | None, typer.Option("--before", help="Such a CSV of earlier haul-outs, to keep clear of.")]


def tape(job: JobFile, most: Most = 9, *, picture: Picture = None) -> None:
    """Which girths to tape, in which order, and how sure the area is after each one."""
    from boottop.console import say
    from boottop.files.save import check_places, write_bytes
    from boottop.measure.guide import tape_guide, worth
    from boottop.report.tape_guide import tape_picture
    from boottop.terminal_hull import show_guide

    check_places({"--picture": picture}, read=[job])
    ashore = cli_work.ashore(job)
    shape, taped = _taped(ashore.job)
    guide = tape_guide(shape, taped, most=most)
    show_guide(guide)
    say(worth(guide, m2_per_kit=_m2_per_kit(ashore)))
    if picture is not None:
        write_bytes(picture, tape_picture(guide).encode())
        say(f"wrote {picture}")


def _taped(job: Job) -> tuple[Girths, tuple[Girth, ...]]:
    """What shape to expect, and the girths taped already: the sheet's, else a usual hull of her size and none."""
    from boottop.measure.guide import Body, usual_girths

    if job.hull.girths is not None:
        return job.hull.girths, job.hull.girths.readings
    main = job.hull.dimensions
    body = Body(
        waterline_length_m=job.boat.waterline_length_m,
        waterline_beam_m=None if main is None else main.waterline_beam_m,
        body_draft_m=None if main is None else main.body_draft_m,
    )
    return usual_girths(body), ()


def _m2_per_kit(ashore: Ashore) -> float | None:
    """Area that one kit of the antifouling covers with all its coats; None where none is ordered."""
    for line, system in zip(ashore.order.orders, ashore.job.plan.systems, strict=True):
        area = sum(coat.area_m2 for coat in line.coats if coat.coat == 1)
        if system.role == "antifouling" and area > 0.0:
            return system.sheet.kit_volume_l * area / line.litres
    return None


def stands(job: JobFile, *, record: Record = None, before: Before = None) -> None:
    """Where stands, blocks and slings touch her, which spots they cover again, and other places to ask the yard for."""
    from boottop.console import say
    from boottop.files.save import check_places, write_bytes
    from boottop.files.stand_record import load_record, record_text
    from boottop.terminal_hull import show_stands

    check_places({"--record": record}, read=[job])
    ashore = cli_work.ashore(job)
    spots = [spot for hidden in ashore.job.hull.hidden for spot in hidden.spots]
    earlier = load_record(before) if before is not None else ()
    show_stands(spots, earlier, length_m=ashore.job.boat.waterline_length_m)
    if record is not None:
        kept = load_record(record) if record.exists() else ()
        day = ashore.job.plan.wishes.earliest_haul.date()
        write_bytes(record, record_text(kept, spots, day=day, boat=ashore.job.boat.name).encode())
        say(f"wrote {record}: {len(spots)} places of {day}, beside {len(kept)} older ones")


@weather_options
def facing(job: JobFile, *, wish: WeatherWish) -> None:
    """How the windows differ when the hull is reckoned by groups of facets and not by side; for a hull from a file."""
    from datetime import UTC, datetime

    from boottop.base.errors import InputError, Problem
    from boottop.facing import compare_facing
    from boottop.terminal_hull import show_facing
    from boottop.weather_source import weather_for

    ashore = cli_work.ashore(job)
    if ashore.job.hull.mesh is None:
        raise InputError(
            Problem(
                where=f"{job}, measure.method",
                found="a hull that was not read from a file",
                allowed='method = "hull_file"',
                advice="boottop hull FILE --out hull.toml makes a hull document from a mesh or a table of offsets.",
            )
        )
    weather = weather_for(ashore.job, wish, now=datetime.now(UTC))
    show_facing(compare_facing(ashore, weather, days=wish.days))


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    for command in (tape, stands, facing):
        app.command()(command)
