"""Weather and plan: the drawing, the windows, the work and why then; worked out away from the request."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from boottop.base.clock import SLOT_S
from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.files.calendar_file import STATE_MARKS, calendar_text, is_begun, words_of
from boottop.files.document_of import coat_slots, plan_document, weather_words
from boottop.measure.hull import Zone
from boottop.plan.inputs import WindowKey
from boottop.plan.network import SolverReport
from boottop.plan.plan import Plan
from boottop.report.bands import runs
from boottop.report.drawing import COLOUR_WORDS, Drawing, colour_of, drawing_of
from boottop.report.page import plan_page
from boottop.terminal import headline
from boottop.web.auth import AsGuest, AsSkipper, Entry
from boottop.web.desk import Results
from boottop.web.pages import job_page, see, when
from boottop.web.pages_ashore import ashore_or_problems, download
from boottop.web.record_desk import advice_from_last_time
from boottop.web.refused import not_found

router = APIRouter(prefix="/jobs/{job}")
NO_REPORT = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, variables=0, branches=0)


def _standing(entry: Entry) -> dict[str, Any]:
    """How the work stands, begun when there is nothing yet and the visitor may; pages that wait ask again."""
    desk = entry.house.desk
    _, problems = ashore_or_problems(entry)
    results, standing = desk.results(entry.job), desk.standing(entry.job)
    unplanned = results is None or (results.planned is None and standing.state == "none")
    if unplanned and not problems and standing.state in ("none", "ready") and entry.visitor.may("skipper"):
        desk.begin(entry.job, now=entry.house.job_now(entry.job))
        standing = desk.standing(entry.job)
    waiting = standing.state == "computing"
    return {
        "standing": standing,
        "waiting": waiting,
        "refresh_s": 2 if waiting else None,
        "problems": problems or standing.problems,
        "results": results,
        "stale": bool(results) and not waiting and desk.stale(entry.job),
        "may_plan": entry.visitor.may("skipper"),
        "clock": entry.house.clock(entry.job),
    }


@router.get("/weather")
def weather(entry: AsGuest, request: Request) -> HTMLResponse:
    """The weather made into windows."""
    values = _standing(entry)
    results: Results | None = values["results"]
    if results is not None:
        plan = results.planned.plan if results.planned else _no_plan(results)
        values |= {
            "drawing": _drawing(results, plan),
            "windows": [
                window
                for system in results.ashore.job.plan.systems
                for zone in zones_for(system, results.ashore.hull)
                for window in [_windows(results, system, zone)]
            ],
            "source": weather_words(results.outlook),
            "notes": list(dict.fromkeys((*results.outlook.weather.findings, *results.outlook.climate.notes))),
        }
    return job_page(request, entry, "weather", **values)


def _no_plan(results: Results) -> Plan:
    return Plan(
        status="unknown", tasks=(), options=(), cost_minor=None, cost_lines=(),
        currency=results.ashore.job.plan.currency, haul_out=None, launch=None, reasons=(), ways_out=(),
        report=NO_REPORT,
    )  # fmt: skip


def _drawing(results: Results, plan: Plan) -> dict[str, Any]:
    drawing: Drawing = drawing_of(results.ashore, results.outlook, plan)
    return {
        "svg": drawing.svg,
        "row_names": drawing.row_names,
        "legend": drawing.legend,
        "colours": [(name, words) for name, words in COLOUR_WORDS.items() if name in drawing.colours],
        "zone": results.ashore.job.plan.yard.zone_name,
    }


def _windows(results: Results, system: System, zone: Zone) -> dict[str, Any]:
    """When a coat of one product may be started on one zone, as the terminal lists it."""
    windows = results.outlook.windows[WindowKey(zone.name, system.sheet.name, False)]
    place, duration = ZoneInfo(results.ashore.job.plan.yard.zone_name), coat_slots(results.ashore, system, zone)
    rows = []
    for first, end in runs(windows.may_apply(duration)):
        worked, closed = slice(first, end - 1 + duration), windows.why_not(end, duration)
        rows.append(
            {
                "first": when(windows.grid.time_of(first), place),
                "last": when(windows.grid.time_of(end - 1), place),
                "surface_c": (float(windows.surface_c[worked].min()), float(windows.surface_c[worked].max())),
                "margin_k": float(windows.margin_k[worked].min()),
                "then": "" if closed is None else closed.text,
            }
        )
    return {"zone": zone.name, "product": system.sheet.name, "minutes": duration * SLOT_S // 60, "rows": rows}


@router.get("/plan")
def plan(entry: AsGuest, request: Request) -> HTMLResponse:
    """The schedule over its weather."""
    values = _standing(entry)
    results: Results | None = values["results"]
    if results is not None and results.planned is not None:
        values |= {"shown": _plan(results), "drawing": _drawing(results, results.planned.plan)}
    board = entry.house.desk.board(entry.job)
    values["changes"] = board.changes if board is not None else ()
    values["last_time"] = advice_from_last_time(entry.house, entry.job)
    return job_page(request, entry, "plan", **({"shown": None} | values))


def _plan(results: Results) -> dict[str, Any]:
    assert results.planned is not None
    ashore, found = results.ashore, results.planned.plan
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    return {
        "document": plan_document(ashore, results.outlook, results.planned),
        "headline": headline(found, zone, days=results.outlook.grid.days),
        "tasks": [
            {
                "start": when(task.start, zone),
                "end": when(task.end, zone),
                "words": words_of(task) + (" (under the tent)" if task.under_tent else ""),
                "people": task.people or "",
                "state": STATE_MARKS[task.state] + task.state,
                "because": task.because,
                "colour": colour_of(task, ashore.hull),
            }
            for task in found.tasks
        ],
        "begun": is_begun(found),
        "findings": _findings(results),
        "made": when(results.made, zone),
    }


def _findings(results: Results) -> Sequence[str]:
    words = {"stop": "STOP. ", "warn": "Take care: ", "note": ""}
    return [f"{words[one.severity]}{one.cause} {one.advice} ({one.source})" for one in results.ashore.findings]


@router.post("/plan")
def plan_again(entry: AsSkipper) -> Response:
    """Plan anew from the newest weather and the log."""
    entry.house.take("plan", entry.visitor.session)
    entry.house.desk.begin(entry.job, now=entry.house.job_now(entry.job))
    return see(f"/jobs/{entry.job}/plan")


def _planned(entry: Entry) -> Results:
    results = entry.house.desk.results(entry.job)
    if results is None or results.planned is None:
        raise not_found("plan")
    return results


@router.get("/plan.html")
def plan_file(entry: AsGuest) -> Response:
    """The plan as one page to keep or to send: the same that the command line writes."""
    results = _planned(entry)
    assert results.planned is not None
    text = plan_page(results.ashore, results.outlook, results.planned)
    return download(text.encode(), "plan.html", "text/html; charset=utf-8")


@router.get("/plan.ics")
def plan_calendar(entry: AsGuest) -> Response:
    """The plan as a calendar; its sequence is the number of boards made so far."""
    results = _planned(entry)
    assert results.planned is not None
    job = results.ashore.job.plan
    text = calendar_text(
        results.planned.plan,
        job=job.job_name,
        zone=ZoneInfo(job.yard.zone_name),
        made=entry.house.now(),
        sequence=entry.house.desk.boards_made(entry.job),
    )
    return download(text, "plan.ics", "text/calendar; charset=utf-8")
