"""What all pages share: the template environment, words and numbers as the person reads them, errors as a page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from importlib import resources
from typing import Any, Literal, get_args
from zoneinfo import ZoneInfo

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import DictLoader, Environment, StrictUndefined

from boottop.base.errors import BoottopError
from boottop.base.money import format_money
from boottop.base.quantities import System, format_quantity
from boottop.plan.calendar import said
from boottop.report.typeset import typeset
from boottop.web.auth import Entry, Visitor, visitor_of
from boottop.web.refused import Refused
from boottop.web.static_files import link

Theme = Literal["auto", "light", "dark"]
THEMES: tuple[Theme, ...] = get_args(Theme)
SYSTEMS: tuple[System, ...] = get_args(System)
TABS: tuple[tuple[str, str], ...] = (
    ("today", "Today"),
    ("plan", "Plan"),
    ("odds", "Odds"),
    ("weather", "Weather"),
    ("order", "Order"),
    ("cost", "Cost"),
    ("areas", "Areas"),
    ("hull", "Hull"),
    ("log", "Log"),
    ("record", "Record"),
    ("sheet", "Job"),
    ("crew", "Crew & phones"),
)


@dataclass(frozen=True, kw_only=True)
class Look:
    """How a person wants to see it, from a cookie."""

    units: System
    theme: Theme


def look_of(request: Request) -> Look:
    """Units and theme by the cookies; metric and the device's own where they say nothing that is known."""
    units, theme = request.cookies.get("units"), request.cookies.get("theme")
    return Look(
        units=next((one for one in SYSTEMS if one == units), "metric"),
        theme=next((one for one in THEMES if one == theme), "auto"),
    )


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Every template of the package, escaping everything."""
    folder = resources.files("boottop.web").joinpath("templates")
    texts = {one.name: one.read_text(encoding="utf-8") for one in folder.iterdir() if one.name.endswith(".j2")}
    made = Environment(
        loader=DictLoader(texts), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    made.globals["link"] = link
    made.filters["money"] = format_money
    made.filters["typeset"] = typeset
    return made


def render(request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A page of a template; `look`, `visitor` and the filter of units come with it."""
    look = look_of(request)

    def q(value: float | None, kind: str, digits: int = 3) -> str:
        return "" if value is None else typeset(format_quantity(value, kind, look.units, digits=digits))

    base: dict[str, Any] = {
        "look": look,
        "q": q,
        "visitor": _visitor(request),
        "path": request.url.path,
        "tabs": TABS,
        "tab": "",
        "job": None,
        "refresh_s": None,
        "scripts": (),
    }
    return HTMLResponse(environment().get_template(template).render(base | values), status)


def job_page(request: Request, entry: Entry, tab: str, **values: Any) -> HTMLResponse:
    """A page of a job, with its name and tabs; `tab` names template and tab."""
    job = entry.house.store.jobs.get(entry.job)
    shared: Mapping[str, Any] = {"job": {"id": job.id, "name": job.name}, "tab": tab}
    return render(request, values.pop("template", f"{tab}.html.j2"), **(dict(shared) | values))


def _visitor(request: Request) -> Visitor | None:
    """The visitor, also on the page of an error that the store itself has."""
    try:
        return visitor_of(request)
    except BoottopError:
        return None


def problem_page(request: Request, error: Refused) -> HTMLResponse:
    """A refusal as a page; who is not paired is asked for a code."""
    template = "join.html.j2" if error.status == 401 else "problem.html.j2"
    page = render(request, template, error.status, problems=error.problems, code="", who="", refused=True)
    page.headers.update(error.headers)
    return page


def see(place: str) -> RedirectResponse:
    """After a form: look at another page."""
    return RedirectResponse(place, 303)


def back_of(text: object) -> str:
    """A path of this server to go back to; the start page for anything else."""
    path = text if isinstance(text, str) else ""
    return path if path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() else "/"


def when(moment: datetime, zone: ZoneInfo) -> str:
    """A time as the yard says it."""
    return said(moment.astimezone(zone))
