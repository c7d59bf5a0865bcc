"""Everything that can be wrong with the measures, found in one pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import isfinite

from boottop.base.errors import Problem
from boottop.measure.inputs import Appendage, AppendageKind, Dimensions, Girths, HullMeasure, Offsets
from boottop.measure.materials import MATERIALS
from boottop.measure.offsets import wet_stations
from boottop.measure.regressions import coefficients_of

PORT, STARBOARD, SIDES, GEAR, SOLE = "port side", "starboard side", "sides", "running gear", "keel sole"
SLINGS = "under the slings"
MAX_DEADRISE_DEG = 60.0

_LENGTHS: dict[AppendageKind, tuple[str, ...]] = {
    "fin_keel": ("length_m", "height_m", "thickness_m"),
    "bulb": ("length_m", "height_m", "thickness_m"),
    "rudder": ("length_m", "height_m"),
    "skeg": ("length_m", "height_m"),
    "strut": ("length_m", "height_m"),
    "fin": ("length_m", "height_m"),
    "shaft": ("length_m", "thickness_m"),
    "thruster_tunnel": ("length_m", "thickness_m"),
}


def problems_of(measure: HullMeasure) -> list[Problem]:
    """All problems of one boat's measures, in the order of the job sheet."""
    found = list(_one_way(measure))
    if measure.girths is not None:
        found += _girths(measure.girths)
    if measure.offsets is not None:
        found += offsets_problems(measure.offsets)
    if measure.dimensions is not None:
        found += _dimensions(measure.dimensions)
    return [*found, *_materials(measure), *_parts(measure)]


def offsets_problems(table: Offsets) -> list[Problem]:
    """All problems of a table of offsets."""
    heights = (("keel_m", len(table.keel_m)), ("heights_m", len(table.heights_m)))
    wrong = [
        Problem(
            where=f"measure.offsets.{name.removesuffix('_m')}",
            found=f"{count} stations",
            allowed=f"none, or {len(table.stations_m)}",
            advice="One value a station.",
        )
        for name, count in heights
        if count not in (0, len(table.stations_m))
    ]
    return wrong or [*_offsets(table)]


def where_of(table: str, index: int, name: str) -> str:
    """Place of an entry as a person counts, from one.

    >>> where_of("hidden", 1, "stand pads")
    'measure.hidden[2] (stand pads)'
    """
    return f"measure.{table}[{index + 1}] ({name})"


def _one_way(measure: HullMeasure) -> Iterator[Problem]:
    ways = ("girths", "offsets", "dimensions", "mesh")
    given = [way for way in ways if getattr(measure, way) is not None]
    if len(given) != 1:
        yield Problem(
            where="measure",
            found=" and ".join(given) if given else "none of girths, offsets, dimensions, mesh",
            allowed="exactly one of girths, offsets, dimensions, mesh",
            advice="Keep the one you trust most; girths taped on the hard beat the others.",
        )


def _girths(girths: Girths) -> Iterator[Problem]:
    where, length = "measure.girths", girths.waterline_length_m
    yield from _positive(f"{where}.waterline_length", length)
    if not (isfinite(girths.tape_sd_m) and girths.tape_sd_m >= 0.0):
        yield Problem(
            where=f"{where}.tape_sd", found=f"{girths.tape_sd_m:g} m", allowed="zero or more", advice="Usually 0.01 m."
        )
    if len(girths.readings) < 3:
        yield Problem(
            where=where,
            found=f"{len(girths.readings)} stations",
            allowed="three stations or more",
            advice="Tape five to nine along the waterline.",
        )
    elif not any(reading.half_girth_m > 0.0 for reading in girths.readings):
        yield Problem(where=where, found="no girth above zero", allowed="at least one", advice="Tape the girths.")
    yield from _ascending(where, [reading.station_m for reading in girths.readings])
    for index, reading in enumerate(girths.readings):
        here = f"{where}.readings[{index + 1}]"
        if not 0.0 <= reading.station_m <= length * 1.002:
            yield Problem(
                where=f"{here}.station",
                found=f"{reading.station_m:g} m",
                allowed=f"0 to {length:g} m, the waterline length",
                advice="Measure stations from the fore end of the waterline aft.",
            )
        yield from _reading(here, reading.half_girth_m, reading.half_beam_m)


