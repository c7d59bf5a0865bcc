"""The hull as it is shown: from a scan where there is one, else drawn from the tape."""

from __future__ import annotations

from boottop.base.quantities import System
from boottop.files.gltf import glb
from boottop.measure.shell import draw_shell
from boottop.report.flat_map import Shape, flat_map
from boottop.report.hull_looks import Look
from boottop.workflow import Ashore

ZONE_COLOURS = {"port": "#7d1420", "starboard": "#0f4a2f", "gear": "#4a3312", "pads": "#3d2a5c", "centre": "#1d3b57"}


def shape_of(ashore: Ashore) -> Shape:
    """What is drawn of one boat."""
    shell = draw_shell(ashore.job.hull, ashore.hull)
    return Shape(
        mesh=shell.mesh,
        spots=shell.spots,
        panels=shell.panels,
        reckoned_m2=shell.reckoned_m2,
        notes=shell.notes,
        drawn=True,
    )


def hull_glb(ashore: Ashore, shape: Shape) -> bytes:
    """The hull as a .glb, zones in the colours of the plan; what it is and is not goes with it."""
    colours = {zone.name: ZONE_COLOURS.get(zone.kind, ZONE_COLOURS[zone.side]) for zone in ashore.hull.zones}
    extras = {
        "boat": ashore.job.boat.name,
        "drawn": shape.drawn,
        "notes": list(shape.notes),
        "reckoned_m2": {name: round(area, 4) for name, area in shape.reckoned_m2.items()},
    }
    return glb(shape.mesh, colours, name=ashore.job.boat.name, extras=extras)


def hull_flat(ashore: Ashore, shape: Shape, *, units: System) -> str:
    """The flat hull as an SVG file, each zone with a hatch of its own."""
    hatches = {"port": "rise", "starboard": "fall", "centre": "plain"}
    looks = {}
    for zone in ashore.hull.zones:
        kind = zone.kind if zone.kind in ("gear", "pads", "sole") else zone.side
        pattern = {"gear": "level", "pads": "dense", "sole": "cross"}.get(zone.kind, hatches[zone.side])
        looks[zone.name] = Look(key=f"z-{kind}", words=f"{zone.area_m2:.1f} m2", pattern=pattern)
    return flat_map(shape, looks, units=units, standalone=True, title=f"{ashore.job.boat.name}: hull laid flat")
