"""All that the turning hull needs, as one JSON document that a phone keeps: shape, zones over time, looks, scales."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from itertools import groupby
from typing import Any

import numpy as np

from boottop.base.quantities import System as Units
from boottop.job.board import BoardTable, BoardZone
from boottop.job.state import State
from boottop.measure.hull import Zone
from boottop.measure.mesh import PARTS, HullMesh
from boottop.measure.shell_outline import flat_corners
from boottop.report.flat_map import Shape
from boottop.report.hull_looks import (
    NO_NUMBER,
    PATTERNS,
    STATE_LOOKS,
    STATES,
    TILE,
    Look,
    Scale,
    film_scale,
    margin_scale,
    surface_scale,
)
from boottop.report.hull_times import ZoneTimes, at, film_at, zone_times

SCHEMA = "boottop.picture/1"
BEFORE_S, AFTER_S = 6 * 3600, 12 * 3600
USUAL_MARGIN_K = 3.0
SKIN = (PARTS.index("hull"), PARTS.index("end"))


@dataclass(frozen=True, kw_only=True)
class PictureInput:
    """What a picture is made from. `table` None: no plan yet, the hull alone is shown. `zones` of the
    hull; `dry_film_um` of one coat by product."""

    boat: str
    shape: Shape
    zones: Sequence[Zone]
    table: BoardTable | None
    state: State
    dry_film_um: Mapping[str, float]
    now_s: int
    units: Units


@dataclass(frozen=True, kw_only=True)
class ZoneLine:
    """One row of the table beside the picture, at one time."""

    name: str
    area_m2: float
    look: Look
    coats: str
    surface_c: float | None
    margin_k: float | None
    dry_um: float | None


def picture_document(given: PictureInput) -> dict[str, Any]:
    """The document; lengths in whole millimetres, times in epoch seconds UTC, slots as runs of [value, length]."""
    table = given.table
    found: dict[str, Any] = {
        "schema": SCHEMA,
        "boat": given.boat,
        "drawn": given.shape.drawn,
        "units": given.units,
        "shape": _shape(given.shape.mesh, [zone.name for zone in given.zones]),
        "zones": [_zone(given, zone) for zone in given.zones],
        "patterns": {"tile": TILE, **PATTERNS},
        "looks": {look.key: {"words": look.words, "pattern": look.pattern} for look in all_looks(given)},
        "states": [look.key for look in STATES],
        "scales": {name: _scale(scale) for name, scale in scales(given).items()},
        "now_s": given.now_s,
        "time": None,
    }
    if table is not None:
        first, last = shown_span(table)
        found["time"] = {
            "start_s": table.start_s,
            "slot_s": table.slot_s,
            "count": table.count,
            "from_s": first,
            "to_s": last,
            "time_zone": table.zone_name,
            "midnights_s": [table.start_s + mark * table.slot_s for mark in table.midnights],
            "log_until_s": given.state.latest_s,
            "tasks": [[task.start_s, task.end_s, task.label, task.zone or "whole boat"] for task in table.tasks],
        }
    return found


def scales(given: PictureInput) -> dict[str, Scale]:
    """The three scales of numbers, in the person's units."""
    systems = [zone.systems[-1] for zone in given.table.zones if zone.systems] if given.table else []
    limit_k = max((system.dew_margin_k for system in systems), default=USUAL_MARGIN_K)
    return {
        "surface": surface_scale(given.units),
        "margin": margin_scale(limit_k, given.units),
        "film": film_scale(),
    }


def all_looks(given: PictureInput) -> list[Look]:
    """Every look that the picture may use."""
    return [*STATES, NO_NUMBER, *(look for scale in scales(given).values() for look in scale.looks)]


def shown_span(table: BoardTable) -> tuple[int, int]:
    """First and last time of the slider: from before the haul-out until after the launch, within the weather."""
    end = table.start_s + (table.count - 1) * table.slot_s
    if not table.tasks:
        return table.start_s, end
    first = max(table.start_s, min(task.start_s for task in table.tasks) - BEFORE_S)
    last = min(end, max(task.end_s for task in table.tasks) + AFTER_S)
    return first, max(last, first + table.slot_s)


def shown_now_s(given: PictureInput) -> int:
    """Now, or the end of the slider that is nearest to it."""
    if given.table is None:
        return given.now_s
    first, last = shown_span(given.table)
    return min(max(given.now_s, first), last)


def zone_lines(given: PictureInput, at_s: int) -> list[ZoneLine]:
    """The table at one time, as the page shows it without scripts."""
    return [_line(given, zone, at_s) for zone in given.zones]


