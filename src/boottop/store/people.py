"""Who may do what: pairing codes shown on the laptop, and the sessions that phones get for them. Only hashes are kept.

A pairing code is short, so guessing is limited and codes end soon; a token is 256 random bits, which nobody guesses.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Literal, get_args
from uuid import uuid4

from sqlalchemy import ColumnElement, Connection, Row, Table, and_, delete, func, insert, select, update

from boottop.base.errors import InputError
from boottop.store.database import Database
from boottop.store.refusal import check_aware, no_job, refuse
from boottop.store.tables import JOBS, MISSES, PAIRINGS, PEOPLE, SESSIONS

Role = Literal["skipper", "hand", "guest"]
ROLES: tuple[Role, ...] = get_args(Role)

ALPHABET = "34679CDFGHJKMNPQRTWXY"
"""No pair that is mistaken for each other by eye (0 O, 1 I L, 2 Z, 5 S, 8 B, U V) and no vowel, so no words."""
CODE_LENGTH = 8
MISS_WINDOW = timedelta(minutes=10)
MISSES_PER_DEVICE = 5
MISSES_IN_ALL = 30
"""30 guesses in 10 minutes against 21**8 = 3.8e10 codes: one in nine million for a code that stands all day."""
SESSION_LENGTH = timedelta(days=60)
USES = 10


@dataclass(frozen=True, kw_only=True)
class Session:
    """One device of one person on one job."""

    id: str
    job: str
    who: str
    role: Role
    device: str
    created: datetime
    expires: datetime
    revoked: datetime | None


@dataclass(frozen=True, kw_only=True)
class Pairing:
    """A pairing code without the code."""

    id: str
    job: str
    role: Role
    created: datetime
    expires: datetime
    revoked: datetime | None
    uses_left: int


_SESSION_COLUMNS = (
    SESSIONS.c.id, SESSIONS.c.job, PEOPLE.c.name.label("who"), SESSIONS.c.role, SESSIONS.c.device,
    SESSIONS.c.created, SESSIONS.c.expires, SESSIONS.c.revoked,
)  # fmt: skip
_SESSIONS = select(*_SESSION_COLUMNS).join(PEOPLE, PEOPLE.c.id == SESSIONS.c.person)
_PAIRING_COLUMNS = tuple(PAIRINGS.c[name] for name in Pairing.__dataclass_fields__)


class People:
    """Pairing codes and sessions of a store."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def make_pairing(self, job: str, role: Role, *, now: datetime, valid_for: timedelta, uses: int = USES) -> str:
        """A new code, good for `uses` devices within `valid_for`; it is not kept and cannot be shown again later."""
        _check_role(role)
        check_aware(now, where="pairing")
        code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
        salt = secrets.token_hex(16)
        row = {"id": str(uuid4()), "job": job, "salt": salt, "code_hash": _code_hash(salt, code), "role": role}
        times = {"created": now, "expires": now + valid_for, "revoked": None, "uses_left": uses}
        with self._database.write() as connection:
            _check_job(connection, job)
            connection.execute(insert(PAIRINGS), {**row, **times})
        return code

    def redeem(
        self, code: str, *, device: str, who: str, now: datetime, session_for: timedelta = SESSION_LENGTH
    ) -> str:
        """The token of a new session for a code as typed (case, spaces and hyphens do not matter).

        A wrong code and a spent one get the same answer, and are counted; after too many the answer is to wait.
        """
        check_aware(now, where="pairing")
        _check_name(who, where="name of the person")
        _check_name(device, where="device")
        typed = "".join(code.split()).replace("-", "").upper()
        with self._database.write() as connection:
            _check_misses(connection, device, now=now)
            found = _matching(connection, typed, now=now)
            if found is not None:
                left = found.uses_left - 1
                connection.execute(update(PAIRINGS).where(PAIRINGS.c.id == found.id).values(uses_left=left))
                return _new_session(
                    connection, found.job, role=found.role, who=who, device=device, now=now, session_for=session_for
                )
            connection.execute(delete(MISSES).where(MISSES.c.at < now - timedelta(days=1)))
            connection.execute(insert(MISSES), {"id": str(uuid4()), "device": device, "at": now})
        raise _wrong_code()

    def open_session(
        self, job: str, role: Role, *, device: str, who: str, now: datetime, session_for: timedelta = SESSION_LENGTH
    ) -> str:
        """The token of a new session without a code: for the laptop that the store is on."""
        _check_role(role)
        check_aware(now, where="session")
        _check_name(who, where="name of the person")
        _check_name(device, where="device")
        with self._database.write() as connection:
            _check_job(connection, job)
            return _new_session(connection, job, role=role, who=who, device=device, now=now, session_for=session_for)

    def session_of(self, token: str, *, now: datetime) -> Session | None:
        """The session of a token; None for an unknown, ended or revoked one."""
        check_aware(now, where="session")
        digest = _token_hash(token)
        statement = _SESSIONS.add_columns(SESSIONS.c.token_hash).where(SESSIONS.c.token_hash == digest)
        with self._database.read() as connection:
            row = connection.execute(statement).mappings().one_or_none()
        if row is None or not hmac.compare_digest(row["token_hash"], digest):
            return None
        session = Session(**{name: row[name] for name in Session.__dataclass_fields__})
        return session if session.revoked is None and session.created <= now < session.expires else None

    def sessions(self, job: str, *, now: datetime) -> list[Session]:
        """The sessions of a job that are good at this moment, oldest first."""
        statement = _SESSIONS.where(SESSIONS.c.job == job, SESSIONS.c.revoked.is_(None), SESSIONS.c.expires > now)
        with self._database.read() as connection:
            rows = connection.execute(statement.order_by(SESSIONS.c.created, SESSIONS.c.id)).mappings().all()
        return [Session(**row) for row in rows]

    def pairings(self, job: str, *, now: datetime) -> list[Pairing]:
        """The codes of a job that a phone could still join with, oldest first."""
        statement = select(*_PAIRING_COLUMNS).where(PAIRINGS.c.job == job, _open(now)).order_by(PAIRINGS.c.created)
        with self._database.read() as connection:
            return [Pairing(**row) for row in connection.execute(statement).mappings()]

    def revoke(self, session: str, *, now: datetime) -> None:
        """End a session by its id at once."""
        self._revoke(SESSIONS, session, now=now)

    def revoke_pairing(self, pairing: str, *, now: datetime) -> None:
        """Let nobody join with a code any more; who joined stays."""
        self._revoke(PAIRINGS, pairing, now=now)

    def _revoke(self, table: Table, ident: str, *, now: datetime) -> None:
        check_aware(now, where="revoking")
        with self._database.write() as connection:
            found = connection.execute(select(table.c.id).where(table.c.id == ident)).first()
            if found is None:
                raise _unknown(ident)
            still = (table.c.id == ident, table.c.revoked.is_(None))
            connection.execute(update(table).where(*still).values(revoked=now))


