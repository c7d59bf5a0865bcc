"""Hull: what the areas rest on; a file of the hull looked at and kept; which girths to tape; where she stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import parse
from boottop.files.hull_document import (
    Floats,
    HullDocument,
    Imported,
    OffsetsDocument,
    digest_of,
    document_text,
    import_mesh,
    import_offsets,
    mesh_hull,
    open_document,
    pose_of,
)
from boottop.files.hull_mesh import load_mesh
from boottop.files.hull_offsets import UNITS, load_offsets
from boottop.measure.guide import Body, Guide, tape_guide, usual_girths, worth
from boottop.measure.mesh import MeshHull
from boottop.measure.mesh_facing import from_bow_deg, tilt_deg
from boottop.measure.mesh_frame import AXES, UNIT_M, Guess, Told
from boottop.measure.mesh_zones import parts_area_m2
from boottop.measure.spots import Spot, other_places
from boottop.report.tape_guide import tape_picture
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.pages import job_page, look_of, see
from boottop.web.pages_ashore import ashore_or_problems
from boottop.web.papers import HULL, good_name
from boottop.workflow import Ashore

router = APIRouter(prefix="/jobs/{job}")
KEYS = ("file", "unit", "bow", "up", "draft", "height", "fore", "aft", "heel", "boot_top", "halves", "keel_root")
LENGTHS = ("draft", "height", "fore", "aft", "boot_top")
TABLES = (".csv", ".tsv", ".txt")
MOST_STATIONS = 9


@dataclass(frozen=True, kw_only=True, eq=False)
class Looked:
    """A file of the hull as understood: what was guessed, what was found (None until the waterline is said), and the
    document that would be kept."""

    name: str
    guess: Guess | None
    found: Imported | None = None
    hull: MeshHull | None = None
    document: HullDocument | OffsetsDocument | None = None


@router.get("/hull")
def hull(entry: AsGuest, request: Request) -> HTMLResponse:
    """The page; with `file` in the address that file is looked at, for who may edit."""
    typed = {key: request.query_params.get(key, "").strip()[:60] for key in KEYS}
    if not typed["file"] or not entry.visitor.may("skipper"):
        return _page(request, entry, typed)
    entry.house.take("edit", entry.visitor.session)
    try:
        return _page(request, entry, typed, looked=_look(entry, typed))
    except InputError as error:
        return _page(request, entry, typed, problems=error.problems, status=422)


@router.post("/hull/documents")
async def bring(entry: AsSkipper, request: Request) -> Response:
    """Bring files of the hull in."""
    async with request.form(max_files=5, max_fields=5) as form:
        files = {
            one.filename: await one.read()
            for one in form.getlist("files")
            if isinstance(one, UploadFile) and one.filename
        }
    return await run_in_threadpool(_bring, entry, request, files=files)


def _bring(entry: Entry, request: Request, *, files: Mapping[str, bytes]) -> Response:
    entry.house.take("edit", entry.visitor.session)
    try:
        for name, content in files.items():
            last = name.replace("\\", "/").rpartition("/")[2]
            entry.house.cabinet.save(entry.job, _offsets_name(last), content, now=entry.house.now())
    except InputError as error:
        return _page(request, entry, dict.fromkeys(KEYS, ""), problems=error.problems, status=422)
    return see(f"/jobs/{entry.job}/hull#files")


@router.post("/hull")
async def keep(entry: AsSkipper, request: Request) -> Response:
    """Keep a file of the hull, as it was understood, as a hull document."""
    form = await request.form(max_fields=30)
    return await run_in_threadpool(_keep, entry, request, form=form)


def _keep(entry: Entry, request: Request, *, form: FormData) -> Response:
    entry.house.take("edit", entry.visitor.session)
    typed = {key: str(form.get(key, "")).strip()[:60] for key in KEYS}
    try:
        looked = _look(entry, typed)
        if looked.document is None:
            return _page(request, entry, typed, looked=looked, status=422)
        text = document_text(looked.document, folder=looked.document.path.parent)
        name = f"{Path(looked.name).stem.removesuffix('.offsets')}.hull.toml"
        entry.house.cabinet.save(entry.job, name, text, now=entry.house.now())
    except InputError as error:
        return _page(request, entry, typed, problems=error.problems, status=422)
    return see(f"/jobs/{entry.job}/hull?file={quote(name)}#found")


def _offsets_name(name: str) -> str:
    """A table of offsets is told from weather by its name."""
    stem, _, ending = name.rpartition(".")
    return f"{stem}.offsets.csv" if f".{ending.lower()}" in TABLES and not stem.endswith(".offsets") else name


def _names(entry: Entry) -> list[str]:
    return [one.name for one in entry.house.store.documents.all(entry.job, kind=HULL)]


def _look(entry: Entry, typed: Mapping[str, str]) -> Looked:
    """A file of the job, understood as far as was said."""
    name = typed["file"]
    if not good_name(name) or name not in _names(entry):
        allowed = ", ".join(_names(entry)) or "a file brought in first"
        raise InputError(Problem(where="file", found=repr(name), allowed=allowed, advice="Choose one of the list."))
    path = entry.house.cabinet.papers(entry.job).folder / name
    if name.endswith(".toml"):
        document, found = open_document(path, label=name)
        return Looked(name=name, guess=None, found=found, hull=mesh_hull(found, document), document=document)
    if name.endswith(TABLES):
        return _look_at_table(path, typed)
    return _look_at_mesh(path, typed)


def _look_at_table(path: Path, typed: Mapping[str, str]) -> Looked:
    unit, draft_m = typed["unit"] or None, _length(typed, "draft")
    read = load_offsets(path, unit=unit, draft_m=draft_m)
    document = OffsetsDocument(path=path, unit=unit, draft_m=draft_m, digest=digest_of(path))
    found = import_offsets(read, name=path.name)
    return Looked(name=path.name, guess=None, found=found, hull=mesh_hull(found, document), document=document)


def _look_at_mesh(path: Path, typed: Mapping[str, str]) -> Looked:
    raw = load_mesh(path)
    told = {key: _choice(typed, key, names) for key, names in (("unit", tuple(UNIT_M)), ("bow", AXES), ("up", AXES))}
    guess = pose_of(raw, Told(unit=told["unit"], bow=told["bow"], up=told["up"]))
    lengths = {f"{key}_m": _length(typed, key) for key in LENGTHS}
    waterline = [key for key in ("draft_m", "height_m", "fore_m") if lengths[key] is not None]
    if len(waterline) != 1 or (lengths["fore_m"] is None) != (lengths["aft_m"] is None):
        return Looked(name=path.name, guess=guess)
    root = _length(typed, "keel_root")
    heel = parse(typed["heel"], "angle", where="heel") if typed["heel"] else 0.0
    document = HullDocument(
        path=path,
        pose=guess.pose,
        floats=Floats(
            draft_m=lengths["draft_m"],
            height_m=lengths["height_m"],
            fore_m=lengths["fore_m"],
            aft_m=lengths["aft_m"],
            heel_deg=heel,
            boot_top_m=lengths["boot_top_m"] or 0.0,
        ),
        halves=_choice(typed, "halves", ("guess", "half", "whole")) or "guess",
        keel_root_m=None if root is None else -root,
        digest=digest_of(path),
    )
    found = import_mesh(raw, document)
    kept = document if not guess.guessed else None
    return Looked(name=path.name, guess=guess, found=found, hull=mesh_hull(found, document), document=kept)


def _length(typed: Mapping[str, str], key: str) -> float | None:
    return parse(typed[key], "length", where=key.replace("_", " ")) if typed[key] else None


def _choice(typed: Mapping[str, str], key: str, names: tuple[str, ...]) -> Any:
    """One of the names, typed Any so that it fits the registry's Literal; None where nothing was chosen."""
    value = typed[key]
    if value and value not in names:
        raise InputError(Problem(where=key, found=repr(value), allowed=", ".join(names), advice="Choose one."))
    return value or None


