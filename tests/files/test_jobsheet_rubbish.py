"""Broken sheets: each must name the key, what is allowed and what to do, and never be guessed right."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from boottop.base.errors import InputError, Problem
from boottop.files.jobsheet import load_job
from boottop.files.template import template_text, write_new

# (what stands in the template, what is put in its place, key path told, words that must be told)
BROKEN: list[tuple[str, str, str, str]] = [
    ("format = 1", "format = 2", "format", r"found 2; allowed: format = 1"),
    ("format = 1", "", "format", r"Add format = 1 on top"),
    ('currency = "EUR"', 'curency = "EUR"', "job.curency", r"unknown key.*Did you mean 'currency'\?"),
    ('currency = "EUR"', 'currency = "Euro"', "job.currency", r"three capital letters"),
    ("earliest_haul_out = 2026-04-27", 'earliest_haul_out = "27/4/2026"', "job.earliest_haul_out", r"2026-04-25T08:00"),
    (
        "earliest_haul_out = 2026-04-27",
        "earliest_haul_out = 2026-03-29T01:30:00",
        "job.earliest_haul_out",
        r"does not exist",
    ),
    ("earliest_haul_out = 2026-04-27", "earliest_haul_out = 2027-04-27", "yard.lift_slots", r"0 of 70 lift slots"),
    ("strip = true", 'strip = "yes"', "job.strip", r"true or false, small letters"),
    (
        "#: wanted_launch = 2026-05-16",
        "wanted_launch = 2026-04-20",
        "job.wanted_launch",
        r"a day after the earliest haul-out",
    ),
    ('#: sides = "either"', 'sides = "both"', "job.sides", r'"one_day", "side_a_day", "either"'),
    ("#: caution = 0.8", "caution = 80", "job.caution", r"from 50 % to 95 %"),
    ('name = "My boat"', "name = 7", "boat.name", r"Write it in quotes"),
    ('name = "My boat"', "", "boat.name", r"this key is required.*section \[boat\]"),
    ('length = "11.2 m"', 'length = "11,2 m"', "boat.length", r"decimal point as a point"),
    ('length = "11.2 m"', "length = 11.2", "boat.length", r"11.2 without a unit.*in quotes"),
    ('length = "11.2 m"', 'length = "112 m"', "boat.length", r"from 2 m to 60 m"),
    ('waterline_length = "9.6 m"', 'waterline_length = "9.6 kg"', "boat.waterline_length", r"a length with its unit"),
    ('length = "11.2 m"', 'length = "9.2 m"', "boat.waterline_length", r"at most the boat's length, 9.20 m"),
    ('#: displacement = "6.8 t"', 'displacement = "7 tons"', "boat.displacement", r"'tons' alone.*long ton"),
    ('material = "grp"  ', 'material = "GRP"  ', "hull.material", r"Did you mean 'grp'\?"),
    ('thickness = "12 mm"', 'thickness = "12 m"', "hull.thickness", r"more than 0 m, up to 0.5 m"),
    ('#: core_thickness = "20 mm"', 'core_thickness = "20 mm"', "hull.core_thickness", r"only with a core"),
    ('#: colour = "copper"', 'colour = "pink"', "hull.colour", r'"white".*or a number'),
    ('deadrise = "20 deg"', 'deadrise = "20 degC"', "hull.deadrise", r"an angle with its unit"),
    (
        'method = "girths"',
        'method = "offsets"',
        "measure.method",
        r"measurements of exactly one kind, under measure.offsets",
    ),
    ('half_girth = "1.50 m"', 'half_girth = "-1.50 m"', "measure.girths[4].half_girth", r"from 0 m to 20 m"),
    ('half_girth = "1.50 m"', 'half_grith = "1.50 m"', "measure.girths[4].half_grith", r"Did you mean 'half_girth'\?"),
    ('half_girth = "1.50 m"', 'half_girth = "1.20 m"', "measure.girths[4].half_girth", r"at least 1.29 m"),
    ('station = "3.6 m"', 'station = "1.1 m"', "measure.girths[4].station", r"ascending"),
    ('station = "9.6 m"', 'station = "10.6 m"', "measure.girths[9].station", r"0 to 9.6 m, the waterline length"),
    ('kind = "rudder"', 'kind = "ruder"', "appendages[2].kind", r"Did you mean 'rudder'\?"),
    ('height = "1.4 m"', "", "appendages[2].height", r"above zero"),
    ('material = "stainless"', 'zone = "gear"', "appendages[3].zone", r"running gear"),
    ('size = "30 cm x 30 cm"', 'size = "30 x 30"', "hidden[1].size", r"a length with its unit"),
    ('size = "20 cm x 20 cm"', "", "hidden[2].area_each", r"exactly one of area_each and size"),
    ('latitude = "41.15 N"', 'latitude = "41.15 E"', "yard.latitude", r"at most 90 either way"),
    (
        'time_zone = "Europe/Lisbon"',
        'time_zone = "Europe/Lissabon"',
        "yard.time_zone",
        r"Did you mean 'Europe/Lisbon'\?",
    ),
    ('bow = "NE"', "bow = 400", "yard.bow", r"0 to 360"),
    ('hours = "Mon-Fri 08:00-18:00"', 'hours = "Mon-Fri 18:00-08:00"', "yard.hours[1]", r"close after they open"),
    (
        'hours = "Mon-Fri 08:00-18:00"',
        'hours = ["Mon-Fri 08:00-18:00", "Fri 12:00-20:00"]',
        "yard.hours",
        r"do not overlap",
    ),
    ('hours = "Mon-Fri 08:00-18:00"', 'hours = "weekdays 08-18"', "yard.hours[1]", r"Write Mon"),
    ('lift_charge = "320 EUR"', 'lift_charge = "320 USD"', "yard.lift_charge", r"all money of one job is in EUR"),
    ('day_charge = "28 EUR"', "day_charge = 28.005", "yard.day_charge", r"2 digits after the point"),
    ("#: closed = [2026-05-01]", 'closed = "1 May"', "yard.closed", r"a list in square brackets"),
    ("#: closed = [2026-05-01]", "closed = [" + "1," * 1001 + "]", "yard.closed", r"at most 1000 in a list"),
    ("#: lift_slots = [", "lift_slots = [2026-05-04T08:07:00, ", "yard.lift_slots[1]", r"a full quarter of an hour"),
    ("#: lift_slots = [", 'lift_slots = ["soon", ', "yard.lift_slots[1]", r"Correct the date or the time"),
    (
        "#: lift_slots = [",
        "lift_slots = [2026-10-25T01:15:00, ",
        "yard.lift_slots[1]",
        r"happens twice in Europe/Lisbon",
    ),
    ('times = ["08:00", "13:00"]', 'times = ["25:00"]', "yard.lift_pattern[1].times[1]", r"00:00 to 23:59"),
    ("to = 2026-06-12", "to = 2028-06-12", "yard.lift_pattern[1].to", r"at most 400 days"),
    ('days = "Mon-Fri"', 'days = "Mon-Fry"', "yard.lift_pattern[1].days", r'weekdays such as "Mon-Fri"'),
    ("people = 2", "people = 0", "crew.people", r"a whole number from 1 to 50"),
    ("people = 2", "people = 2.5", "crew.people", r"found 2.5"),
    ('strip = "2.5 m2/h"', "", "crew.rates.strip", r"a rate of work for 'strip', or a time in \[crew.set_up\]"),
    ('roll = "14 m2/h"', "", "crew.rates.roll", r"a rate of work for 'roll'\."),
    ('roll = "14 m2/h"', 'roll = "0 m2/h"', "crew.rates.roll", r"more than 0 m2/h"),
    ('roll = "14 m2/h"', 'rolling = "14 m2/h"', "crew.rates.rolling", r"Did you mean 'roll'\?"),
    ('mask = "2 h"', 'mask = "2 m"', "crew.set_up.mask", r"a duration with its unit"),
    (
        "#: [hire.tent]",
        '[hire.tent]\nfrom = 2026-06-12\nto = 2026-04-27\ncost = "9"',
        "hire.tent.to",
        r"a time after hire.tent.from",
    ),
    ("#: [hire.helper]", "[hire.helper]", "hire.helper.cost", r"this key is required"),
    ('loss = "10 %"', "loss = 12", "coatings[2].loss", r"from 0 % to 60 %"),
    ('loss = "10 %"', "", "coatings[2].loss", r"this key is required"),
    (
        "coatings/demo-barrier-epoxy-b.toml",
        "coatings/mine.toml",
        "coatings[2].sheet",
        r"no such file.*under Files of this job",
    ),
    (
        "coatings/demo-barrier-epoxy-b.toml",
        "demo-barier-epoxy",
        "coatings[2].sheet",
        r"Did you mean 'demo-barrier-epoxy-b'\?",
    ),
    ('sheet = "coatings/demo-barrier-epoxy-b.toml"', "sheet = 7", "coatings[2].sheet", r"Write it in quotes"),
    ('"pads 1"]', '"pads 2"]', "coatings[2].zones[3]", r"Did you mean 'pads 1'\?"),
    ('#: role = "primer"', 'role = "antifouling"', "coatings[1].role", r'"primer", "barrier"'),
    (
        "coatings/demo-copper-epoxy-a.toml",
        "coatings/demo-barrier-epoxy-b.toml",
        "coatings",
        r"at least one antifouling",
    ),
    ('after = ["wash"]', 'after = ["washing"]', "extra_jobs[1].after[1]", r"Did you mean 'wash'\?"),
    ('before = ["launch"]', 'before = ["service seacocks"]', "extra_jobs", r"a circle"),
    ("#: people = 1\n#: dry", "people = 9\n#: dry", "extra_jobs[1].people", r"at most 2, the crew and a hired helper"),
    ('duration = "3 h"', 'duration = "0 h"', "extra_jobs[1].duration", r"more than 0 h"),
    ("[[extra_jobs]]", "[extra_jobs]", "extra_jobs", r"with two brackets"),
    ("[[extra_jobs]]", "[[extra_job]]", "extra_job", r"Did you mean 'extra_jobs'\?"),
    ("[crew.rates]", "[crews.rates]", "crew.rates", r"a section \[crew.rates\]"),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("rubbish")
    write_new(made)
    return made


def problems_of(folder: Path, text: str | bytes) -> list[Problem]:
    path = folder / "broken.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(InputError, match=r"found .*; allowed: ") as caught:
        load_job(path)
    return list(caught.value.problems)


@pytest.mark.parametrize("row", BROKEN, ids=lambda row: f"{row[2]}: {row[1]}"[:60])
def test_a_broken_sheet_names_its_key_and_the_way_out(folder: Path, row: tuple[str, str, str, str]) -> None:
    old, new, key, words = row
    assert old in template_text()
    problems = problems_of(folder, template_text().replace(old, new, 1))
    told = [problem for problem in problems if problem.where.split(", ")[-1].endswith(key)]
    assert told, problems
    assert re.search(words, str(told[0])), str(told[0])
    assert problems[0].found
    assert all(problem.advice.rstrip().endswith((".", "?", ")", '"', "DIR")) for problem in problems)


def last_name(key: str) -> str:
    return re.sub(r"\[\d+\]", "", key).split(".")[-1]


STANDS_IN_TEXT = [row for row in BROKEN if re.search(rf"\b{last_name(row[2])} =", row[1])]


@pytest.mark.parametrize("row", STANDS_IN_TEXT, ids=lambda row: f"{row[2]}: {row[1]}"[:60])
def test_the_line_told_is_the_line_of_the_mistake(folder: Path, row: tuple[str, str, str, str]) -> None:
    old, new, key, _ = row
    text = template_text().replace(old, new, 1)
    told = next(problem.where for problem in problems_of(folder, text) if problem.where.endswith(key))
    line = re.search(r"line (\d+)", told)
    assert line is not None
    assert f"{last_name(key)} =" in text.splitlines()[int(line[1]) - 1]


def test_most_rows_are_held_to_their_line() -> None:
    assert len(STANDS_IN_TEXT) >= 45


def test_all_mistakes_are_told_at_once_and_in_order(folder: Path) -> None:
    text = template_text()
    one_each = [row for row in BROKEN if row[2].split(".")[0].split("[")[0] in {"boat", "yard", "crew"}]
    chosen = {row[0]: row for row in one_each}
    for old, new, _, _ in chosen.values():
        text = text.replace(old, new, 1)
    problems = problems_of(folder, text)
    assert len(problems) >= 12
    lines = [int(match[1]) for problem in problems if (match := re.search(r"line (\d+)", problem.where))]
    assert lines == sorted(lines)


def test_one_mistake_gives_one_message(folder: Path) -> None:
    for old, new in (
        ('waterline_length = "9.6 m"', 'waterline_length = "9.6"'),
        ('station = "3.6 m"', 'station = "3,6 m"'),
        ('time_zone = "Europe/Lisbon"', 'time_zone = "Lisbon"'),
        ("people = 2", "people = -2"),
        ('currency = "EUR"', 'currency = "euro"'),
        ("earliest_haul_out = 2026-04-27", "earliest_haul_out = 12"),
    ):
        assert len(problems_of(folder, template_text().replace(old, new, 1))) == 1, new


SYNTAX: list[tuple[str, str, str]] = [
    ('length = "11.2 m"', "length = 38 ft", r"line \d+, column \d+: .*Put a number with its unit in quotes"),
    ('length = "11.2 m"', "length = 11,2", r"decimal point as a point"),
    ("strip = true", "strip = yes", r"yes and no are written true and false"),
    ("earliest_haul_out = 2026-04-27", "earliest_haul_out = 2026-02-30", r"must exist"),
    ("earliest_haul_out = 2026-04-27", "earliest_haul_out = 2026-04-27 08:00", r"TOML wants seconds"),
    ("strip = true", "strip = true\nstrip = false", r"stands twice"),
    ('name = "My boat"', 'name = "My boat', r"Check quotes and brackets"),
    ("[boat]", "[boat", r"Check quotes and brackets"),
    ("format = 1", "format = " + "[" * 5000, r"nested too deep|Check quotes and brackets"),
    ("format = 1", "format = " + "[" * 440 + "]" * 440, r"nested too deep"),
    ("format = 1", "x = [{" + ".".join("a" * 3000) + " = 1}]", r"nested too deep"),
    ("format = 1", "format = " + "9" * 5000, r"Check quotes and brackets"),
]


@pytest.mark.parametrize("row", SYNTAX, ids=lambda row: row[1][:30])
def test_what_is_no_toml_is_told_with_line_and_column(folder: Path, row: tuple[str, str, str]) -> None:
    old, new, words = row
    problems = problems_of(folder, template_text().replace(old, new, 1))
    assert len(problems) == 1
    assert re.search(words, str(problems[0])), str(problems[0])


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"\x89PNG\r\n\x1a\n\0\0\0", "a binary file"),
        (b'[job]\nname = "caf\xe9"\n', r"line 2: found a byte that is not UTF-8 \(0xe9\)"),
        (b"# " + b"x" * 2_000_001, r"2.0 MB"),
        (b"", r"allowed: format = 1"),
        ('\ufeff[job]\nname = "x"'.encode(), r"job.currency: found nothing"),
    ],
    ids=["binary", "latin-1", "huge", "empty", "byte order mark"],
)
def test_files_that_are_no_sheet(folder: Path, raw: bytes, words: str) -> None:
    assert re.search(words, "\n".join(str(problem) for problem in problems_of(folder, raw)))


def test_missing_file_and_directory(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nowhere\.toml: found no such file.*boottop new DIR"):
        load_job(tmp_path / "nowhere.toml")
    with pytest.raises(InputError, match=r"found a directory.*the sheet itself"):
        load_job(tmp_path)
    with pytest.raises(InputError, match=r"found"):
        load_job("a\0b.toml")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "job.toml"
    path.write_text("format = 1", encoding="utf-8")
    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(InputError, match=r"cannot be read \(Permission denied\)"):
        load_job(path)


def test_windows_line_ends_and_a_byte_order_mark_are_read(folder: Path) -> None:
    path = folder / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + template_text().replace("\n", "\r\n").encode())
    assert load_job(path).boat.name == "My boat"


def test_mistakes_in_a_product_sheet_come_with_those_of_the_job(folder: Path) -> None:
    text = (folder / "coatings" / "demo-copper-epoxy-a.toml").read_text(encoding="utf-8")
    (folder / "coatings" / "mine.toml").write_text(
        text.replace('dry_film = "70 um"', 'dry_film = "70"').replace("coats = 4", "cots = 4"), encoding="utf-8"
    )
    broken = template_text().replace("demo-copper-epoxy-a", "mine").replace("people = 2", "people = 0")
    told = [problem.where for problem in problems_of(folder, broken)]
    assert sum(where.startswith("coatings/mine.toml, line ") for where in told) == 3
    assert any(where.endswith("crew.people") for where in told)
