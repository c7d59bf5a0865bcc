"""`boottop picture`: the hull as a solid to turn round, or laid flat, as a file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

KINDS = (".glb", ".svg")


def register(app: typer.Typer) -> None:
    """Put the command on the command line."""
    app.command()(picture)


def picture(
    job: Annotated[Path, typer.Argument(help="The job sheet (TOML).")],
    *,
    out: Annotated[Path, typer.Option("--out", help="hull.glb: a solid (glTF 2.0); hull.svg: laid flat.")],
    us: Annotated[bool, typer.Option("--us", help="Feet along the edges of the flat drawing.")] = False,
) -> None:
    """Draw the hull by zones: a .glb to turn round in any viewer, or an .svg of girth against length."""
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
    check_places({"--out": out}, read=[job])
    ashore = cli_work.ashore(job)
    from boottop.report.hull_shape import area_note, hull_flat, hull_glb, shape_of

    shape = shape_of(ashore)
    if out.suffix.lower() == ".glb":
        write_bytes(out, hull_glb(ashore, shape))
    else:
        write_bytes(out, hull_flat(ashore, shape, units="us" if us else "metric").encode())
    say(f"wrote {out}")
    for note in (*shape.notes, area_note(shape, "us" if us else "metric")):
        if note:
            say(note)