def _open(now: datetime) -> ColumnElement[bool]:
    return and_(PAIRINGS.c.revoked.is_(None), PAIRINGS.c.expires > now, PAIRINGS.c.uses_left > 0)


def _matching(connection: Connection, code: str, *, now: datetime) -> Row[Any] | None:
    """The open pairing of a code. Every one is compared, whole: the time tells nothing of what was right."""
    found = None
    for row in connection.execute(select(PAIRINGS).where(_open(now))):
        if hmac.compare_digest(row.code_hash, _code_hash(row.salt, code)):
            found = row
    return found


def _new_session(
    connection: Connection, job: str, *, role: Role, who: str, device: str, now: datetime, session_for: timedelta
) -> str:
    name = " ".join(who.split())
    known = connection.execute(select(PEOPLE.c.id).where(PEOPLE.c.job == job, PEOPLE.c.name == name)).scalar()
    person = known or str(uuid4())
    if known is None:
        connection.execute(insert(PEOPLE), {"id": person, "job": job, "name": name, "created": now})
    token = secrets.token_urlsafe(32)
    row = {"id": str(uuid4()), "job": job, "person": person, "token_hash": _token_hash(token), "role": role}
    times = {"device": device, "created": now, "expires": now + session_for, "revoked": None}
    connection.execute(insert(SESSIONS), {**row, **times})
    return token


def _code_hash(salt: str, code: str) -> str:
    return hashlib.sha256(f"{salt}:{code}".encode("utf-8", "surrogatepass")).hexdigest()


def _token_hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _check_misses(connection: Connection, device: str, *, now: datetime) -> None:
    recent = select(func.count()).select_from(MISSES).where(MISSES.c.at > now - MISS_WINDOW)
    of_device = connection.execute(recent.where(MISSES.c.device == device)).scalar_one()
    if of_device >= MISSES_PER_DEVICE or connection.execute(recent).scalar_one() >= MISSES_IN_ALL:
        raise refuse(
            "pairing code",
            found="too many wrong codes",
            allowed=f"{MISSES_PER_DEVICE} from one device and {MISSES_IN_ALL} in all within 10 minutes",
            advice="Wait 10 minutes, then scan the code from the laptop instead of typing it.",
        )


def _check_job(connection: Connection, job: str) -> None:
    if connection.execute(select(JOBS.c.id).where(JOBS.c.id == job)).first() is None:
        raise no_job(job)


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise refuse("role", found=repr(role), allowed=", ".join(ROLES), advice="Say what this person may do.")


def _check_name(text: str, *, where: str) -> None:
    if not 0 < len(text.strip()) <= 100 or not text.isprintable():
        raise refuse(where, found=repr(text[:80]), allowed="1 to 100 printable characters", advice="Type a short name.")


def _wrong_code() -> InputError:
    return refuse(
        "pairing code",
        found="a code that is wrong, was used up or has ended",
        allowed=f"the {CODE_LENGTH} characters that the laptop shows now",
        advice="Scan or type the code again, or have a new one made on the laptop.",
    )


def _unknown(ident: str) -> InputError:
    return refuse(
        f"session or code {ident[:64]!r}", found="none with that id", allowed="one from the list", advice="List them."
    )