def _page(request: Request, entry: Entry, typed: Mapping[str, str], *, status: int = 200, **rest: Any) -> HTMLResponse:
    ashore, problems = ashore_or_problems(entry)
    looked: Looked | None = rest.get("looked")
    values: dict[str, Any] = {
        "problems": rest.get("problems", problems),
        "typed": typed,
        "files": _names(entry),
        "may_edit": entry.visitor.may("skipper"),
        "looked": looked,
        "units": UNITS if typed["file"].endswith(TABLES) else tuple(UNIT_M),
        "axes": AXES,
        "is_table": typed["file"].endswith(TABLES),
        "zones": _zones(looked) if looked and looked.hull else [],
        "hull": ashore.hull if ashore else None,
        "tape": _tape(request, ashore) if ashore else None,
        "stands": _stands(ashore) if ashore else [],
    }
    page = job_page(request, entry, "hull", **values)
    page.status_code = status
    return page


def _zones(looked: Looked) -> list[dict[str, Any]]:
    """Zones with the areas of their parts and the way their plain hull looks on average."""
    assert looked.hull is not None
    mesh, rows = looked.hull.mesh, []
    for name in mesh.zone_names:
        chosen = mesh.chosen(name)
        mean = (mesh.normals[chosen] * mesh.areas_m2[chosen][:, None]).sum(axis=0)[None]
        mean = mean / max(float((mean**2).sum()) ** 0.5, 1e-12)
        rows.append(
            {
                "name": name,
                "area_m2": mesh.zone_area_m2(name),
                "parts": {part: area for part, area in parts_area_m2(mesh, name).items() if area > 0.005},
                "from_bow_deg": float(from_bow_deg(mean)[0]),
                "tilt_deg": float(tilt_deg(mean)[0]),
            }
        )
    return rows


def _tape(request: Request, ashore: Ashore) -> dict[str, Any] | None:
    """The guided list of girths, for a hull that is not from a file."""
    measure, boat = ashore.job.hull, ashore.job.boat
    if measure.mesh is not None or measure.offsets is not None:
        return None
    if measure.girths is not None:
        most = max(MOST_STATIONS, len(measure.girths.readings) + 2)
        guide: Guide = tape_guide(measure.girths, measure.girths.readings, most=most)
    else:
        guide = tape_guide(usual_girths(Body(waterline_length_m=boat.waterline_length_m)), most=MOST_STATIONS)
    svg = tape_picture(guide, system=look_of(request).units)
    return {"guide": guide, "svg": svg, "worth": worth(guide)}


def _stands(ashore: Ashore) -> list[tuple[Spot, Spot]]:
    """Each place with the one to ask the yard for next time."""
    spots = [spot for hidden in ashore.job.hull.hidden for spot in hidden.spots]
    return list(zip(spots, other_places(spots, length_m=ashore.job.boat.waterline_length_m), strict=True))
