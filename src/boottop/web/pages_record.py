"""The record of a job as a page: what is in it, what departed and why, files to keep, what is brought in."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import System, parse
from boottop.files.archive import export_job
from boottop.files.loose_csv import ColumnMap
from boottop.files.record_data import coats_csv, readings_csv, record_json
from boottop.files.record_docs import facts_version, read_facts, write_facts
from boottop.record.deviations import open_ones
from boottop.record.facts import BARE_WORDS, BareSpot, Facts, Lot
from boottop.record.history import FOULING_SCALE, VISIT_WORDS
from boottop.record.readings import INSTRUMENTS
from boottop.record.record import Record
from boottop.web.auth import AsGuest, AsHand, AsSkipper, Entry
from boottop.web.pages import job_page, look_of, see
from boottop.web.pages_ashore import download
from boottop.web.record_desk import anchor, record_of
from boottop.web.record_files import paper_for, printed_pdf, slug
from boottop.web.record_intake import add_visits, made_visit, take_film, take_logger, take_photos, take_visits
from boottop.web.refused import not_found

router = APIRouter(prefix="/jobs/{job}/record")
PAPER_NAMES = ("Hull number", "Owner", "Work by", "Inspected by", "Bottom before", "Surface before coating")
TEXT_MAX = 1000
MEDIA_TYPES = {
    "record.pdf": "application/pdf",
    "record.json": "application/json",
    "coats.csv": "text/csv; charset=utf-8",
    "readings.csv": "text/csv; charset=utf-8",
}


@router.get("")
def record(entry: AsGuest, request: Request) -> HTMLResponse:
    """The record as it stands now."""
    return _page(request, entry)


def _page(
    request: Request, entry: Entry, *, problems: tuple[Problem, ...] = (), said: tuple[str, ...] = (), status: int = 200
) -> HTMLResponse:
    values: dict[str, Any] = {"paper": None, "said": said}
    try:
        found = record_of(entry.house, entry.job)
        values |= {
            "paper": paper_for(entry.house, entry.job, found, system=look_of(request).units),
            "record": found,
            "counts": open_ones(found.deviations),
            "facts": read_facts(entry.house.store, entry.job),
            "zones": [zone.name for zone in found.zones],
        }
    except InputError as error:
        problems = (*problems, *error.problems)
    page = job_page(
        request,
        entry,
        "record",
        problems=problems,
        may_log=entry.visitor.may("hand"),
        may_edit=entry.visitor.may("skipper"),
        paper_names=PAPER_NAMES,
        methods={name: tool.words for name, tool in INSTRUMENTS.items()},
        visits=VISIT_WORDS,
        bares=BARE_WORDS,
        scale=FOULING_SCALE,
        **values,
    )
    page.status_code = status
    return page


@router.get("/{name}.{ending}")
def file(entry: AsGuest, request: Request, *, name: str, ending: str) -> Response:
    """The files of a record: record.pdf, record.json, coats.csv, readings.csv."""
    wanted = f"{name}.{ending}"
    if wanted not in MEDIA_TYPES:
        raise not_found("file of the record")
    found = record_of(entry.house, entry.job)
    content = _content(entry, found, wanted, system=look_of(request).units)
    return download(content, f"{slug(found.boat.name)}-{wanted}", MEDIA_TYPES[wanted])


def _content(entry: Entry, found: Record, wanted: str, *, system: System) -> bytes:
    if wanted == "record.pdf":
        return printed_pdf(entry.house, entry.job, found, system=system)
    if wanted == "record.json":
        return record_json(found, entry.house.ledger.events(entry.job)).encode()
    return (coats_csv(found) if wanted == "coats.csv" else readings_csv(found)).encode()


@router.get("/job/archive")
def archive(entry: AsSkipper) -> Response:
    """The whole job as one file."""
    kept = entry.house.store.jobs.get(entry.job)
    with tempfile.TemporaryDirectory(prefix="boottop-") as folder:
        place = Path(folder, "job.zip")
        export_job(entry.house.store, entry.job, place, now=entry.house.now())
        return download(place.read_bytes(), f"{slug(kept.name)}.boottop.zip", "application/zip")


@router.post("/documents/{what}")
async def bring(entry: AsHand, request: Request, what: str) -> Response:
    """Bring a file in: film readings, a logger's file, visits."""
    async with request.form(max_files=1, max_fields=20) as form:
        one = form.get("file")
        file = (one.filename or "file.csv", await one.read()) if isinstance(one, UploadFile) else ("", b"")
        words = _words(form)
    return await run_in_threadpool(_brought, entry, request, what, file, words)


def _brought(entry: Entry, request: Request, what: str, file: tuple[str, bytes], words: dict[str, str]) -> Response:  # noqa: PLR0917 - as its route has them
    fixed = {name: words[name] for name in ("unit", "method", "zone", "dates") if words.get(name)}
    columns = dict(line.split("=", 1) for line in words.get("map", "").splitlines() if "=" in line)
    given = ColumnMap(columns={name.strip(): column.strip() for name, column in columns.items()}, fixed=fixed)
    who = entry.visitor.who
    take: Mapping[str, Callable[[], tuple[str, ...]]] = {
        "film": lambda: take_film(entry.house, entry.job, file, given=given, who=who),
        "logger": lambda: take_logger(entry.house, entry.job, file, given=given, who=who),
        "visits": lambda: take_visits(entry.house, entry.job, file, who=who),
    }
    if what not in take:
        raise not_found("kind of file")
    try:
        return _page(request, entry, said=take[what]())
    except InputError as error:
        return _page(request, entry, problems=error.problems, status=422)


