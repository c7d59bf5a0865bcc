"""The job sheet on what a hull file and places add: measure.hull_file, and [[hidden]] with where each one stands."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Any, get_args

from boottop.base.errors import InputError, Problem
from boottop.files.job import Boat
from boottop.files.jobsheet_table import REQUIRED, Span, Table, in_span, refuse
from boottop.files.jobsheet_words import rectangle_sides
from boottop.measure.checks import SLINGS, SOLE
from boottop.measure.hull import Side
from boottop.measure.inputs import Hidden, Hiding
from boottop.measure.mesh import MeshHull
from boottop.measure.mesh_frame import length_problem
from boottop.measure.spots import Spot

LENGTH_SLACK = 0.03
_COUNT = Span(low=1, high=100)
_PLACE = '"port, 2.40 m, 0.85 m": side, station aft from the fore end of the waterline, height above the keel\'s sole'
_SIDES: dict[str, tuple[Side, ...]] = {
    "port": ("port",),
    "starboard": ("starboard",),
    "centre": ("centre",),
    "both": ("port", "starboard"),
}


def read_hidden(table: Table) -> Hidden:
    """One [[hidden]]: what covers hull or stays bare, by area or size, and where each one stands if that is said."""
    given = [key for key in ("area_each", "size") if table.has(key)]
    if len(given) != 1:
        table.note(
            "area_each",
            found=" and ".join(given) or "nothing",
            allowed="exactly one of area_each and size",
            advice='Write size = "30 cm x 30 cm" or area_each = "0.09 m2".',
        )
    length, width = table.read("size", rectangle_sides, (0.0, 0.0), fallback=(0.0, 0.0))
    area = table.quantity("area_each", "area", Span(low=0.0, high=20.0, above=True), default=length * width)
    if "size" not in given:
        length = width = sqrt(area)
    name, kind = table.text("name"), table.choice("kind", get_args(Hiding))
    number = table.whole("stand_set", Span(low=1, high=5), default=1)
    places = _places(table, kind)
    spots = tuple(
        Spot(
            name=name, kind=kind, side=side, station_m=station, height_m=height,
            length_m=length, width_m=width, stand_set=number,
        )
        for side, station, height in places
    )  # fmt: skip
    hidden = Hidden(
        name=name,
        kind=kind,
        area_each_m2=area,
        count=_count(table, len(spots)),
        side=_side(table, spots),
        stand_set=number,
        zone=table.text("zone") if table.has("zone") else None,
        spots=spots,
    )
    table.close()
    return hidden


def _count(table: Table, places: int) -> int:
    count = table.whole("count", _COUNT, default=places or 1)
    if places and count != places and table.ok("count", "spots"):
        table.note(
            "count", found=f"{count} with {places} places", allowed=f"{places}", advice="Leave count out beside spots."
        )
    return count


def _side(table: Table, spots: Sequence[Spot]) -> Side:
    own = {spot.side for spot in spots}
    side: Side = table.choice("side", get_args(Side), default=own.pop() if len(own) == 1 else "centre")
    return side


def _places(table: Table, kind: str) -> list[tuple[Side, float, float]]:
    """Side, station and height of each place under `spots`; "both" stands for one on each side."""
    values = table.data.get("spots", ()) if table.has("spots") else ()
    if values and kind not in ("pads", "blocks", "slings"):
        table.note("spots", found=f"places of {kind}", allowed="of pads, blocks, slings", advice="Take spots out.")
        return []
    lines = table.each("spots", [values] if isinstance(values, str) else values, _place)
    return [place for line in lines for place in line]


def _place(value: Any, where: str) -> list[tuple[Side, float, float]]:
    parts = [part.strip() for part in value.split(",")] if isinstance(value, str) else []
    if len(parts) != 3 or parts[0] not in _SIDES:
        raise refuse(where, value, allowed=_PLACE, advice="Sides are port, starboard, centre, or both for a pair.")
    station = in_span(parts[1], "length", Span(low=0.0, high=60.0), where=where)
    height = in_span(parts[2], "length", Span(low=0.0, high=20.0), where=where)
    return [(side, station, height) for side in _SIDES[parts[0]]]


def read_hull_file(table: Table, boat: Boat, hidden: Sequence[Hidden], *, notes: list[str]) -> MeshHull | None:
    """measure.hull_file: the hull document, its mesh or table, with the places of stands and blocks on her; None where
    it could not be read (which has been told)."""
    hull: MeshHull | None = table.read(
        "hull_file", lambda value, where: _hull(value, where, (table, boat, hidden, notes)), REQUIRED, fallback=None
    )
    return hull


_Around = tuple[Table, Boat, Sequence[Hidden], list[str]]


def _hull(value: Any, where: str, around: _Around) -> MeshHull | None:
    from boottop.files.hull_document import HullDocument, mesh_hull, open_document

    table, boat, hidden, notes = around
    if not isinstance(value, str) or not value.lower().endswith(".toml"):
        advice = "Make one from a mesh or a table of offsets: boottop hull FILE --out hull.toml."
        raise refuse(where, value, allowed='a hull document, such as "hull.toml"', advice=advice)
    document, found = open_document(table.sheet.file.path.parent / value, label=value)
    length = found.bottom.waterline_length_m
    unit = document.pose.unit if isinstance(document, HullDocument) else "m"
    known = table.sheet.ok(("boat",))
    if known and (problem := length_problem(length, unit, expected_m=boat.waterline_length_m)):
        raise InputError(_beside(where, problem))
    if known and abs(length - boat.waterline_length_m) > LENGTH_SLACK * length:
        notes.append(
            f"{value}: the waterline of the file is {length:.2f} m long, boat.waterline_length "
            f"{boat.waterline_length_m:.2f} m: is she drawn on another waterline, or in another unit?"
        )
    if not table.sheet.ok(("hidden",)):
        return None
    zones = {"pads": "pads {}", "blocks": SOLE, "slings": SLINGS}
    spots = [
        (number, zones[one.kind].format(one.stand_set), spot) for number, one in enumerate(hidden) for spot in one.spots
    ]
    try:
        return mesh_hull(found, document, spots)
    except InputError as error:
        raise InputError(_beside(where, problem) for problem in error.problems) from None


def _beside(where: str, problem: Problem) -> Problem:
    return Problem(
        where=f"{where}: {problem.where}", found=problem.found, allowed=problem.allowed, advice=problem.advice
    )