def _reading(here: str, girth: float, beam: float | None) -> Iterator[Problem]:
    if not (isfinite(girth) and girth >= 0.0):
        yield Problem(
            where=f"{here}.half_girth",
            found=f"{girth:g} m",
            allowed="zero or more",
            advice="Tape from the waterline to the centreline.",
        )
    if beam is not None and not (isfinite(beam) and beam >= 0.0):
        yield Problem(
            where=f"{here}.half_beam",
            found=f"{beam:g} m",
            allowed="zero or more",
            advice="Half the breadth at the waterline.",
        )
    elif beam is not None and girth < beam - 1e-9:
        yield Problem(
            where=f"{here}.half_girth",
            found=f"{girth:g} m, shorter than the half-beam of {beam:g} m",
            allowed=f"at least {beam:g} m",
            advice="The tape goes round the bottom; tape this station again.",
        )


def _offsets(table: Offsets) -> Iterator[Problem]:
    where = "measure.offsets"
    order = [*_ascending(f"{where}.stations", table.stations_m)]
    order += _ascending(f"{where}.waterlines", table.waterlines_m)
    yield from order
    shape = [len(row) for row in table.half_breadths_m]
    if len(shape) != len(table.stations_m) or set(shape) - {len(table.waterlines_m)}:
        yield Problem(
            where=f"{where}.half_breadths",
            found=f"{len(shape)} rows of {sorted(set(shape))} values",
            allowed=f"{len(table.stations_m)} rows of {len(table.waterlines_m)} values",
            advice="One row a station, one value a waterline, from the bottom up.",
        )
        return
    if len(table.stations_m) < 3 or len(table.waterlines_m) < 2:
        yield Problem(
            where=where,
            found="too small a table",
            allowed="three stations and two waterlines or more",
            advice="Give the whole table.",
        )
        return
    if any(y is not None and not (isfinite(y) and y >= 0.0) for row in table.half_breadths_m for y in row):
        yield Problem(
            where=f"{where}.half_breadths",
            found="a negative value",
            allowed="zero or more",
            advice="Leave it empty where no hull is.",
        )
        return
    if not table.waterlines_m[0] < table.draft_m <= table.waterlines_m[-1] + 1e-9:
        yield Problem(
            where=f"{where}.draft",
            found=f"{table.draft_m:g} m",
            allowed=f"above {table.waterlines_m[0]:g} m and up to {table.waterlines_m[-1]:g} m",
            advice="Measure the draft from the zero of the waterlines.",
        )
    elif not order and wet_stations(table) < 3:
        yield Problem(
            where=where,
            found=f"{wet_stations(table)} stations with hull under the draft",
            allowed="three or more",
            advice="Check draft.",
        )


def _dimensions(dimensions: Dimensions) -> Iterator[Problem]:
    where = "measure.dimensions"
    names = ("waterline_length_m", "waterline_beam_m", "body_draft_m", "displaced_m3")
    bad = [p for name in names for p in _positive(f"{where}.{name.rsplit('_', 1)[0]}", getattr(dimensions, name))]
    yield from bad
    for name in ("midship_coefficient", "waterplane_coefficient"):
        value = getattr(dimensions, name)
        if value is not None and not 0.3 <= value <= 1.0:
            bad.append(
                Problem(
                    where=f"{where}.{name}",
                    found=f"{value:g}",
                    allowed="0.3 to 1",
                    advice="Leave it out to take the usual value.",
                )
            )
            yield bad[-1]
    if bad:
        return
    form = coefficients_of(dimensions)
    if form.prismatic > 1.0:
        box = form.midship * dimensions.displaced_m3 / form.block
        yield Problem(
            where=f"{where}.displaced",
            found=f"{dimensions.displaced_m3:.2f} m3",
            allowed=f"less than {box:.2f} m3, length x beam x draft x midship coefficient {form.midship:.2f}",
            advice="Give the canoe body's volume (keel apart) with its own draft, at the waterline.",
        )