def _line(given: PictureInput, of: Zone, at_s: int) -> ZoneLine:
    name = of.name
    area = given.shape.reckoned_m2.get(name, 0.0)
    zone = _board_zone(given.table, name)
    if zone is None or given.table is None:
        look = STATE_LOOKS["s-none" if of.coated else "s-skip"]
        return ZoneLine(name=name, area_m2=area, look=look, coats="", surface_c=None, margin_k=None, dry_um=None)
    times = zone_times(given.table, zone, given.state, dry_film_um=given.dry_film_um)
    step, film = at(times.steps, at_s), film_at(times.film, at_s)
    slot = min(max((at_s - given.table.start_s) // given.table.slot_s, 0), given.table.count - 1)
    last = zone.systems[-1] if zone.systems else None
    return ZoneLine(
        name=name,
        area_m2=area,
        look=STATE_LOOKS[step.look],
        coats=f"{step.coats} of {times.coats_due}",
        surface_c=None if last is None else last.surface_c[slot],
        margin_k=None if last is None else last.margin_k[slot],
        dry_um=0.0 if film is None else film.dry_um,
    )


def _board_zone(table: BoardTable | None, name: str) -> BoardZone | None:
    return None if table is None else next((zone for zone in table.zones if zone.name == name), None)


def _zone(given: PictureInput, of: Zone) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": of.name,
        "side": of.side,
        "kind": of.kind,
        "area_m2": round(given.shape.reckoned_m2.get(of.name, 0.0), 3),
        "anchors": anchors(given.shape.mesh, of.name),
        "coats_due": 0,
        "steps": [[0, "s-none" if of.coated else "s-skip", 0]],
        "film": [],
        "surface": [],
        "margin": [],
    }
    zone = _board_zone(given.table, of.name)
    if zone is None or given.table is None:
        return found
    times: ZoneTimes = zone_times(given.table, zone, given.state, dry_film_um=given.dry_film_um)
    found["steps"] = [list(asdict(step).values()) for step in times.steps]
    found["film"] = [[step.at_s, round(step.dry_um, 1), round(step.share, 4)] for step in times.film]
    found["coats_due"] = times.coats_due
    if zone.systems:
        found["surface"] = _runs(zone.systems[-1].surface_c)
        found["margin"] = _runs(zone.systems[-1].margin_k)
    return found


def _runs(values: Sequence[float]) -> list[list[float]]:
    """Values one after the other as [value, how often]."""
    return [[value, len(list(same))] for value, same in groupby(values)]


def _scale(scale: Scale) -> dict[str, Any]:
    return {"edges": list(scale.edges), "keys": [look.key for look in scale.looks]}


def _shape(mesh: HullMesh, names: Sequence[str]) -> dict[str, Any]:
    """Corners and facets as flat lists; facets sorted by zone as in `names` (`zones`: how many each), `skin`: hull or
    not."""
    place = np.asarray([names.index(name) if name in names else len(names) for name in mesh.zone_names])
    rank = place[mesh.zone_of]
    order = np.argsort(rank, kind="stable")
    counts = np.bincount(rank, minlength=len(names))
    vertex, flat, corners = flat_corners(mesh)
    return {
        "xyz_mm": np.round(1000.0 * mesh.vertices_m[vertex]).astype(int).ravel().tolist(),
        "flat_mm": np.round(1000.0 * flat).astype(int).ravel().tolist(),
        "facets": corners[order].ravel().tolist(),
        "skin": np.isin(mesh.part_of[order], SKIN).astype(int).tolist(),
        "zones": {name: int(count) for name, count in zip(names, counts, strict=False)},
    }


def anchors(mesh: HullMesh, zone: str) -> list[list[float]]:
    """Where a zone's label is tied: a point on it for each side it is on, with its outward normal (x, y, z, each)."""
    if zone not in mesh.zone_names:
        return []
    chosen = np.flatnonzero(mesh.zone_of == mesh.zone_names.index(zone))
    found = []
    for sign in (-1.0, 1.0):
        mine = chosen[sign * mesh.unrolled_m[chosen, :, 0].sum(axis=1) > 0.0]
        if not len(mine):
            continue
        skin = mine[mesh.part_of[mine] == PARTS.index("hull")]
        mine = skin if len(skin) else mine
        centres, weights = mesh.surface.centres_m[mine], mesh.areas_m2[mine]
        middle = np.average(centres, axis=0, weights=weights)
        near = mine[np.argmin(np.linalg.norm(centres - middle, axis=1))]
        point = np.concatenate((mesh.surface.centres_m[near], mesh.normals[near]))
        found.append([round(float(value), 3) for value in point])
    return found
