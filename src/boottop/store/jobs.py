"""Jobs: what everything else in the store belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from sqlalchemy import insert, select, update

from boottop.store.database import Database
from boottop.store.entry import FIRST_LINK
from boottop.store.refusal import check_aware, no_job, refuse
from boottop.store.tables import JOBS

NAME_LENGTH_MAX = 200


@dataclass(frozen=True, kw_only=True)
class Job:
    """One bottom job: `events` of them are in its log, `head` is the hash of the last one."""

    id: str
    name: str
    created: datetime
    events: int
    head: str


class Jobs:
    """The jobs of a store."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def create(self, name: str, *, now: datetime) -> Job:
        """A new job with an empty log."""
        check_aware(now, where="a job's time")
        job = Job(id=str(uuid4()), name=_good_name(name), created=now, events=0, head=FIRST_LINK)
        row = {"id": job.id, "name": job.name, "created": now, "events": 0, "head": FIRST_LINK}
        with self._database.write() as connection:
            connection.execute(insert(JOBS), row)
        return job

    def rename(self, job: str, name: str) -> None:
        """Another name for a job."""
        with self._database.write() as connection:
            done = connection.execute(update(JOBS).where(JOBS.c.id == job).values(name=_good_name(name)))
        if done.rowcount == 0:
            raise no_job(job)

    def get(self, job: str) -> Job:
        """The job of that id; InputError when there is none."""
        with self._database.read() as connection:
            row = connection.execute(select(JOBS).where(JOBS.c.id == job)).mappings().one_or_none()
        if row is None:
            raise no_job(job)
        return Job(**row)

    def all(self) -> list[Job]:
        """Every job, the newest first."""
        with self._database.read() as connection:
            rows = connection.execute(select(JOBS).order_by(JOBS.c.created.desc(), JOBS.c.id)).mappings().all()
        return [Job(**row) for row in rows]


def _good_name(name: str) -> str:
    stripped = " ".join(name.split())
    if not 0 < len(stripped) <= NAME_LENGTH_MAX or not stripped.isprintable():
        raise refuse(
            "name of the job",
            found=repr(name[:80]),
            allowed=f"1 to {NAME_LENGTH_MAX} printable characters",
            advice="Call it by the boat and the year.",
        )
    return stripped
