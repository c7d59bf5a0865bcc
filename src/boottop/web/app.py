"""The web application: routes, errors, static files, around one House."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware

from boottop.base.errors import BoottopError, InputError, Problem
from boottop.web import (
    api_board,
    api_photos,
    api_session,
    pages_ashore,
    pages_cost,
    pages_crew,
    pages_home,
    pages_hull,
    pages_log,
    pages_odds,
    pages_picture,
    pages_plan,
    pages_product,
    pages_record,
    pages_sheet,
    pages_today,
    static_files,
)
from boottop.web.gate import Gate
from boottop.web.house import House
from boottop.web.pages import problem_page
from boottop.web.refused import Refused, problems_out

ROUTERS = (
    static_files, api_session, api_board, api_photos, pages_home, pages_today, pages_cost, pages_odds, pages_ashore,
    pages_plan, pages_sheet, pages_product, pages_log, pages_record, pages_crew, pages_picture, pages_hull,
)  # fmt: skip


def create_app(house: House, *, hosts: Iterable[str] = ()) -> FastAPI:
    """The application on a house; `hosts`: names beside localhost under which it may be asked."""

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        house.desk.close()

    app = FastAPI(title="boottop", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    app.state.house = house
    for module in ROUTERS:
        app.include_router(module.router)
    app.add_exception_handler(Refused, _refused)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(BoottopError, _boottop)
    app.add_exception_handler(Exception, _fault)
    app.add_middleware(GZipMiddleware, minimum_size=2000, compresslevel=6)
    app.add_middleware(Gate, hosts=hosts)
    return app


def answer(request: Request, error: Refused) -> Response:
    """A refusal as JSON for the interface, as a page for a person."""
    if request.url.path.startswith("/api/") or "x-boottop" in request.headers:
        return JSONResponse({"problems": problems_out(error.problems)}, error.status, headers=error.headers)
    return problem_page(request, error)


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, Refused)
    return answer(request, error)


async def _invalid(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    problems = [
        Problem(
            where=".".join(map(str, one["loc"]))[:120],
            found="a value that does not fit",
            allowed=str(one["msg"])[:200],
            advice="See docs/api.md for what is sent here.",
        )
        for one in error.errors()
    ]
    return answer(request, Refused(422, problems))


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    problem = Problem(
        where=request.url.path[:120],
        found=str(error.detail)[:120],
        allowed="a page or an address of the interface",
        advice="Go back to the start page.",
    )
    return answer(request, Refused(error.status_code, problem))


async def _boottop(request: Request, error: Exception) -> Response:
    """What a person can put right is theirs (422), or the store's (503) when its own place is what fails."""
    house: House = request.app.state.house
    if isinstance(error, InputError):
        down = any(one.where == house.store.database.place for one in error.problems)
        return answer(request, Refused(503 if down else 422, error.problems, wait_s=10 if down else None))
    return answer(request, Refused(500, _own_fault(str(error))))


async def _fault(request: Request, error: Exception) -> Response:
    return answer(request, Refused(500, _own_fault(type(error).__name__)))


def _own_fault(found: str) -> Problem:
    return Problem(
        where="boottop",
        found=found,
        allowed="an answer",
        advice="This is a fault of boottop's own; what was logged is safe. Report it with what you did.",
    )
