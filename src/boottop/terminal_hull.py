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
    from collections.abc import Sequence

    from boottop.facing import FacingRow
    from boottop.files.hull_mesh import RawHull
    from boottop.files.hull_offsets import OffsetsFile
    from boottop.files.stand_record import Stood
    from boottop.measure.guide import Guide
    from boottop.measure.mesh_frame import Guess
    from boottop.measure.spots import Spot


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


def show_guide(guide: Guide) -> None:
    """The girths to tape, in order."""
    table = _table(
        "The girths, in the order of taping",
        ("No", "Station, m", "half-girth, m", "half-beam, m", "", "area then known to, m2"),
        numbers=(0, 1, 2, 3, 5),
    )
    for number, step in enumerate(guide.steps, start=1):
        beam = "" if step.half_beam_m is None else f"{step.half_beam_m:.2f}"
        sd = "" if step.sd_m2 is None else f"+- {step.sd_m2:.2f}"
        state = "taped" if step.taped else "to tape, expect about this"
        _row(table, number, f"{step.station_m:.2f}", f"{step.half_girth_m:.2f}", beam, state, sd)
    console().print(table)
    say(
        f"About {guide.area_m2:.1f} m2. However many girths, {guide.floor_sd_m2:.2f} m2 of doubt stay (tape and slant)."
    )


def show_stands(spots: Sequence[Spot], before: Sequence[Stood], *, length_m: float) -> None:
    """Where she stands, which spots cover earlier ones again, and other places to ask for."""
    from boottop.measure.spots import clashes, other_places

    old = [stood.spot for stood in before]
    again = clashes(spots, old)
    ask = other_places([*spots, *(spot for spot in old if spot not in spots)], length_m=length_m)[: len(spots)]
    table = _table(
        "Where she stands",
        ("What", "set", "side", "station, m", "height, m", "covers again", "next time ask for"),
        numbers=(1, 3, 4, 6),
    )
    for spot, other in zip(spots, ask, strict=True):
        older = [one for one in before if any(clash.now is spot and clash.before is one.spot for clash in again)]
        days = ", ".join(sorted({one.day.isoformat() for one in older}))
        place = "no place free" if other.station_m == spot.station_m else f"{other.station_m:.2f} m"
        _row(table, spot.name, spot.stand_set, spot.side, f"{spot.station_m:.2f}", f"{spot.height_m:.2f}", days, place)
    console().print(table)
    if not spots:
        say("The sheet has no places yet: write spots in [[hidden]] (side, station, height).")
    for one, other in _within(spots):
        say(f"  {one.name}, set {one.stand_set}, lies over set {other.stand_set} at {other.station_m:.2f} m: move one.")
    say("Only the yard moves a stand, and it decides whether a place bears. Ask for others before she is hauled out.")


def _within(spots: Sequence[Spot]) -> list[tuple[Spot, Spot]]:
    """Spots of one set that lie over those of another: they would never be coated."""
    from boottop.measure.spots import clashes

    return [(c.now, c.before) for c in clashes(spots, spots) if c.now.stand_set > c.before.stand_set]


def show_facing(rows: Sequence[FacingRow]) -> None:
    """Windows by side and by facet group, a table for each coating."""
    for product in dict.fromkeys(row.product for row in rows):
        table = _table(
            f"{product}: the hull by side, and by groups of facets",
            ("Zone", "patches", "open, h", "only by side", "only by facets", "wait, min"),
            numbers=(1, 2, 3, 4, 5),
        )
        for row in (row for row in rows if row.product == product):
            waits = ["" if wait is None else f"{wait:.0f}" for wait in (row.side_wait_min, row.facet_wait_min)]
            _row(
                table,
                row.zone,
                f"{row.side_patches}, {row.facet_patches}",
                f"{row.side_open_h:.2f}, {row.facet_open_h:.2f}",
                f"{row.only_side_h:.2f}",
                f"{row.only_facet_h:.2f}",
                ", ".join(waits),
            )
        console().print(table)
    say("Two figures: by side, then by facets. Open: hours in which a coat may be started; then those open one way.")
    say("Wait: median time until the next coat, at the cautious edge, over finishes in hours open both ways.")
