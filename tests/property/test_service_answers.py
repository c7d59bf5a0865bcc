"""Whatever a service answers, it is read or refused in words; what is read is finite, ordered and possible."""

from __future__ import annotations

import copy
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.services import metno, nws, openmeteo, smhi
from boottop.services.members import judged
from boottop.services.steps import Issue
from tests.services.answers import open_meteo, utc
from tests.services.answers import smhi as smhi_answer
from tests.services.server import sample

ANYWHERE = Site(latitude_deg=50.0, longitude_deg=0.0, elevation_m=2.0, zone_name="UTC", bow_deg=0.0)
JUNK: st.SearchStrategy[object] = st.sampled_from(
    [
        None,
        True,
        "",
        "x",
        "9999-12-31T23:00:00Z",
        "1e5",
        -1,
        0,
        1e300,
        10**400,
        9999,
        [],
        [[]],
        {},
        {"values": 3},
        "P1D",
    ]
)
STEPS = sample("metno-london-complete.json")["data"]
STEPS["properties"]["timeseries"] = STEPS["properties"]["timeseries"][48:66]
LAYERS = sample("nws-gridpoint-raw.json")
for _layer in LAYERS["properties"].values():
    if isinstance(_layer, dict) and "values" in _layer:
        _layer["values"] = _layer["values"][:6]
ANSWERS: dict[str, tuple[Any, Callable[[Any], Issue]]] = {
    "metno": (STEPS, lambda payload: metno.decode(payload, elevation_m=2.0)),
    "nws": (LAYERS, nws.decode),
    "smhi": (smhi_answer(utc(2026, 4, 2), [1, 1, 1, 3, 6]), lambda payload: smhi.decode(payload, elevation_m=2.0)),
    "openmeteo": (open_meteo(utc(2026, 4, 2), 6, members=2), openmeteo.decode),
}


def spoil(payload: Any, way: list[float], junk: object) -> Any:
    """The answer with one of its parts, found by walking down a random way, replaced by junk."""
    whole = {"answer": copy.deepcopy(payload)}
    holder: Any = whole
    key: Any = "answer"
    for turn in way:
        part: Any = holder[key]
        keys: list[Any] = list(part) if isinstance(part, dict) else []
        keys = list(range(len(part))) if isinstance(part, list) else keys
        if not keys:
            break
        holder, key = part, keys[int(turn * len(keys))]
    holder[key] = junk
    return whole["answer"]


def attempt(payload: Any, decode: Callable[[Any], Issue]) -> None:
    try:
        issue = decode(payload)
        first = datetime.fromtimestamp(issue.tables[0].covers_s[0], tz=UTC)
        weather = judged(issue, ANYWHERE, start=first, end=None)
    except InputError:
        return
    for field in ("air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa"):
        assert np.isfinite(getattr(weather, field)).all(), field
    assert (weather.dew_c <= weather.air_c).all()
    assert (weather.rain_mm >= 0).all()


@pytest.mark.parametrize("name", ANSWERS)
@given(way=st.lists(st.floats(0, 0.999), max_size=9), junk=JUNK)
@settings(max_examples=150, deadline=None)
def test_one_part_spoilt(name: str, way: list[float], junk: object) -> None:
    payload, decode = ANSWERS[name]
    attempt(spoil(payload, way, junk), decode)


LEAVES = st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=5)
DOCUMENTS = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
)


@given(DOCUMENTS)
def test_any_document(payload: Any) -> None:
    for _, decode in ANSWERS.values():
        attempt(payload, decode)
    with pytest.raises(InputError, match=r"no properties|found the square"):
        nws.decode_point(payload)