def _materials(measure: HullMeasure) -> Iterator[Problem]:
    if not measure.laminate:
        yield Problem(
            where="measure.laminate",
            found="no layer",
            allowed="one layer or more",
            advice="Outside first, each with its thickness.",
        )
    named = [("measure.substrate", measure.substrate), ("measure.keel_material", measure.keel_material)]
    named += [(f"measure.laminate[{i + 1}]", layer.material) for i, layer in enumerate(measure.laminate)]
    named += [(where_of("appendages", i, a.name), a.material) for i, a in enumerate(measure.appendages)]
    for where, material in named:
        if material not in MATERIALS:
            yield Problem(
                where=where, found=repr(material), allowed=", ".join(MATERIALS), advice="Choose the nearest material."
            )
    for index, layer in enumerate(measure.laminate):
        yield from _positive(f"measure.laminate[{index + 1}].thickness", layer.thickness_m)
    if not 0.0 <= measure.deadrise_deg <= MAX_DEADRISE_DEG:
        yield Problem(
            where="measure.deadrise",
            found=f"{measure.deadrise_deg:g} deg",
            allowed=f"0 to {MAX_DEADRISE_DEG:g} deg",
            advice="Angle of the bottom from the horizontal amidships.",
        )


def _parts(measure: HullMeasure) -> Iterator[Problem]:
    drawn = measure.mesh.drawn_zones if measure.mesh is not None else ()
    known = (PORT, STARBOARD, SIDES, GEAR, *drawn, *(zone.name for zone in measure.named_zones))
    taken = {PORT, STARBOARD, SIDES, GEAR, SOLE, SLINGS, *drawn} | {f"pads {h.stand_set}" for h in measure.hidden}
    for index, zone in enumerate(measure.named_zones):
        where = where_of("named_zones", index, zone.name)
        if zone.name in taken:
            yield Problem(
                where=where,
                found="a name already in use",
                allowed="a name of its own",
                advice="Give the zone another name.",
            )
        taken.add(zone.name)
        yield from _positive(f"{where}.area", zone.area_m2)
        if not 0.0 <= zone.tilt_deg <= 180.0:
            yield Problem(
                where=f"{where}.tilt",
                found=f"{zone.tilt_deg:g} deg",
                allowed="0 to 180 deg",
                advice="90 is upright, 180 faces down.",
            )
    for index, appendage in enumerate(measure.appendages):
        yield from _appendage(where_of("appendages", index, appendage.name), appendage, known)
    for index, hidden in enumerate(measure.hidden):
        where = where_of("hidden", index, hidden.name)
        yield from _positive(f"{where}.area_each", hidden.area_each_m2)
        yield from _counted(where, hidden.count)
        if hidden.stand_set < 1:
            yield Problem(
                where=f"{where}.stand_set",
                found=str(hidden.stand_set),
                allowed="1 or more",
                advice="Sets are counted 1, 2, ...",
            )
        if hidden.zone is not None and hidden.zone not in known:
            yield Problem(
                where=f"{where}.zone",
                found=repr(hidden.zone),
                allowed=", ".join(known),
                advice="Name an existing zone or leave it out.",
            )


def _appendage(where: str, appendage: Appendage, known: Sequence[str]) -> Iterator[Problem]:
    for name in _LENGTHS[appendage.kind]:
        yield from _positive(f"{where}.{name.removesuffix('_m')}", getattr(appendage, name))
    yield from _counted(where, appendage.count)
    foil = appendage.kind in ("fin_keel", "rudder", "skeg", "fin", "strut")
    if foil and appendage.length_m > 0.0 and not 0.0 <= appendage.thickness_m <= appendage.length_m:
        yield Problem(
            where=f"{where}.thickness",
            found=f"{appendage.thickness_m:g} m",
            allowed="zero up to the chord",
            advice="The greatest thickness.",
        )
    if appendage.zone not in known:
        yield Problem(
            where=f"{where}.zone", found=repr(appendage.zone), allowed=", ".join(known), advice="Name an existing zone."
        )


def _ascending(where: str, values: Sequence[float]) -> Iterator[Problem]:
    for index, (before, after) in enumerate(pairwise(values), start=2):
        if not after > before:
            yield Problem(
                where=f"{where}[{index}]",
                found=f"{after:g} m after {before:g} m",
                allowed="ascending values",
                advice="Put them in order, no doubles.",
            )


def _counted(where: str, count: int) -> Iterator[Problem]:
    if count < 1:
        yield Problem(
            where=f"{where}.count",
            found=str(count),
            allowed="1 or more",
            advice="Leave the entry out if there is none.",
        )


def _positive(where: str, value: float) -> Iterator[Problem]:
    if not (isfinite(value) and value > 0.0):
        yield Problem(
            where=where, found=f"{value:g}", allowed="above zero", advice="Measure it and write it with its unit."
        )
