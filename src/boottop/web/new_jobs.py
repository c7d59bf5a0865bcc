"""New jobs: the demonstration with its clock set to its weather, an empty sheet, or files from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from importlib import resources
from pathlib import Path

from boottop.base.errors import InputError, Problem
from boottop.files.product import BUILT_IN
from boottop.files.template import template_files
from boottop.web.house import House
from boottop.web.papers import SHEET, check_names, named_files

DEMO_FILES = ("job.toml", "weather.csv", *(f"{name}.toml" for name in BUILT_IN))
BEFORE_HAUL = timedelta(minutes=-30)
LONGEST_IMPORT = 40


def demo_files() -> Mapping[str, bytes]:
    """Sheet, product sheets and weather of the demonstration."""
    folder = resources.files("boottop.demo")
    return {name: folder.joinpath(name).read_bytes() for name in DEMO_FILES}


def make_demo(house: House) -> str:
    """The demonstration as a job of the store; its clock starts when its haul-out may begin."""
    job = _make(house, "Demonstration: Marsh Wren", demo_files())
    earliest = house.desk.ashore(job).job.plan.wishes.earliest_haul
    house.set_clock(job, round((earliest + timedelta(hours=8) + BEFORE_HAUL - house.now()).total_seconds()))
    return job


def make_new(house: House, name: str) -> str:
    """A job with the commented sheet and the product sheets that `boottop new` writes."""
    return _make(house, name, {place: text.encode() for place, text in template_files().items()})


def make_imported(house: House, name: str, files: Mapping[str, bytes]) -> str:
    """A job from files, one of them a job sheet: job.toml, or the only TOML file with a [job] section."""
    sheets = [place for place, content in files.items() if place == SHEET or _is_sheet(place, content)]
    if len(sheets) != 1 or len(files) > LONGEST_IMPORT:
        raise InputError(
            Problem(
                where="files",
                found=f"{len(sheets)} job sheets among {len(files)} files",
                allowed=f"one job sheet and what it names, {LONGEST_IMPORT} files at most",
                advice="Choose the job sheet together with its product sheets and its weather file.",
            )
        )
    wanted = {Path(one).name: one for one in named_files(files[sheets[0]])}
    named = {
        SHEET if place == sheets[0] else wanted.get(Path(place).name, Path(place).name): content
        for place, content in files.items()
    }
    check_names(named)
    return _make(house, name, named)


def _is_sheet(place: str, content: bytes) -> bool:
    return place.endswith(".toml") and any(line.strip() == b"[job]" for line in content.splitlines())


def _make(house: House, name: str, files: Mapping[str, bytes]) -> str:
    job = house.store.jobs.create(name, now=house.now()).id
    for place, content in files.items():
        house.cabinet.save(job, place, content, now=house.now())
    return job
