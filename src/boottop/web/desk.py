"""Where the long work is done: sheet to windows to plan to board, one job at a time, away from the event loop."""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from queue import SimpleQueue
from typing import Any, Literal
from zoneinfo import ZoneInfo

from boottop.base.errors import BoottopError, InputError, Problem
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.files.jobsheet import load_job, located
from boottop.job.board import BoardTable
from boottop.job.coding import table_dict, table_of
from boottop.job.events import Json
from boottop.plan.plan import Plan
from boottop.store.store import Store
from boottop.web.kept_plan import plan_of_values, plan_values
from boottop.web.ledger import Ledger
from boottop.web.live import Hub
from boottop.web.papers import Cabinet, Papers, check_inside
from boottop.workflow import Ashore, Outlook, Planned

State = Literal["none", "computing", "ready", "failed"]
WeatherFor = Callable[[Job, datetime], Weather]
BOARD_KIND, BOARD_NAME = "plan", "board.json"
TIME_LIMIT_S = 60.0
OLD = "OLD WEATHER"
"""So begins what the services say of weather that is past its time; it goes before what changed."""


@dataclass(frozen=True, kw_only=True)
class Standing:
    """How the work on a job stands: `words` how far it is, `problems` why it failed, `papers` with which version."""

    state: State = "none"
    words: str = ""
    problems: tuple[Problem, ...] = ()
    papers: str = ""


@dataclass(frozen=True, kw_only=True)
class Results:
    """What was worked out; `planned` is None until the plan is there. `version`: of the papers it was made from."""

    version: str
    made: datetime
    ashore: Ashore
    outlook: Outlook
    planned: Planned | None = None


@dataclass(frozen=True, kw_only=True)
class Board:
    """The board table that is in force; `papers`: version of the papers it was made from; `plan`: the plan
    that is followed, None where it is not known."""

    version: str
    papers: str
    table: BoardTable
    coded: Mapping[str, Json]
    changes: tuple[str, ...]
    plan: Plan | None


