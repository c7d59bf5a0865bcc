"""Whatever is done to a sheet, the answer is a job or an InputError that says where; never another exception."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.files.job import Job
from boottop.files.jobsheet import parse_job
from boottop.files.product import BUILT_IN, builtin_text, load_sheet
from boottop.files.template import template_text, write_new
from tests.files.tide_files import write_harbour

PLAIN = "\n".join(line.removeprefix("#: ").split("   #")[0] for line in template_text().splitlines())
KEY_LINES = [n for n, line in enumerate(PLAIN.splitlines()) if re.match(r"^\w+ = ", line)]
VALUES = [
    "0", "-1", "1e308", "1e-308", "nan", "inf", "-inf", "true", "[]", "{}", '""', '"?"', "[[]]", "[{}]", '["a", 1]',
    "{a = 1}", "1979-05-27", "07:32:00", "0001-01-01", "9999-12-31T23:59:59", "9999-12-31T23:59:59-23:00",
    "0001-01-01T00:00:00+23:00", '"1e999 m"', '"9999999999 km"', '"-273.16 degC"', '"12 m2/h"', '"38 ft"', '"50 %"',
    '"NaN EUR"', '"0.001 EUR"', "0x" + "f" * 6000, '"Mon-Sun 00:00-24:00"', '"\\u0000"', '"' + "x" * 5000 + '"',
    '"../../../../etc/x.toml"', '"coatings"', "[" * 60 + "]" * 60, "123456789012345678901234567890",
]  # fmt: skip
LINES = st.integers(0, 200)
FUZZ = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("fuzz")
    write_new(made)
    write_harbour(made)
    return made


def read(text: str, folder: Path) -> None:
    try:
        job = parse_job(text, folder=folder)
    except InputError as error:
        parts = [(problem.where, problem.found, problem.allowed, problem.advice) for problem in error.problems]
        complete = bool(parts) and all(all(part) for part in parts)
    else:
        complete = isinstance(job, Job)
    assert complete


@FUZZ
@given(st.lists(st.tuples(st.sampled_from(KEY_LINES), st.sampled_from(VALUES)), min_size=1, max_size=4))
def test_any_value_at_any_key(folder: Path, changes: list[tuple[int, str]]) -> None:
    lines = PLAIN.splitlines()
    for number, value in changes:
        lines[number] = f"{lines[number].split(' = ')[0]} = {value}"
    read("\n".join(lines), folder)


@pytest.mark.parametrize("number", KEY_LINES, ids=lambda number: PLAIN.splitlines()[number].split(" = ")[0])
def test_a_number_too_long_to_print_at_every_key(folder: Path, number: int) -> None:
    lines = PLAIN.splitlines()
    lines[number] = f"{lines[number].split(' = ')[0]} = 0x{'f' * 6000}"
    read("\n".join(lines), folder)


@FUZZ
@given(st.lists(st.tuples(LINES, LINES), max_size=6), st.sets(LINES, max_size=8))
def test_lines_swapped_and_lost(folder: Path, swaps: list[tuple[int, int]], lost: set[int]) -> None:
    lines = template_text().splitlines()
    for one, two in swaps:
        one, two = one % len(lines), two % len(lines)
        lines[one], lines[two] = lines[two], lines[one]
    read("\n".join(line for number, line in enumerate(lines) if number not in lost), folder)


@FUZZ
@given(at=st.integers(0, 12000), length=st.integers(0, 40), new=st.text(max_size=12))
def test_any_stretch_overwritten(folder: Path, *, at: int, length: int, new: str) -> None:
    text = template_text()
    at %= len(text)
    read(text[:at] + new + text[at + length :], folder)


@FUZZ
@given(name=st.sampled_from(BUILT_IN), number=LINES, value=st.sampled_from(VALUES))
def test_any_value_in_a_product_sheet(folder: Path, *, name: str, number: int, value: str) -> None:
    lines = builtin_text(name).splitlines()
    keys = [n for n, line in enumerate(lines) if re.match(r"^\w+ = ", line)]
    line = keys[number % len(keys)]
    lines[line] = f"{lines[line].split(' = ')[0]} = {value}"
    path = folder / "fuzz.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    try:
        sheet_name = load_sheet(path).name
    except InputError as error:
        sheet_name = error.problems[0].where
    assert sheet_name
