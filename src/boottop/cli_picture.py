"""`boottop picture`: the hull as a solid to turn round, or laid flat, as a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from boottop.base.quantities import System as Units
    from boottop.workflow import Ashore

KINDS = (".glb", ".svg")


def register(app: typer.Typer) -> None:
    """Put the command on the command line."""
    app.command()(picture)


def picture(
    job: Annotated[Path, typer.Argument(help="The job sheet (TOML).")],
    *,
    out: Annotated[Path, typer.Option("--out", help="hull.glb: a solid (glTF 2.0); hull.svg: laid flat.")],
    log: Annotated[
        Path | None, typer.Option("--log", help="The events of the job as JSON: an .svg of which kit went where.")
    ] = None,
    us: Annotated[bool, typer.Option("--us", help="Feet along the edges of the flat drawing.")] = False,
) -> None:
    """Draw the hull by zones: a .glb to turn round in any viewer, or an .svg of girth against length; with --log which
    kit went where."""
    from boottop import cli_work
    from boottop.base.errors import InputError, Problem
    from boottop.console import say
    from boottop.files.save import check_places, write_bytes

    if out.suffix.lower() not in KINDS:
        raise InputError(
            Problem(
                where=f"--out {out}",
                found=f"a file that ends in {out.suffix or 'nothing'}",
                allowed=" or ".join(KINDS),
                advice="Name it hull.glb for a solid, hull.svg for the flat drawing.",
            )
        )
    check_places({"--out": out}, read=[job, *([log] if log else [])])
    ashore = cli_work.ashore(job)
    from boottop.report.hull_shape import area_note, hull_flat, hull_glb, shape_of

    shape, units = shape_of(ashore), _units(us)
    if log is not None:
        write_bytes(out, _kits(ashore, log, units=units, out=out).encode())
    elif out.suffix.lower() == ".glb":
        write_bytes(out, hull_glb(ashore, shape))
    else:
        write_bytes(out, hull_flat(ashore, shape, units=units).encode())
    say(f"wrote {out}")
    for note in (*shape.notes, area_note(shape, units)):
        if note:
            say(note)


def _units(us: bool) -> Units:
    return "us" if us else "metric"


def _kits(ashore: Ashore, log: Path, *, units: Units, out: Path) -> str:
    """The map of kits from a log, or InputError where there is nothing to put on it."""
    from boottop.base.errors import InputError, Problem
    from boottop.files.event_log import read_events
    from boottop.job.fold import fold
    from boottop.report.hull_shape import shape_of
    from boottop.report.kit_map import kit_uses, kits_file

    if out.suffix.lower() != ".svg":
        raise InputError(
            Problem(
                where=f"--out {out}",
                found="a solid with --log",
                allowed="a file that ends in .svg",
                advice="The map of kits lies flat: name it kits.svg, or leave --log out.",
            )
        )
    uses = kit_uses(fold(read_events(log)), {zone.name: zone.area_m2 for zone in ashore.hull.zones})
    text = kits_file(shape_of(ashore), uses, units=units, boat=ashore.job.boat.name)
    if not text:
        raise InputError(
            Problem(
                where=f"--log {log}",
                found="no mix that was in use while a coat of its product went on",
                allowed="a log with mixes and coats",
                advice="Write mixes and coats down on the board, with their times.",
            )
        )
    return text
