"""The hull as it is shown: from a scan where there is one, else drawn from the tape."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from math import sqrt

from boottop.base.quantities import System, format_quantity
from boottop.files.gltf import glb
from boottop.measure.hull import Hull, Side
from boottop.measure.inputs import HullMeasure
from boottop.measure.mesh import HullMesh
from boottop.measure.shell import draw_shell
from boottop.measure.shell_outline import half_girth_at
from boottop.measure.shell_spots import Footprint, mesh_footprints
from boottop.measure.shell_thin import thinned
from boottop.record.facts import BareSpot
from boottop.report.flat_map import Shape, flat_map
from boottop.report.hull_looks import Look
from boottop.report.typeset import typeset
from boottop.workflow import Ashore

SOLID_FACETS = 200_000
"""As many facets as most viewers turn without effort: common practice, no source."""
USUAL_SPOT_M = 0.15
"""Side of a bare spot that nobody measured, on the drawing: ours."""
ZONE_COLOURS = {"port": "#7d1420", "starboard": "#0f4a2f", "gear": "#4a3312", "pads": "#3d2a5c", "centre": "#1d3b57"}


class _Same:
    """One boat, the same only as itself: what a drawing is kept under."""

    def __init__(self, ashore: Ashore) -> None:
        self.ashore = ashore

    def __hash__(self) -> int:
        return id(self.ashore)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.ashore is self.ashore


def shape_of(ashore: Ashore) -> Shape:
    """What is drawn of one boat: her scan with fewer facets, or a likeness from the tape."""
    return _shape_of(_Same(ashore))


@lru_cache(maxsize=4)
def _shape_of(one: _Same) -> Shape:
    measure, hull = one.ashore.job.hull, one.ashore.hull
    if measure.mesh is not None:
        return Shape(
            mesh=thinned(measure.mesh.mesh),
            spots=mesh_footprints(measure, measure.mesh.mesh),
            panels=(),
            reckoned_m2={zone.name: zone.area_m2 for zone in hull.zones},
            notes=(f"Drawn from the hull file: {measure.mesh.method}.", *_not_shown(hull, measure.mesh.mesh)),
            drawn=False,
        )
    return likeness(measure, hull)


def likeness(measure: HullMeasure, hull: Hull) -> Shape:
    """A hull without a scan, drawn from what was measured."""
    shell = draw_shell(measure, hull)
    return Shape(
        mesh=shell.mesh,
        spots=shell.spots,
        panels=shell.panels,
        reckoned_m2=shell.reckoned_m2,
        notes=shell.notes,
        drawn=True,
    )


def _not_shown(hull: Hull, mesh: HullMesh) -> tuple[str, ...]:
    """What of the hull a file does not have: counted in the areas, nowhere to be seen."""
    missing = [zone.name for zone in hull.zones if not mesh.chosen(zone.name).any()]
    return (f"Not in the file and so not in the picture: {', '.join(missing)}.",) if missing else ()


def with_bare_spots(shape: Shape, bare: Iterable[BareSpot]) -> Shape:
    """The shape with the bare spots whose places somebody measured; they count girth down from the waterline."""
    marks = []
    for spot in bare:
        if spot.station_m is None or spot.girth_m is None:
            continue
        size_m = sqrt(spot.area_m2) if spot.area_m2 else USUAL_SPOT_M
        side = side_of(spot.side)
        marks.append(
            Footprint(
                kind="bare",
                name=f"bare: {spot.words}",
                side=side,
                station_m=spot.station_m,
                girth_m=from_centreline_m(shape.mesh, spot.station_m, spot.girth_m, side=side),
                length_m=size_m,
                width_m=size_m,
                written_down=True,
            )
        )
    return replace(shape, spots=(*shape.spots, *marks))


def side_of(words: str) -> Side:
    """The side that a place is on; the centreline for whatever is neither port nor starboard."""
    return "port" if words == "port" else "starboard" if words == "starboard" else "centre"


def from_centreline_m(mesh: HullMesh, station_m: float, down_m: float, *, side: Side) -> float:
    """Girth from the centreline of a place that was measured down from the waterline, m; nought on the centreline, and
    where more was measured down than there is skin: keel and gear."""
    return 0.0 if side == "centre" else max(half_girth_at(mesh, station_m, side) - down_m, 0.0)


def area_note(shape: Shape, units: System) -> str:
    """What the picture's own area is beside the one that counts, for a likeness; nothing for a scan."""
    if not shape.drawn:
        return ""
    drawn, counts = (
        typeset(format_quantity(area, "area", units, digits=3))
        for area in (shape.mesh.surface.area_m2(), sum(shape.reckoned_m2.values()))
    )
    return f"The likeness has {drawn}, the boat is reckoned at {counts}: the areas that count are on the page Areas."


def hull_glb(ashore: Ashore, shape: Shape) -> bytes:
    """The hull as a .glb, zones in the colours of the plan; what it is and is not goes with it."""
    colours = {zone.name: ZONE_COLOURS.get(zone.kind, ZONE_COLOURS[zone.side]) for zone in ashore.hull.zones}
    extras = {
        "boat": ashore.job.boat.name,
        "drawn": shape.drawn,
        "notes": list(shape.notes),
        "reckoned_m2": {name: round(area, 4) for name, area in shape.reckoned_m2.items()},
    }
    mesh = shape.mesh if ashore.job.hull.mesh is None else thinned(ashore.job.hull.mesh.mesh, SOLID_FACETS)
    return glb(mesh, colours, name=ashore.job.boat.name, extras=extras)


def hull_flat(ashore: Ashore, shape: Shape, *, units: System) -> str:
    """The flat hull as an SVG file, each zone with a hatch of its own."""
    hatches = {"port": "rise", "starboard": "fall", "centre": "plain"}
    looks = {}
    for zone in ashore.hull.zones:
        kind = zone.kind if zone.kind in ("gear", "pads", "sole") else zone.side
        pattern = {"gear": "level", "pads": "dense", "sole": "cross"}.get(zone.kind, hatches[zone.side])
        looks[zone.name] = Look(key=f"z-{kind}", words=f"{zone.area_m2:.1f} m2", pattern=pattern)
    return flat_map(shape, looks, units=units, standalone=True, title=f"{ashore.job.boat.name}: hull laid flat")