@router.post("/photos/add")
async def add_photos(entry: AsHand, request: Request) -> Response:
    """Bring photographs in; what is none is told, the rest is kept."""
    async with request.form(max_files=40, max_fields=10) as form:
        files = {one.filename or "photograph": await one.read() for one in form.getlist("files")
                 if isinstance(one, UploadFile)}  # fmt: skip
        zone = _words(form).get("zone", "")
    return await run_in_threadpool(_add_photos, entry, request, files, zone)


def _add_photos(entry: Entry, request: Request, files: dict[str, bytes], zone: str) -> Response:  # noqa: PLR0917 - as its route has them
    try:
        said, problems = take_photos(entry.house, entry.job, files, zone=zone, who=entry.visitor.who)
    except InputError as error:
        said, problems = (), error.problems
    return _page(request, entry, said=said, problems=problems, status=422 if problems else 200)


@router.post("/facts/{what}")
async def write(entry: AsSkipper, request: Request, what: str) -> Response:
    """Write down what a person knows: papers, a lot, a bare spot, an explanation, a visit."""
    form = await request.form(max_fields=40)
    return await run_in_threadpool(_write, entry, request, what, _words(form))


def _write(entry: Entry, request: Request, what: str, words: dict[str, str]) -> Response:  # noqa: PLR0917 - as its route has them
    try:
        if what == "visit":
            _visit(entry, words)
        elif what in CHANGES:
            store, job = entry.house.store, entry.job
            base = facts_version(store, job)
            facts = CHANGES[what](read_facts(store, job), words)
            digest = write_facts(store, job, facts, now=entry.house.now(), base=base)
            said = {"explain": f"Deviation explained ({words.get('key', '')[:80]})."}.get(what, f"Record: {what}.")
            anchor(entry.house, entry.job, words=said, sha256=digest, who=entry.visitor.who)
        else:
            raise not_found("form")
    except InputError as error:
        return _page(request, entry, problems=error.problems, status=422)
    return see(f"/jobs/{entry.job}/record")


def _visit(entry: Entry, words: dict[str, str]) -> None:
    ashore = entry.house.desk.ashore(entry.job)
    film = parse(words["film"], "film", where="film") if words.get("film") else None
    doubt = parse(words["film_sd"], "film", where="give or take") if words.get("film_sd") else None
    place = [zone.name for zone in ashore.hull.zones], ZoneInfo(ashore.job.plan.yard.zone_name)
    visit = made_visit(words, "visit", film_um=film, film_sd_um=doubt, place=place)
    add_visits(entry.house, entry.job, [visit], who=entry.visitor.who)


def _papers(facts: Facts, words: dict[str, str]) -> Facts:
    papers = dict(facts.papers)
    for name in PAPER_NAMES:
        if text := words.get(name, ""):
            papers[name] = text[:TEXT_MAX]
        else:
            papers.pop(name, None)
    least = parse(words["least"], "film", where="film at which she is due") if words.get("least") else None
    return replace(facts, papers=papers, least_film_um=least)


def _lot(facts: Facts, words: dict[str, str]) -> Facts:
    lot = Lot(product=words.get("product", ""), part=words.get("part", ""), lot=words.get("lot", ""),
              best_before=words.get("best_before") or None)  # fmt: skip
    try:
        date.fromisoformat(lot.best_before or "2000-01-01")
    except ValueError:
        raise _wrong(
            "best before", repr(lot.best_before), "a date such as 2027-03-31", "Write year, month, day."
        ) from None
    if not (lot.product and lot.part and lot.lot):
        raise _wrong("lot", "an empty field", "product, part and lot", "Fill them in as the tin has them.")
    others = tuple(one for one in facts.lots if (one.product, one.part, one.lot) != (lot.product, lot.part, lot.lot))
    return replace(facts, lots=(*others, lot))


def _bare(facts: Facts, words: dict[str, str]) -> Facts:
    def length(name: str, where: str) -> float | None:
        return parse(words[name], "length", where=where) if words.get(name) else None

    kind = next((one for one in BARE_WORDS if one == words.get("kind")), None)
    if kind is None or not words.get("words") or not words.get("zone"):
        raise _wrong("bare spot", "an empty field", "zone, kind and words", "Say where and what.")
    area = parse(words["area"], "area", where="area") if words.get("area") else None
    spot = BareSpot(
        zone=words["zone"], kind=kind, words=words["words"][:TEXT_MAX], area_m2=area,
        station_m=length("station", "aft of the fore end"), girth_m=length("girth", "below the waterline"),
        side=next((side for side in ("port", "starboard") if side in words["zone"]), "centre"), source="written down",
    )  # fmt: skip
    return replace(facts, bare=(*facts.bare, spot))


def _explain(facts: Facts, words: dict[str, str]) -> Facts:
    key, text = words.get("key", ""), words.get("text", "")[:TEXT_MAX]
    if not key:
        raise _wrong("deviation", "none named", "one of the list", "Use the form below the deviation.")
    explained = {name: said for name, said in facts.explained.items() if name != key} | ({key: text} if text else {})
    return replace(facts, explained=explained)


CHANGES: Mapping[str, Callable[[Facts, dict[str, str]], Facts]] = {
    "papers": _papers,
    "lot": _lot,
    "bare": _bare,
    "explain": _explain,
}


def _words(form: FormData) -> dict[str, str]:
    return {name: value.strip() for name, value in form.items() if isinstance(value, str)}


def _wrong(where: str, found: str, allowed: str, advice: str) -> InputError:  # noqa: PLR0917 four words of one sentence
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))
