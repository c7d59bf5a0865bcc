"""The picture of the hull: the page, what the turning hull is drawn from, and both as files."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from boottop.base.quantities import System as Units
from boottop.base.quantities import format_quantity
from boottop.files.record_docs import read_facts
from boottop.measure.hull import Hull
from boottop.report.flat_map import flat_map
from boottop.report.hull_data import PictureInput, all_looks, picture_document, shown_now_s, zone_lines
from boottop.report.hull_looks import MODES, definitions
from boottop.report.hull_shape import area_note, hull_flat, hull_glb, shape_of, with_bare_spots
from boottop.report.kit_map import SPREAD_NOTE, kit_hatches, kit_maps, kit_uses, unplaced
from boottop.report.typeset import typeset
from boottop.web.auth import AsGuest, Entry
from boottop.web.pages import environment, job_page, look_of, when
from boottop.web.pages_ashore import ashore_or_problems, download
from boottop.web.refused import not_found
from boottop.web.static_files import WEEK, content_of
from boottop.workflow import Ashore

router = APIRouter()
SCRIPT = "hull/hull.js"


@dataclass(frozen=True, kw_only=True)
class _Found:
    """A boat that can be drawn, and what is known of her job."""

    ashore: Ashore
    given: PictureInput
    time_zone: str


@router.get("/jobs/{job}/hull3d")
def hull(entry: AsGuest, request: Request) -> HTMLResponse:
    """Kept by the browser for a week, so that it opens without the server; its script asks for news."""
    ashore, problems = ashore_or_problems(entry)
    units = look_of(request).units
    boot = {"job": entry.job, "units": units}
    values: dict[str, Any] = {"problems": problems, "found": None, "boot": json.dumps(boot), "script": _script()}
    if ashore is not None:
        found = _found(entry, ashore, units)
        given = found.given
        lines = zone_lines(given, shown_now_s(given))
        values |= {
            "found": found,
            "shape": given.shape,
            "notes": [note for note in (*given.shape.notes[1:], area_note(given.shape, units)) if note],
            "lines": lines,
            "modes": MODES,
            "defs": definitions(all_looks(given)) + kit_hatches(),
            "flat": flat_map(given.shape, {line.name: line.look for line in lines}, units=units),
            "kits": _kits(found),
        }
    page = job_page(request, entry, "hull", template="hull3d.html.j2", **values)
    page.headers["Cache-Control"] = f"private, {WEEK}"
    return page


def _script() -> str:
    """The script of the turning hull; empty where it was not built into this installation."""
    return SCRIPT if content_of(SCRIPT) is not None else ""


@router.get("/api/jobs/{job}/picture")
def document(entry: AsGuest, request: Request) -> Response:
    """All that the page draws from; its parts that are drawn here come ready drawn."""
    found = _found(entry, entry.house.desk.ashore(entry.job), look_of(request).units)
    out = picture_document(found.given)
    lines = zone_lines(found.given, shown_now_s(found.given))
    out["flat"] = flat_map(found.given.shape, {line.name: line.look for line in lines}, units=found.given.units)
    out["kits"] = environment().get_template("kits.html.j2").render(kits=_kits(found))
    steady = {key: value for key, value in out.items() if key != "now_s"}
    out["version"] = hashlib.sha256(json.dumps(steady, sort_keys=True).encode()).hexdigest()[:16]
    return JSONResponse(out, headers={"Cache-Control": "no-cache"})


@router.get("/jobs/{job}/hull.glb")
def solid(entry: AsGuest) -> Response:
    """The hull as glTF, for any viewer."""
    ashore = entry.house.desk.ashore(entry.job)
    return download(hull_glb(ashore, shape_of(ashore)), "hull.glb", "model/gltf-binary")


@router.get("/jobs/{job}/hull.svg")
def flat(entry: AsGuest, request: Request) -> Response:
    """The flat hull by zones."""
    ashore = entry.house.desk.ashore(entry.job)
    text = hull_flat(ashore, shape_of(ashore), units=look_of(request).units)
    return download(text.encode(), "hull.svg", "image/svg+xml")


@router.get("/jobs/{job}/kits-{number}.svg")
def kits(entry: AsGuest, request: Request, number: int) -> Response:
    """One coat of the batch map, numbered as on the page."""
    found = _found(entry, entry.house.desk.ashore(entry.job), look_of(request).units)
    uses = kit_uses(found.given.state, _areas(found.ashore.hull))
    maps = kit_maps(found.given.shape, uses, units=found.given.units, standalone=True)
    if not 1 <= number <= len(maps):
        raise not_found("map of that number")
    return download(maps[number - 1].svg.encode(), f"kits-{number}.svg", "image/svg+xml")


def _found(entry: Entry, ashore: Ashore, units: Units) -> _Found:
    house = entry.house
    board = house.desk.board(entry.job)
    systems = ashore.job.plan.systems
    given = PictureInput(
        boat=ashore.job.boat.name,
        shape=with_bare_spots(shape_of(ashore), read_facts(house.store, entry.job).bare),
        zones=ashore.hull.zones,
        table=board.table if board is not None else None,
        state=house.ledger.state(entry.job),
        dry_film_um={system.sheet.name: system.sheet.dry_film_um for system in systems},
        now_s=int(house.job_now(entry.job).timestamp()),
        units=units,
    )
    return _Found(ashore=ashore, given=given, time_zone=ashore.job.plan.yard.zone_name)


def _areas(hull: Hull) -> dict[str, float]:
    return {zone.name: zone.area_m2 for zone in hull.zones}


def _kits(found: _Found) -> dict[str, Any]:
    """The batch map for a template: drawings coat by coat, rows, and what could not be placed."""
    given, zone = found.given, ZoneInfo(found.time_zone)
    uses = kit_uses(given.state, _areas(found.ashore.hull))
    maps = [
        {
            "title": one.title,
            "svg": one.svg,
            "rows": [
                {
                    "number": use.number,
                    "mixed": when(_moment(use.batch.mixed_s), zone),
                    "litres": typeset(format_quantity(use.litres, "volume", given.units, digits=3)),
                    "marked": use.marked,
                    "zone": use.zone,
                    "place": use.place,
                }
                for use in one.uses
            ],
        }
        for one in kit_maps(given.shape, uses, units=given.units)
    ]
    return {"maps": maps, "lost": unplaced(given.state, uses), "note": SPREAD_NOTE, "units": given.units}


def _moment(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)