class Desk:
    """Works out what pages and boards show, and keeps the newest of each job. `weather` may ask the network."""

    def __init__(self, store: Store, cabinet: Cabinet, *, ledger: Ledger, hub: Hub, weather: WeatherFor) -> None:
        self._store, self._cabinet, self._ledger, self._hub = store, cabinet, ledger, hub
        self._weather = weather
        self._lock = threading.Lock()
        self._told = threading.Condition(self._lock)
        self._ashore: dict[str, tuple[str, Ashore | InputError]] = {}
        self._standing: dict[str, Standing] = {}
        self._results: dict[str, Results] = {}
        self._boards: dict[str, Board | None] = {}
        self._queue: SimpleQueue[tuple[str, datetime] | None] = SimpleQueue()
        self._worker: threading.Thread | None = None

    # -- what is there ------------------------------------------------------------------------------------------

    def ashore(self, job: str) -> Ashore:
        """The sheet as it stands; InputError with all that is wrong with it."""
        papers = self._cabinet.papers(job)
        with self._lock:
            known = self._ashore.get(job)
        if known is None or known[0] != papers.version:
            known = (papers.version, _read(papers))
            with self._lock:
                self._ashore[job] = known
        if isinstance(known[1], InputError):
            raise known[1]
        return known[1]

    def standing(self, job: str) -> Standing:
        """How the work on a job stands; what failed with papers that were changed since stands no longer."""
        with self._lock:
            standing = self._standing.get(job)
        if standing is not None and standing.state == "failed" and standing.papers != self._cabinet.papers(job).version:
            return Standing()
        if standing is None:
            standing = Standing(state="ready" if self.board(job) is not None else "none")
        return standing

    def results(self, job: str) -> Results | None:
        """The newest results since the server was started."""
        with self._lock:
            return self._results.get(job)

    def board(self, job: str) -> Board | None:
        """The board in force, from the store after a restart."""
        with self._lock:
            if job in self._boards:
                return self._boards[job]
        board = self._kept_board(job)
        with self._lock:
            return self._boards.setdefault(job, board)

    def stale(self, job: str) -> bool:
        """Whether the papers were changed since the board was made."""
        board = self.board(job)
        return board is not None and board.papers != self._cabinet.papers(job).version

    def boards_made(self, job: str) -> int:
        """How many boards were made for a job so far."""
        return len(self._store.documents.versions(job, kind=BOARD_KIND, name=BOARD_NAME))

    # -- the work -----------------------------------------------------------------------------------------------

    def begin(self, job: str, *, now: datetime) -> bool:
        """Have a job worked out anew with the newest weather; False when that is under way already."""
        with self._lock:
            if self._standing.get(job, Standing()).state == "computing":
                return False
            self._standing[job] = Standing(state="computing", words="waiting for its turn")
            if self._worker is None:
                self._worker = threading.Thread(target=self._work, name="desk", daemon=True)
                self._worker.start()
        self._queue.put((job, now))
        return True

    def wait(self, job: str, seconds: float) -> Standing:
        """How the work on a job stands when it is done, or after so many seconds."""
        with self._told:
            self._told.wait_for(lambda: self._standing.get(job, Standing()).state != "computing", seconds)
        return self.standing(job)

    def close(self) -> None:
        """No more work; what is under way is left behind."""
        self._queue.put(None)

    def _work(self) -> None:
        while (asked := self._queue.get()) is not None:
            (job, now), version = asked, ""
            try:
                papers = self._cabinet.papers(job)
                version = papers.version
                self._work_out(job, papers, now=now)
            except Exception as error:
                self._say(job, Standing(state="failed", problems=_problems_of(error), papers=version))

    def _work_out(self, job: str, papers: Papers, *, now: datetime) -> None:
        from boottop.begun import days_for, hired_by
        from boottop.web.replan import Work, begun_from, board_for, changes_between, readings_of, since_haul
        from boottop.workflow import outlook_for, plan_for

        self._say(job, Standing(state="computing", words="reading the sheet"))
        state, events = self._ledger.state(job), self._ledger.events(job)
        ashore = since_haul(self.ashore(job), state)
        self._say(job, Standing(state="computing", words="getting the weather"))
        weather = readings_of(events, self._weather(ashore.job, now), now=now)
        self._say(job, Standing(state="computing", words="working out the windows"))
        plain = outlook_for(ashore, weather, days=days_for(ashore.job, now))
        before = self.board(job)
        followed = None if before is None else before.plan
        hired = hired_by(ashore.job, followed.options if followed else (), state=state, at=now)
        begun = begun_from(ashore, plain, state, at=now, hired=hired, before=followed)
        results = Results(version=papers.version, made=now, ashore=ashore, outlook=begun.outlook)
        self._keep(job, results)
        self._say(job, Standing(state="computing", words="looking for a plan"))
        planned = plan_for(
            ashore,
            begun.outlook,
            time_limit_s=TIME_LIMIT_S,
            on_first=lambda first: self._first(job, ashore, first),
            progress=begun.progress,
        )
        if planned.check.faults:
            raise BoottopError("the plan does not stand up to the checker: " + "; ".join(planned.check.faults))
        results = replace(results, planned=planned)
        self._keep(job, results)
        table = board_for(ashore, plain, planned, made=now)
        changes = changes_between(
            before.table if before else None, table, plan=planned.plan, work=Work(state=state, begun=begun)
        )  # fmt: skip
        changes = (*(note for note in weather.findings if note.startswith(OLD)), *changes)
        follow = planned.plan if planned.plan.tasks else replace(planned.plan, options=hired)
        self._set_board(job, _board(table, papers.version, changes=changes, plan=follow), now=now)
        self._say(job, Standing(state="ready"))

    def _first(self, job: str, ashore: Ashore, first: Plan) -> None:
        if first.launch is not None:
            zone = ZoneInfo(ashore.job.plan.yard.zone_name)
            words = f"a first plan: afloat {first.launch.astimezone(zone):%a %d %b %H:%M}; looking for a better one"
            self._say(job, Standing(state="computing", words=words))

    def _say(self, job: str, standing: Standing) -> None:
        with self._lock:
            self._standing[job] = standing
            board = self._boards.get(job)
            self._told.notify_all()
        version = board.version if board else ""
        self._hub.tell(job, "board", {"version": version, "state": standing.state, "words": standing.words})

    def _keep(self, job: str, results: Results) -> None:
        with self._lock:
            self._results[job] = results

    # -- the board over a restart -------------------------------------------------------------------------------

    def _set_board(self, job: str, board: Board, *, now: datetime) -> None:
        kept = {
            "papers": board.papers,
            "table": board.coded,
            "changes": board.changes,
            "plan": None if board.plan is None else plan_values(board.plan),
        }
        text = json.dumps(kept)
        self._store.documents.put(job, text, kind=BOARD_KIND, name=BOARD_NAME, now=now)
        with self._lock:
            self._boards[job] = board

    def _kept_board(self, job: str) -> Board | None:
        if not self._store.documents.versions(job, kind=BOARD_KIND, name=BOARD_NAME):
            return None
        kept: Any = json.loads(self._store.documents.get(job, kind=BOARD_KIND, name=BOARD_NAME).text)
        try:
            table, plan = table_of(kept["table"]), kept.get("plan")
            followed = None if plan is None else plan_of_values(plan)
        except (KeyError, TypeError, ValueError):  # written by another version: it is made anew
            return None
        return _board(table, kept["papers"], changes=tuple(kept["changes"]), plan=followed)


def _read(papers: Papers) -> Ashore | InputError:
    """The job in the papers, with its hull measured; or what is wrong."""
    try:
        if papers.sheet.is_file():
            check_inside(papers.sheet.read_text(encoding="utf-8", errors="replace"))
        ashore = Ashore(load_job_in(papers))
        try:
            ashore.hull  # noqa: B018 - measured here so that its errors carry the sheet's lines
        except InputError as error:
            return located(ashore.job, error)
        ashore.order  # noqa: B018 - reckoned here so that its errors are found here too
    except InputError as error:
        return error
    return ashore


def load_job_in(papers: Papers) -> Job:
    """The job of the papers, its errors naming files as the person knows them: without the folder."""
    try:
        return load_job(papers.sheet)
    except InputError as error:
        raise InputError(replace(one, where=_near(one.where, papers)) for one in error.problems) from None


def _near(where: str, papers: Papers) -> str:
    return where.replace(f"{papers.folder}/", "").replace(str(papers.folder), "")


def _board(table: BoardTable, papers: str, *, changes: tuple[str, ...], plan: Plan | None) -> Board:
    coded = table_dict(table)
    version = hashlib.sha256(json.dumps(coded, sort_keys=True).encode()).hexdigest()[:16]
    return Board(version=version, papers=papers, table=table, coded=coded, changes=changes, plan=plan)


def _problems_of(error: Exception) -> tuple[Problem, ...]:
    if isinstance(error, InputError):
        return error.problems
    return (_own_fault(str(error) if isinstance(error, BoottopError) else f"{type(error).__name__}: {error}"),)


def _own_fault(text: str) -> Problem:
    return Problem(
        where="boottop",
        found=text,
        allowed="a plan, or the reasons why there is none",
        advice="This is a fault of boottop's own, not of your sheet. Nothing was lost; report it with the job sheet.",
    )
