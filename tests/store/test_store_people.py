"""Pairing and sessions: short codes that end soon and cannot be guessed at leisure, tokens kept as hashes only."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest
from sqlalchemy import text

from boottop.base.errors import InputError
from boottop.store.people import (
    ALPHABET,
    MISS_WINDOW,
    MISSES_IN_ALL,
    MISSES_PER_DEVICE,
    ROLES,
    SESSION_LENGTH,
    Role,
)
from boottop.store.store import Store
from tests.store.made import NOW

HOUR = timedelta(hours=1)


@pytest.fixture
def job(store: Store) -> str:
    return store.jobs.create("Gannet 2026", now=NOW).id


def pair(store: Store, job: str, *, role: Role = "hand", uses: int = 10) -> str:
    """A code that is good for an hour."""
    return store.people.make_pairing(job, role, now=NOW, valid_for=HOUR, uses=uses)


def join(store: Store, code: str, *, device: str = "phone-a", who: str = "Ana", now: datetime = NOW) -> str:
    """The token for a code."""
    return store.people.redeem(code, device=device, who=who, now=now)


@pytest.mark.parametrize("role", ROLES)
def test_a_code_makes_a_session_with_its_role(store: Store, job: str, role: Role) -> None:
    session = store.people.session_of(join(store, pair(store, job, role=role)), now=NOW)
    assert session is not None
    assert (session.job, session.who, session.role, session.device) == (job, "Ana", role, "phone-a")
    assert session.expires == NOW + SESSION_LENGTH


def test_codes_are_easy_to_read_and_to_type(store: Store, job: str) -> None:
    codes = {pair(store, job) for _ in range(20)}
    assert len(codes) == 20
    for code in codes:
        assert re.fullmatch(f"[{ALPHABET}]{{8}}", code)
    assert not set(ALPHABET) & set("0O1IL2Z5S8BUVAE")
    code = codes.pop()
    assert join(store, f" {code[:4].lower()}-{code[4:]} ")


def test_a_code_ends_with_its_time_its_uses_and_when_revoked(store: Store, job: str) -> None:
    timed, used, revoked = pair(store, job), pair(store, job, uses=1), pair(store, job)
    (ident,) = {one.id for one in store.people.pairings(job, now=NOW)[2:]}
    with pytest.raises(InputError, match="wrong, was used up or has ended"):
        join(store, timed, now=NOW + HOUR)
    assert join(store, used)
    with pytest.raises(InputError, match="wrong, was used up or has ended"):
        join(store, used, device="phone-b")
    known = {one.id: one for one in store.people.pairings(job, now=NOW)}
    for one in known.values():
        store.people.revoke_pairing(one.id, now=NOW)
    assert ident in known
    assert store.people.pairings(job, now=NOW) == []
    with pytest.raises(InputError, match="wrong, was used up or has ended"):
        join(store, revoked, device="phone-c")


def test_guessing_from_one_device_is_stopped_and_let_go_again(store: Store, job: str) -> None:
    code = pair(store, job)
    for _ in range(MISSES_PER_DEVICE):
        with pytest.raises(InputError, match="wrong, was used up"):
            join(store, "C" * 8)
    with pytest.raises(InputError, match="too many wrong codes"):
        join(store, code)
    assert join(store, code, device="phone-b")
    assert join(store, code, now=NOW + MISS_WINDOW)


def test_guessing_from_ever_new_devices_is_stopped(store: Store, job: str) -> None:
    code = pair(store, job)
    for number in range(MISSES_IN_ALL):
        with pytest.raises(InputError, match="wrong, was used up"):
            join(store, "C" * 8, device=f"phone-{number}")
    with pytest.raises(InputError, match="too many wrong codes"):
        join(store, code, device="new phone")
    assert join(store, code, now=NOW + MISS_WINDOW)


def test_tokens_end_with_their_time_and_when_revoked(store: Store, job: str) -> None:
    code = pair(store, job)
    token, other = join(store, code), join(store, code, device="phone-b", who="Ben")
    assert store.people.session_of(token, now=NOW + SESSION_LENGTH) is None
    assert store.people.session_of(token, now=NOW - HOUR) is None
    mine = store.people.session_of(token, now=NOW)
    assert mine is not None
    store.people.revoke(mine.id, now=NOW)
    assert store.people.session_of(token, now=NOW) is None
    assert [session.who for session in store.people.sessions(job, now=NOW)] == ["Ben"]
    assert store.people.session_of(other, now=NOW) is not None


@pytest.mark.parametrize("token", ["", "x", "' OR 1=1 --", "\ud83d"])
def test_what_is_no_token_is_nobody(store: Store, job: str, token: str) -> None:
    pair(store, job)
    assert store.people.session_of(token, now=NOW) is None


def test_one_person_on_two_devices_is_one_person(store: Store, job: str) -> None:
    code = pair(store, job)
    join(store, code, who="Ana")
    join(store, code, who=" Ana ", device="phone-b")
    with store.database.read() as connection:
        assert connection.execute(text("SELECT name FROM people")).scalars().all() == ["Ana"]


def test_neither_code_nor_token_is_kept(store: Store, job: str) -> None:
    code = pair(store, job)
    token = join(store, code)
    own = store.people.open_session(job, "skipper", device="laptop", who="Skipper", now=NOW)
    with store.database.read() as connection:
        rows = [connection.execute(text(f"SELECT * FROM {table}")).all() for table in ("pairings", "sessions")]
    kept = repr(rows)
    for secret in (code, token, own):
        assert secret not in kept


def test_wrong_words_are_refused(store: Store, job: str) -> None:
    code = pair(store, job)
    with pytest.raises(InputError, match="skipper, hand, guest"):
        store.people.make_pairing(job, "owner", now=NOW, valid_for=HOUR)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="no such job"):
        store.people.make_pairing("none", "hand", now=NOW, valid_for=HOUR)
    with pytest.raises(InputError, match="no such job"):
        store.people.open_session("none", "hand", device="laptop", who="Ana", now=NOW)
    with pytest.raises(InputError, match="name of the person"):
        join(store, code, who="  ")
    with pytest.raises(InputError, match="device"):
        join(store, code, device="x" * 101)
    for call in (store.people.revoke, store.people.revoke_pairing):
        with pytest.raises(InputError, match="none with that id"):
            call("none", now=NOW)
