"""What the terminal shows of a hull from a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from boottop.console import console, say
from boottop.files.hull_document import Imported
from boottop.measure.mesh import MeshHull
from boottop.measure.mesh_zones import parts_area_m2
from boottop.terminal import _row, _table

if TYPE_CHECKING:
    from boottop.files.hull_mesh import RawHull
    from boottop.files.hull_offsets import OffsetsFile
    from boottop.measure.mesh_frame import Guess


def show_pose(raw: RawHull, guess: Guess) -> None:
    """How the file's numbers were understood, and what of that was guessed."""
    from boottop.measure.mesh_frame import length_of, upright

    table = _table(f"{raw.kind.upper()}, {raw.surface.count:,} facets, {raw.parts} part(s)", ("What", "Taken as", "By"))
    values = {"unit": guess.pose.unit, "bow": guess.pose.bow, "up": guess.pose.up}
    for name, value in values.items():
        _row(table, name, value, "a guess" if name in guess.guessed else "what was said")
    size = np.ptp(upright(raw.surface, guess.pose).vertices_m, axis=0)
    table.add_section()
    _row(table, "length", f"{length_of(raw.surface, guess.pose):.2f} m", "")
    _row(table, "breadth", f"{size[1]:.2f} m", "half, if the file holds half a hull")
    _row(table, "height", f"{size[2]:.2f} m", "")
    console().print(table)
    for sentence in guess.because:
        say(f"  {sentence}")


def show_hull(found: Imported, hull: MeshHull) -> None:
    """Size at the waterline, zones with their parts, and what was done to the file."""
    b = found.bottom
    box = b.waterline_length_m * b.waterline_beam_m * b.draft_m
    table = _table("At the waterline", ("What", "", ""), numbers=(1,))
    rows = (
        ("waterline length", f"{b.waterline_length_m:.3f} m", ""),
        ("waterline beam", f"{b.waterline_beam_m:.3f} m", ""),
        ("draft", f"{b.draft_m:.3f} m", "keel and all that is in the file"),
        ("volume", f"{b.volume_m3:.3f} m3", f"{1.025 * b.volume_m3:.2f} t in sea water"),
        ("block coefficient", f"{b.volume_m3 / box if box > 0 else 0.0:.3f}", ""),
        ("waterplane", f"{b.waterplane_m2:.2f} m2", ""),
        ("under the boot top", f"{b.area_m2:.2f} m2", f"give or take {found.area_sd_m2:.2f} m2"),
    )
    for row in rows:
        _row(table, *row)
    console().print(table)
    zones = _table("Zones", ("Zone", "Area, m2", "hull", "keel", "sole", "ends", "gear"), numbers=(1, 2, 3, 4, 5, 6))
    for name in hull.mesh.zone_names:
        parts = parts_area_m2(hull.mesh, name)
        cells = [
            f"{parts[part]:.2f}" if parts[part] > 0.005 else "" for part in ("hull", "keel", "sole", "end", "gear")
        ]
        _row(zones, name, f"{hull.mesh.zone_area_m2(name):.2f}", *cells)
    console().print(zones)
    _show_keel(found)
    for note in hull.notes:
        say(f"  {note}")


def _show_keel(found: Imported) -> None:
    if found.keel_root_m is not None:
        depth = f"{-found.keel_root_m:.2f} m"
        say(f"  Keel: all that lies over {depth} under the waterline. Another height: --keel-root; none: --no-keel.")
    else:
        say("  No keel was told from the hull; if there is one, say where it begins: --keel-root.")


def show_offsets(read: OffsetsFile, found: Imported) -> None:
    """What the table gives, beside what it says of itself."""
    b = found.bottom
    box = b.waterline_length_m * b.waterline_beam_m * b.draft_m
    table = _table("The table", ("What", "as lofted", "the file's own", "apart"), numbers=(1, 2, 3))
    own = (
        ("volume, m3", b.volume_m3, read.own_volume_m3),
        ("block coefficient", b.volume_m3 / box, read.own_block),
    )
    for name, value, said in own:
        apart = "" if said is None else f"{100.0 * (value / said - 1.0):+.1f} %"
        _row(table, name, f"{value:.3f}", "" if said is None else f"{said:.3f}", apart)
    console().print(table)
