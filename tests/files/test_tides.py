"""Tide station files: the open ones as they are, and broken ones, each told by what is wrong with it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.files.tides import load_station
from boottop.plan.tide_constants import utide_name
from boottop.plan.tide_heights import heights_m, left_out
from tests.files.tide_files import FILES, TIDES, raw, seconds, station

MISFITS = {"T3", "R3", "3L2", "3N2"}


@pytest.mark.parametrize("name", FILES)
def test_open_files_are_read_whole(name: str) -> None:
    data, of = json.loads((TIDES / name).read_text(encoding="utf-8")), load_station(TIDES / name)
    assert (of.name, of.latitude_deg, of.longitude_deg) == (data["name"], data["latitude"], data["longitude"])
    assert [(one.name, one.amplitude_m, one.phase_deg) for one in of.constituents] == [
        (row["name"], row["amplitude"], row["phase"]) for row in data["harmonic_constituents"]
    ]
    assert of.chart_datum in of.datums_m
    assert of.source == data["source"]["name"]


@pytest.mark.parametrize("name", FILES)
def test_every_wave_is_known_but_those_no_list_defines(name: str) -> None:
    missing = left_out(load_station(TIDES / name))
    assert {one.name for one in missing} == (MISFITS if name.startswith("ticon4") else set())
    assert sum(one.amplitude_m for one in missing) < 0.02


def test_ranges_and_hours_are_no_levels() -> None:
    of = station("boston")
    assert {"GT", "MN", "DHQ", "DLQ", "HWI", "LWI"} <= set(raw("boston")["datums"])
    assert set(of.datums_m) == {
        "LAT", "HAT", "STND", "MHHW", "MHW", "DTL", "MTL", "MSL", "MLW", "MLLW", "NAVD88",
    }  # fmt: skip


def test_what_the_file_says_of_itself() -> None:
    dublin, newlyn, boston = station("dublin"), station("newlyn"), station("boston")
    assert dublin.remark == "Possible quality control issues"
    assert (newlyn.remark, newlyn.licence, newlyn.epoch) == ("", "cc-by-4.0", "2006-2025")
    assert (boston.licence, boston.epoch, boston.chart_datum) == ("public domain", "1983-2001", "MLLW")


@pytest.mark.parametrize("name", FILES)
def test_mean_of_a_lunar_month_is_near_mean_sea_level(name: str) -> None:
    # Sums of waves that come round in 29.5 days; what is left are the slow ones, SA and SSA above all.
    of = load_station(TIDES / name)
    slow_m = sum(one.amplitude_m for one in of.constituents if one.name in {"SA", "SSA", "MM", "MF", "MSF"})
    when = np.arange(seconds(2026, 3), seconds(2026, 3, 30, hour=12), 900)
    heights = heights_m(of, when)
    assert abs(heights.mean()) < slow_m + 0.02
    lowest, highest = (of.datums_m[level] - of.datums_m["MSL"] for level in ("LAT", "HAT"))
    assert lowest - 0.05 < heights.min() < heights.max() < highest + 0.05


def broken(**changes: Any) -> dict[str, Any]:
    return raw("honolulu") | changes


def rows(*changed: dict[str, Any]) -> list[dict[str, Any]]:
    kept: list[dict[str, Any]] = raw("honolulu")["harmonic_constituents"]
    return [*changed, *kept[len(changed) :]]


M2 = {"name": "M2", "amplitude": 0.171, "phase": 59.4}
BROKEN: list[tuple[str, dict[str, Any], str, str]] = [
    (
        "subordinate",
        broken(type="subordinate", offsets={"reference": "1612340"}, harmonic_constituents=[]),
        "type",
        r"a subordinate station.*file of 1612340",
    ),
    ("no constants", broken(harmonic_constituents=[]), "harmonic_constituents", r"found nothing"),
    ("constants no list", broken(harmonic_constituents={"M2": 1}), "harmonic_constituents", r"a list of constituents"),
    (
        "centimetres",
        broken(harmonic_constituents=rows(M2 | {"amplitude": 17.1})),
        "harmonic_constituents[1].amplitude",
        r"from 0 to 8\. .*is M2 in centimetres or feet\?",
    ),
    (
        "negative",
        broken(harmonic_constituents=rows(M2 | {"amplitude": -0.1})),
        "harmonic_constituents[1].amplitude",
        r"found -0\.1",
    ),
    (
        "text for a number",
        broken(harmonic_constituents=rows(M2 | {"phase": "59.4"})),
        "harmonic_constituents[1].phase",
        r"found '59\.4'",
    ),
    (
        "true for a number",
        broken(harmonic_constituents=rows(M2 | {"amplitude": True})),
        "harmonic_constituents[1].amplitude",
        r"found true",
    ),
    (
        "monster",
        broken(harmonic_constituents=rows(M2 | {"amplitude": 10**400})),
        "harmonic_constituents[1].amplitude",
        r"very many digits",
    ),
    (
        "no phase",
        broken(harmonic_constituents=rows({"name": "M2", "amplitude": 0.1})),
        "harmonic_constituents[1].phase",
        r"found nothing",
    ),
    ("no name", broken(harmonic_constituents=rows({"amplitude": 0.1})), "harmonic_constituents[1]", r"with name"),
    ("no object", broken(harmonic_constituents=[7]), "harmonic_constituents[1]", r"found 7"),
    (
        "a wave twice",
        broken(harmonic_constituents=rows({"name": "LDA2", "amplitude": 0.001, "phase": 1.0})),
        "harmonic_constituents[16].name",
        r"found LAM2.*harmonic_constituents\[1\] is the same",
    ),
    ("no datums", {key: value for key, value in broken().items() if key != "datums"}, "datums", r"MSL among them"),
    ("no mean sea level", broken(datums={"MLLW": 1.1}), "datums.MSL", r"reckoned from mean sea level"),
    ("levels upside down", broken(datums={"MSL": 1.4, "LAT": 2.0, "MLLW": 1.1}), "datums", r"LAT below MSL"),
    ("a level of text", broken(datums={"MSL": 1.4, "MLLW": "1.1"}), "datums.MLLW", r"from -50 to 50"),
    ("chart datum unknown", broken(chart_datum="LLWLT"), "chart_datum", r"found LLWLT; allowed: HAT"),
    ("no place", broken(latitude=None), "latitude", r"found nothing; allowed: a number from -90 to 90"),
    ("place off the globe", broken(longitude=202.0), "longitude", r"from -180 to 180"),
]


@pytest.mark.parametrize("row", BROKEN, ids=lambda row: row[0])
def test_a_broken_station_names_its_key_and_the_way_out(tmp_path: Path, row: tuple[str, Any, str, str]) -> None:
    _, data, key, words = row
    path = tmp_path / "station.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(InputError, match=r"found .*; allowed: ") as caught:
        load_station(path, label="tides/station.json")
    told = [problem for problem in caught.value.problems if problem.where == f"tides/station.json, {key}"]
    assert told, caught.value.problems
    assert re.search(words, str(told[0])), str(told[0])
    assert len(caught.value.problems) <= 2


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "station.json"
    path.write_text(json.dumps(broken(harmonic_constituents=[7, M2 | {"phase": 999}], datums={}, latitude=91)), "utf-8")
    with pytest.raises(InputError, match=r"found") as caught:
        load_station(path)
    assert len(caught.value.problems) == 4 + 1  # two constituents, mean sea level, the chart datum without it, place


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no JSON"),
        (b"[1, 2]", r"found \[1, 2\]; allowed: a JSON file of one tide station"),
        (b'{"name": NaN}', "NaN is no number"),
        (b"\xff\xfe{}", "no JSON"),
        (b"[" * 100_000, "nested too deep|no JSON"),
        (b'{"latitude": ' + b"9" * 5000 + b"}", "no JSON"),
        (b"x" * 1_000_001, r"1\.0 MB"),
        (b"name,amplitude\nM2,1.2\n", "Take a station file of an open tide database"),
    ],
    ids=["empty", "list", "nan", "utf-16", "deep", "digits", "huge", "csv"],
)
def test_files_that_are_no_station(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "station.json"
    path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        load_station(path)


def test_missing_file_directory_and_no_right_to_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match=r"nowhere\.json: found no such file"):
        load_station(tmp_path / "nowhere.json")
    with pytest.raises(InputError, match=r"found a directory"):
        load_station(tmp_path)
    path = tmp_path / "station.json"
    path.write_text("{}", encoding="utf-8")

    def refuse(*_: object, **__: object) -> str:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_text", refuse)
    with pytest.raises(InputError, match=r"cannot be read \(Permission denied\)"):
        load_station(path)


ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(key=st.sampled_from(sorted(raw("honolulu"))), value=ANY, second=st.sampled_from(["name", "amplitude", "phase"]))
def test_any_value_at_any_key(tmp_path: Path, *, key: str, value: object, second: str) -> None:
    path = tmp_path / "station.json"
    data = broken(**{key: value}) if key != "harmonic_constituents" else broken()
    data["harmonic_constituents"] = (
        rows(M2 | {second: value}) if key != "harmonic_constituents" else value  # one value at either place
    )
    path.write_text(json.dumps(data), encoding="utf-8")
    try:
        names = {utide_name(one.name) for one in load_station(path).constituents}
    except InputError as error:
        names = {problem.where for problem in error.problems}
    assert names
