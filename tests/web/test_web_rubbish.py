"""Whatever comes in, the server answers with words and goes on: no 500, no traceback, nothing written."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import quote

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.web.made_events import event
from tests.web.serving import Running, running

ADDRESSES = (
    "/", "/enter", "/join", "/look", "/leave", "/new-job", "/static/x", "/api/pair", "/api/me", "/api/leave",
    "/api/version", "/api/jobs/{job}/board", "/api/jobs/{job}/events", "/api/jobs/{job}/replan",
    "/api/jobs/{job}/photos/{part}", "/jobs/{job}/sheet", "/jobs/{job}/sheet/check", "/jobs/{job}/documents",
    "/jobs/{job}/documents/{part}", "/jobs/{job}/product/{part}", "/jobs/{job}/product/check/{part}",
    "/jobs/{job}/log", "/jobs/{job}/log/{part}", "/jobs/{job}/crew", "/jobs/{job}/crew/{part}", "/jobs/{part}/plan",
    "/jobs/{job}/{part}.json", "/jobs/{job}/plan", "/jobs/{job}/today", "/{part}",
)  # fmt: skip
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=10), inner, max_size=4),
    max_leaves=12,
)
PARTS = st.text(st.characters(codec="utf-8", exclude_characters="\r\n"), max_size=12) | st.sampled_from(
    ["..%2f..%2fetc%2fpasswd", "%00", "a/../../b", "job.toml", "x.toml", "note", "code", "0" * 64]
)

KNOWN = st.sampled_from(["boat.length", "hidden[1].kind", "base", "change"])


@pytest.fixture(scope="module")
def wild(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server without a limit on the pace, for this file alone."""
    with running(tmp_path_factory.mktemp("wild")) as found:
        found.house.limits.take = lambda purpose, client, *, now_s: None  # type: ignore[method-assign]
        yield found


@pytest.fixture(scope="module")
def clients(wild: Running) -> dict[str, httpx.Client]:
    """One of each kind of visitor."""
    return {
        "nobody": wild.client(),
        "guest": wild.paired("guest"),
        "hand": wild.paired("hand"),
        "skipper": wild.paired("skipper"),
        "keeper": wild.keeper(),
    }


def _well(answer: httpx.Response) -> None:
    assert answer.status_code < 500, answer.text[:500]
    assert "Traceback" not in answer.text


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    address=st.sampled_from(ADDRESSES),
    who=st.sampled_from(["nobody", "guest", "hand", "skipper", "keeper"]),
    method=st.sampled_from(["GET", "POST", "PUT", "DELETE", "PATCH"]),
    part=PARTS,
    body=st.binary(max_size=60) | JSON,
    query=st.dictionaries(st.sampled_from(["after", "limit", "before", "view", "code", "token"]), st.text(max_size=8)),
)
def test_rubbish_is_answered(  # noqa: PLR0913 - one parameter for each thing that can be rubbish
    wild: Running, clients: dict[str, httpx.Client], *, address: str, who: str, method: str, part: str,
    body: object, query: dict[str, str],
) -> None:  # fmt: skip
    path = address.format(job=wild.job, part=quote(part, safe="%"))
    content = {"content": body} if isinstance(body, bytes) else {"json": body}
    if address in ("/leave", "/api/leave") and who != "nobody" and method == "POST":
        return
    _well(clients[who].request(method, path, params=query, **content))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=st.dictionaries(st.sampled_from(sorted(event())), JSON, min_size=1, max_size=3))
def test_events_with_rubbish_in_them_are_answered_one_by_one(
    wild: Running, clients: dict[str, httpx.Client], *, changes: dict[str, object]
) -> None:
    sound = event()
    answer = clients["hand"].post(f"/api/jobs/{wild.job}/events", json={"events": [event() | changes, sound]})
    _well(answer)
    assert sound["id"] in answer.json()["acknowledged"]
    assert wild.house.store.verify_chain(wild.job) == []


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(fields=st.dictionaries(st.text(max_size=12) | KNOWN, st.text(max_size=15), max_size=4))
def test_forms_with_rubbish_in_them_leave_a_sheet_that_can_be_shown(
    wild: Running, clients: dict[str, httpx.Client], *, fields: dict[str, str]
) -> None:
    _well(clients["skipper"].post(f"/jobs/{wild.job}/sheet", data=fields))
    assert clients["skipper"].get(f"/jobs/{wild.job}/sheet").status_code == 200


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=80))
def test_any_text_as_a_sheet_is_answered(wild: Running, clients: dict[str, httpx.Client], *, text: str) -> None:
    _well(clients["skipper"].post(f"/jobs/{wild.job}/sheet/check", json={"toml": text}))
    _well(clients["skipper"].post(f"/jobs/{wild.job}/sheet", data={"toml": text}))
    assert clients["skipper"].get(f"/jobs/{wild.job}/sheet").status_code == 200
