"""The job sheet's sections on the boat: [boat], [hull], [measure], [[appendages]], [[hidden]], [[zones]]."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, get_args

from boottop.climate.weather import Site
from boottop.files.job import Boat
from boottop.files.jobsheet_hull import read_hidden, read_hull_file
from boottop.files.jobsheet_table import Span, Table, in_span, refuse
from boottop.files.jobsheet_words import absorptance
from boottop.measure.checks import GEAR, MAX_DEADRISE_DEG, SIDES
from boottop.measure.hull import Layer, Side
from boottop.measure.inputs import (
    Appendage,
    AppendageKind,
    Dimensions,
    Form,
    Girth,
    Girths,
    Hidden,
    HullMeasure,
    NamedZone,
    Offsets,
)
from boottop.measure.materials import MATERIALS

METHODS = ("girths", "offsets", "dimensions", "hull_file")
GIRTHS_TO = ("centreline", "keel_root")
KEELS = ("fin_keel", "bulb")
COATED_WITH_SIDES = ("fin_keel", "bulb", "skeg")
SEAWATER_KG_M3 = 1025.0
_BOAT = Span(low=2.0, high=60.0)
_PART = Span(low=0.0, high=20.0)
_SIZE = Span(low=0.0, high=20.0, above=True)
_SHEET = Span(low=0.0, high=0.5, above=True)
_COUNT = Span(low=1, high=100)
_SHARE = Span(low=0.2, high=1.0)


def read_boat(root: Table) -> Boat:
    """[boat]: name and main particulars."""
    table = root.table("boat")
    boat = Boat(
        name=table.text("name"),
        length_m=table.quantity("length", "length", _BOAT),
        waterline_length_m=table.quantity("waterline_length", "length", _BOAT),
        beam_m=table.quantity_or_none("beam", "length", _SIZE),
        draft_m=table.quantity_or_none("draft", "length", _SIZE),
        displacement_kg=table.quantity_or_none("displacement", "mass", Span(low=50.0, high=1e6)),
    )
    if table.ok("length", "waterline_length") and boat.waterline_length_m > boat.length_m:
        table.note(
            "waterline_length",
            found=f"{boat.waterline_length_m:.2f} m",
            allowed=f"at most the boat's length, {boat.length_m:.2f} m",
            advice="Are the two swapped?",
        )
    table.close()
    return boat


@dataclass(frozen=True, kw_only=True)
class HullSections:
    """What the sections on the hull give: the measurements, the colour, and whether a sound barrier coat is on her."""

    measure: HullMeasure
    absorptance: float
    barrier_sound: bool
    notes: tuple[str, ...]


def read_hull(root: Table, boat: Boat) -> HullSections:
    """[hull], [measure], [[appendages]], [[hidden]] and [[zones]]."""
    table = root.table("hull")
    material = table.choice("material", MATERIALS)
    keel = table.choice("keel_material", MATERIALS)
    notes: list[str] = []
    hidden = tuple(read_hidden(part) for part in root.tables("hidden"))
    measured = _read_measure(root, boat, hidden, notes=notes)
    measure = HullMeasure(
        laminate=_laminate(table, material),
        substrate=table.choice("surface", MATERIALS, default=material),
        keel_material=keel,
        deadrise_deg=table.quantity("deadrise", "angle", Span(low=0.0, high=MAX_DEADRISE_DEG)),
        sole_coated=table.flag("keel_sole_coated", default=False),
        appendages=tuple(_appendage(part, material, keel) for part in root.tables("appendages")),
        hidden=hidden,
        named_zones=tuple(_named_zone(part) for part in root.tables("zones")),
        **measured,
    )
    if not table.has("colour"):
        notes.append(f"hull.colour not given: {Site.hull_absorptance:.0%} of the sunlight taken up")
    sections = HullSections(
        measure=measure,
        absorptance=table.read("colour", absorptance, Site.hull_absorptance, fallback=Site.hull_absorptance),
        barrier_sound=table.flag("barrier_sound", default=False),
        notes=tuple(notes),
    )
    table.close()
    return sections


def _laminate(table: Table, material: str) -> tuple[Layer, ...]:
    """Layers from the outside in: one skin, or skin, core, skin."""
    outer = Layer(material=material, thickness_m=table.quantity("thickness", "length", _SHEET))
    if not table.has("core"):
        for key in ("core_thickness", "inner_thickness"):
            if table.has(key):
                table.note(
                    key, found="a thickness", allowed="only with a core", advice='Add core = "foam", or take it out.'
                )
        return (outer,)
    core = Layer(
        material=table.choice("core", MATERIALS), thickness_m=table.quantity("core_thickness", "length", _SHEET)
    )
    inner = table.quantity("inner_thickness", "length", _SHEET, default=outer.thickness_m)
    return (outer, core, Layer(material=material, thickness_m=inner))


def _read_measure(root: Table, boat: Boat, hidden: tuple[Hidden, ...], *, notes: list[str]) -> dict[str, Any]:
    """Exactly one of girths, offsets, dimensions, hull file, as keyword of HullMeasure."""
    table = root.table("measure")
    method = table.choice("method", METHODS)
    given = [name for name in METHODS if table.has(name)]
    if table.ok("method") and given != [method]:
        table.note(
            "method",
            found=f'"{method}" with {" and ".join(given) if given else "no measurements"}',
            allowed=f"measurements of exactly one kind, under measure.{method}",
            advice="Keep the measurements that the method names, and take the others out.",
        )
    for key in ("tape_sd", "girths_to"):
        if table.has(key) and "girths" not in given:
            table.note(key, found="the key", allowed='only with method = "girths"', advice="Take it out.")
    measured: dict[str, Any] = {}
    if "girths" in given:
        measured["girths"] = _girths(table, boat)
    if "offsets" in given:
        measured["offsets"] = _offsets(table.table("offsets"))
    if "dimensions" in given:
        measured["dimensions"] = _dimensions(table.table("dimensions"), boat, notes)
    if "hull_file" in given and (mesh := read_hull_file(table, boat, hidden, notes=notes)) is not None:
        measured["mesh"] = mesh
    table.close()
    return measured


def _girths(table: Table, boat: Boat) -> Girths:
    readings = []
    for part in table.tables("girths"):
        readings.append(
            Girth(
                station_m=part.quantity("station", "length", Span(low=0.0, high=60.0)),
                half_girth_m=part.quantity("half_girth", "length", _PART),
                half_beam_m=part.quantity_or_none("half_beam", "length", _PART),
            )
        )
        part.close()
    return Girths(
        waterline_length_m=boat.waterline_length_m,
        readings=tuple(readings),
        tape_sd_m=table.quantity("tape_sd", "length", Span(low=0.0, high=0.2), default=Girths.tape_sd_m),
        to_keel_root=table.choice("girths_to", GIRTHS_TO, default=GIRTHS_TO[0]) == "keel_root",
    )


def _offsets(table: Table) -> Offsets:
    offsets = Offsets(
        stations_m=_lengths(table, "stations", Span(low=0.0, high=60.0)),
        waterlines_m=_lengths(table, "waterlines", _PART),
        half_breadths_m=tuple(table.each("half_breadths", table.required_list("half_breadths"), _row)),
        draft_m=table.quantity("draft", "length", _SIZE),
    )
    table.close()
    return offsets


def _lengths(table: Table, key: str, span: Span) -> tuple[float, ...]:
    values = table.required_list(key)
    return tuple(table.each(key, values, lambda value, where: in_span(value, "length", span, where=where)))


def _row(row: Any, where: str) -> tuple[float | None, ...]:
    """Half-breadths of one station; "-" where there is no hull."""
    if not isinstance(row, list):
        raise refuse(where, row, allowed="a list of half-breadths, one a waterline", advice='Write ["0.4 m", "-"].')
    return tuple(None if value == "-" else in_span(value, "length", _PART, where=where) for value in row)


def _dimensions(table: Table, boat: Boat, notes: list[str]) -> Dimensions:
    displaced = table.quantity_or_none("displaced", "displacement", Span(low=0.05, high=1000.0))
    if displaced is None and boat.displacement_kg is not None:
        displaced = boat.displacement_kg / SEAWATER_KG_M3
        notes.append("measure: displaced volume taken from the boat's displacement in sea water, keel included")
    elif displaced is None:
        allowed = "the displaced volume here, or boat.displacement"
        table.note("displaced", found="nothing", allowed=allowed, advice='Add displaced = "6.2 m3".')
    dimensions = Dimensions(
        form=table.choice("form", get_args(Form)),
        waterline_length_m=boat.waterline_length_m,
        waterline_beam_m=table.quantity("waterline_beam", "length", _SIZE),
        body_draft_m=table.quantity("body_draft", "length", _SIZE),
        displaced_m3=displaced or 0.0,
        midship_coefficient=table.quantity_or_none("midship_coefficient", "fraction", _SHARE),
        waterplane_coefficient=table.quantity_or_none("waterplane_coefficient", "fraction", _SHARE),
    )
    table.close()
    return dimensions


def _appendage(table: Table, hull_material: str, keel_material: str) -> Appendage:
    kind = table.choice("kind", get_args(AppendageKind))
    part = Appendage(
        name=table.text("name"),
        kind=kind,
        length_m=table.quantity("length", "length", _SIZE),
        height_m=table.quantity("height", "length", _PART, default=0.0),
        thickness_m=table.quantity("thickness", "length", _PART, default=0.0),
        count=table.whole("count", _COUNT, default=1),
        side=table.choice("side", get_args(Side), default="centre"),
        zone=table.text("zone", default=SIDES if kind in COATED_WITH_SIDES else GEAR),
        material=table.choice("material", MATERIALS, default=keel_material if kind in KEELS else hull_material),
    )
    table.close()
    return part


def _named_zone(table: Table) -> NamedZone:
    zone = NamedZone(
        name=table.text("name"),
        side=table.choice("side", get_args(Side)),
        area_m2=table.quantity("area", "area", Span(low=0.0, high=500.0, above=True)),
        tilt_deg=table.quantity("tilt", "angle", Span(low=0.0, high=180.0), default=90.0),
    )
    table.close()
    return zone
