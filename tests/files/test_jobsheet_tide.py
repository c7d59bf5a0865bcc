"""[yard.tide] and a time zone left out: which lifts stay, what is said, and what is refused."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from boottop.base.errors import InputError, Problem
from boottop.files.job import Job
from boottop.files.jobsheet import parse_job
from boottop.files.template import template_text, write_new
from boottop.files.tides import load_station
from boottop.plan.tide_heights import heights_m
from tests.files.tide_files import write_harbour

LISBON = ZoneInfo("Europe/Lisbon")
DRAFT = ('#: draft = "1.9 m"', 'draft = "1.9 m"')
NO_ZONE = ('time_zone = "Europe/Lisbon"', "#")
PATTERN = re.compile(r"\[\[yard\.lift_pattern\]\].*?\n\n", re.S)
NO_PATTERN = (PATTERN.search(template_text())[0], "")  # type: ignore[index]  # the template has one


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("tide")
    write_new(made)
    write_harbour(made)
    return made


def sheet(*lines: str, changes: tuple[tuple[str, str], ...] = (DRAFT,)) -> str:
    """The commented sheet with these lines in [yard.tide] (no section without any)."""
    text = template_text()
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    section = "\n".join(["[yard.tide]", *lines, "", "[crew]\npeople"]) if lines else "[crew]\npeople"
    return text.replace("[crew]\npeople", section, 1)


STATION = 'station = "tides/harbour.json"'


def read(folder: Path, *lines: str, changes: tuple[tuple[str, str], ...] = (DRAFT,)) -> Job:
    return parse_job(sheet(*lines, changes=changes), folder=folder)


def refused(folder: Path, text: str) -> list[Problem]:
    with pytest.raises(InputError, match=r"found .*; allowed: ") as caught:
        parse_job(text, folder=folder)
    return list(caught.value.problems)


def said(job: Job) -> str:
    return "\n".join(job.notes)


def water_by_hand(folder: Path, slot: datetime, *, sill_m: float, datum: str) -> float:
    """Least water over the sill in the hour from the slot, minute by minute."""
    of = load_station(folder / "tides" / "harbour.json")
    minutes = int(slot.timestamp()) + 60 * np.arange(61)
    return float(heights_m(of, minutes).min()) + of.datums_m["MSL"] - of.datums_m[datum] - sill_m


# -- which lifts stay -------------------------------------------------------------------------------------------------


def test_slots_without_the_water_are_left_out_and_no_others(folder: Path) -> None:
    every = read(folder).plan.yard.lift_slots
    kept = read(folder, STATION, 'sill = "0.6 m"', 'clearance = "40 cm"').plan.yard.lift_slots
    assert read(folder, STATION, 'sill = "0.6 m"').plan.yard.tidal, "no other hour may then be offered"
    assert not read(folder).plan.yard.tidal
    for slot in every:
        water = water_by_hand(folder, slot, sill_m=0.6, datum="LAT")
        if abs(water - 2.3) > 0.006:  # between two quarters of an hour the tide may stand so much lower
            assert (slot in kept) == (water > 2.3), slot
    assert 20 < len(kept) < len(every)


@pytest.mark.parametrize(("datum", "sill"), [("LAT", "0.6 m"), ("MSL", "-2.42 m"), ("HAT", "-5.342 m")])
def test_one_sill_told_from_three_levels_is_one_sill(folder: Path, datum: str, sill: str) -> None:
    # Newlyn: LAT 0.245, MSL 3.265, HAT 6.187 m.
    levels = {"LAT": 0.245, "MSL": 3.265, "HAT": 6.187}
    assert 0.6 + levels["LAT"] - levels[datum] == pytest.approx(float(sill.split()[0]), abs=1e-9)
    job = read(folder, STATION, f'sill = "{sill}"', f'datum = "{datum}"')
    assert job.plan.yard.lift_slots == read(folder, STATION, 'sill = "0.6 m"').plan.yard.lift_slots
    side = "below" if sill.startswith("-") else "above"
    assert f"m {side} {datum}\n" in said(job) + "\n"


def test_lifts_at_high_water_lie_in_yard_hours_and_have_high_water_within(folder: Path) -> None:
    job = read(folder, STATION, 'sill = "0.6 m"', 'lifts = "high water"', changes=(DRAFT, NO_PATTERN))
    slots = job.plan.yard.lift_slots
    of = load_station(folder / "tides" / "harbour.json")
    assert (
        20 < len(slots) < 60
    )  # a little under two high waters a day, some ten of twenty-four hours, five days of seven
    for slot in slots:
        local = slot.astimezone(LISBON)
        assert local.weekday() < 5
        assert local.hour >= 8
        assert (local + timedelta(hours=1)).hour * 60 + local.minute <= 18 * 60
        around = int(slot.timestamp()) + 60 * np.arange(-120, 181)
        top_minute = int(heights_m(of, around).argmax()) - 120
        assert 15 <= top_minute <= 45  # high water near the middle of the hour
    assert slots[0] >= job.plan.wishes.earliest_haul
    assert (slots[-1] - slots[0]).days < 60
    assert "lift slots made at high water in the yard's hours, 60 days ahead" in said(job)
    assert f"all {len(slots)} lift slots have the water" in said(job)


def test_lifts_at_high_water_join_the_listed_ones_and_keep_holidays_free(folder: Path) -> None:
    closed = ("#: closed = [2026-05-01]", "closed = [2026-05-01]")
    alone = read(folder, STATION, 'sill = "0 m"', 'lifts = "high water"', changes=(DRAFT, NO_PATTERN, closed))
    listed = read(folder, STATION, 'sill = "0 m"', changes=(DRAFT, closed))
    both = read(folder, STATION, 'sill = "0 m"', 'lifts = "high water"', changes=(DRAFT, closed))
    assert set(both.plan.yard.lift_slots) == set(alone.plan.yard.lift_slots) | set(listed.plan.yard.lift_slots)
    days = {slot.astimezone(LISBON).date().isoformat() for slot in both.plan.yard.lift_slots}
    assert "2026-05-01" not in days
    assert "2026-04-30" in days


def test_a_sheet_without_tide_is_as_it_was_and_does_not_load_the_library(folder: Path) -> None:
    job = read(folder)
    assert len(job.plan.yard.lift_slots) == 70
    assert "tide" not in said(job)
    code = (
        "import sys; from pathlib import Path; from boottop.files.jobsheet import load_job;"
        f"load_job({str(folder / 'job.toml')!r}); print(sorted({{'utide', 'tzfpy'}} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


# -- what is said -----------------------------------------------------------------------------------------------------


def test_the_caution_and_all_that_was_taken_for_granted_are_told(folder: Path) -> None:
    notes = read(folder, STATION, 'sill = "0.6 m"').notes
    tide = [note for note in notes if "yard.tide" in note]
    assert tide[0].startswith("Caution: not for navigation (yard.tide).")
    assert tide[1:4] == [
        "yard.tide: constants of Invented Harbour (TICON-4, cc-by-4.0, levels of 2006-2025), 0 km away",
        "yard.tide: constituents left out, their definition unknown: T3, R3, 3L2, 3N2 (together 1.3 cm at most)",
        "yard.tide: she floats with 2.20 m over the sill: draft 1.90 m and clearance 0.30 m (none given); "
        "sill 0.60 m above LAT, the station's chart datum",
    ]
    assert re.fullmatch(
        r"yard\.tide: 39 of 70 lift slots left out for want of water over the sill: "
        r"from Mon 18 May 13:00 \(-0\.04 m\) to \w{3} \d+ \w{3} \d\d:\d\d \(2\.\d\d m\)",
        tide[4],
    )
    assert len(tide) == 5


def test_a_few_slots_left_out_are_each_told_with_their_height(folder: Path) -> None:
    listed = (
        '#: lift_slots = ["2026-04-27 08:00", "2026-05-14 10:00"]',
        'lift_slots = ["2026-04-28 08:00", "2026-05-18 06:30", "2026-05-18 12:30", "2026-05-20 08:30"]',
    )
    job = read(folder, STATION, 'sill = "0.6 m"', changes=(DRAFT, NO_PATTERN, listed))
    dry = datetime(2026, 5, 18, 11, 30, tzinfo=UTC)
    assert dry not in job.plan.yard.lift_slots
    least = water_by_hand(folder, dry, sill_m=0.6, datum="LAT")
    told = re.search(r"of 4 lift slots left out .*Mon 18 May 12:30 \((-?\d\.\d\d) m\)", said(job))
    assert told is not None
    assert float(told[1]) == pytest.approx(least, abs=0.011)


def test_a_far_station_and_a_doubtful_file_are_told(tmp_path: Path) -> None:
    write_new(tmp_path)
    write_harbour(tmp_path, latitude=41.5, disclaimers="Possible quality control issues")
    job = read(tmp_path, STATION, 'sill = "0.6 m"')
    assert "39 km away" in said(job)
    assert "Invented Harbour is not next door: the tide at the yard differs in time and height" in said(job)
    assert "the station file warns: Possible quality control issues" in said(job)


# -- what is refused --------------------------------------------------------------------------------------------------


def test_too_little_water_says_how_near_it_comes_and_what_would_do(folder: Path) -> None:
    (problem,) = refused(folder, sheet(STATION, 'sill = "2.7 m"', changes=(DRAFT, ('"08:00", "13:00"', '"13:00"'))))
    assert problem.where.endswith("yard.tide")
    assert re.match(
        r"[01] of 35 lift slots on or after the earliest haul-out with enough water, the best \w{3} \d", problem.found
    )
    assert "at least two with 2.20 m over the sill" in problem.allowed
    assert re.search(r'Ask the yard for a lift near high water \(\w{3} .* m\), .*lifts = "high water"', problem.advice)


@pytest.mark.parametrize("lifts", ["as listed", "high water"])
def test_no_water_at_all_says_so(folder: Path, lifts: str) -> None:
    (problem,) = refused(folder, sheet(STATION, 'sill = "6 m"', f'lifts = "{lifts}"'))
    assert problem.found.startswith("0 of ")
    assert "No two high waters in the yard's hours of the next 60 days reach it" in problem.advice
    assert problem.advice.endswith("Check draft, clearance, sill and its datum.")


def test_slots_before_the_earliest_haul_out_do_not_count(folder: Path) -> None:
    late = ("earliest_haul_out = 2026-04-27", "earliest_haul_out = 2026-06-12T12:00:00")
    (problem,) = refused(folder, sheet(STATION, 'sill = "-3 m"', changes=(DRAFT, late)))
    assert problem.found.startswith("1 of 1 lift slots on or after the earliest haul-out")


WRONG: list[tuple[str, tuple[str, ...], str, str]] = [
    ("no station", ('sill = "1 m"',), "yard.tide.station", r"this key is required"),
    ("missing file", ('station = "tides/x.json"', 'sill = "1 m"'), "tides/x.json", r"no such file"),
    ("another kind", ('station = "tides/x.txt"', 'sill = "1 m"'), "yard.tide.station", r'such as "tides/h'),
    ("no sill", (STATION,), "yard.tide.sill", r"this key is required"),
    ("sill in miles", (STATION, 'sill = "1 mile"'), "yard.tide.sill", r"from -30 m to 30 m"),
    ("datum unknown", (STATION, 'sill = "1 m"', 'datum = "LTA"'), "yard.tide.datum", r"HAT, .*Did you mean 'LAT'\?"),
    ("a range as datum", (STATION, 'sill = "1 m"', 'datum = "MN"'), "yard.tide.datum", r"allowed: HAT"),
    ("datum a number", (STATION, 'sill = "1 m"', "datum = 3"), "yard.tide.datum", r"the yard's figure counts from"),
    ("clearance", (STATION, 'sill = "1 m"', 'clearance = "-1 m"'), "yard.tide.clearance", r"from 0 m to 5 m"),
    ("lifts", (STATION, 'sill = "1 m"', 'lifts = "neap"'), "yard.tide.lifts", r'"as listed", "high water"'),
    ("a key", (STATION, 'sill = "1 m"', 'height = "1 m"'), "yard.tide.height", r"an unknown key"),
]  # fmt: skip


@pytest.mark.parametrize("row", WRONG, ids=lambda row: row[0])
def test_a_wrong_key_is_told_alone(folder: Path, row: tuple[str, tuple[str, ...], str, str]) -> None:
    _, lines, key, words = row
    (problem,) = refused(folder, sheet(*lines))
    assert problem.where.split(", ")[-1] == key
    assert re.search(words, str(problem)), str(problem)


def test_tide_that_is_no_section_is_told_once(folder: Path) -> None:
    text = sheet(changes=(DRAFT, ('bow = "NE"', 'tide = "high"\nbow = "NE"')))
    (problem,) = refused(folder, text)
    assert re.search(r"yard\.tide: found 'high'; allowed: a section \[yard\.tide\]", str(problem))


def test_the_draft_is_asked_for(folder: Path) -> None:
    (problem,) = refused(folder, sheet(STATION, 'sill = "1 m"', changes=()))
    assert problem.where.endswith("boat.draft")
    assert 'Add draft = "1.9 m" to [boat].' in problem.advice


def test_all_mistakes_are_told_at_once_with_those_of_the_station(tmp_path: Path) -> None:
    write_new(tmp_path)
    write_harbour(tmp_path, latitude=99, datums={"LAT": 0.2})
    text = sheet(STATION, 'sill = "1"', 'lifts = "neap"', changes=(("people = 2", "people = 0"),))
    told = [problem.where.split(", ")[-1] for problem in refused(tmp_path, text)]
    assert told == ["boat.draft", "datums.MSL", "latitude", "yard.tide.sill", "yard.tide.lifts", "crew.people"]


@pytest.mark.parametrize(
    ("changes", "where", "words"),
    [
        (
            {"latitude": 50.1, "longitude": -5.5},
            "yard.tide.station",
            r"km from the yard; allowed: a station within 200",
        ),
        ({"chart_datum": ""}, "yard.tide.datum", r"the station names no chart datum"),
    ],
    ids=["far away", "no chart datum"],
)
def test_a_station_that_will_not_do(tmp_path: Path, *, changes: dict[str, Any], where: str, words: str) -> None:
    write_new(tmp_path)
    write_harbour(tmp_path, **changes)
    (problem,) = refused(tmp_path, sheet(STATION, 'sill = "0.6 m"'))
    assert problem.where.endswith(where)
    assert re.search(words, str(problem)), str(problem)


# -- the time zone left out -------------------------------------------------------------------------------------------


def test_the_time_zone_is_found_from_the_coordinates_and_told(folder: Path) -> None:
    given, found = read(folder), read(folder, changes=(DRAFT, NO_ZONE))
    assert found.site == given.site
    assert found.plan == given.plan
    assert set(found.notes) - set(given.notes) == {
        "yard.time_zone not given: Europe/Lisbon, found from the coordinates"
    }


def test_times_are_those_of_the_zone_found(folder: Path) -> None:
    there = (('latitude = "41.15 N"', 'latitude = "40.64 N"'), ('longitude = "8.63 W"', 'longitude = "73.78 W"'))
    job = read(folder, changes=(DRAFT, NO_ZONE, *there))
    assert job.site.zone_name == job.plan.yard.zone_name == "America/New_York"
    assert job.plan.yard.lift_slots[0] == datetime(2026, 4, 27, 12, tzinfo=UTC)  # 08:00 summer time


def test_a_border_near_by_is_told(folder: Path) -> None:
    there = (('latitude = "41.15 N"', 'latitude = "37.19 N"'), ('longitude = "8.63 W"', 'longitude = "7.41 W"'))
    assert "a border of time zones is within 10 km" in said(read(folder, changes=(DRAFT, NO_ZONE, *there)))


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('longitude = "8.63 W"', 'longitude = "25 W"', "yard.time_zone", r"at sea.*or write time_zone"),
        ('longitude = "8.63 W"', 'longitude = "863 W"', "yard.longitude", r"at most 180"),
        ('latitude = "41.15 N"', "", "yard.latitude", r"this key is required"),
    ],
)
def test_a_place_without_a_zone_is_one_mistake(folder: Path, *, old: str, new: str, key: str, words: str) -> None:
    (problem,) = refused(folder, sheet(changes=(NO_ZONE, (old, new))))
    assert problem.where.endswith(key)
    assert re.search(words, str(problem)), str(problem)
