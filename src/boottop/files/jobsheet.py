"""The job sheet: one TOML file written by hand becomes what every room takes, or one error naming all its faults."""

from __future__ import annotations

from pathlib import Path

from boottop.base.errors import InputError
from boottop.files import jobsheet_measure
from boottop.files.job import Job
from boottop.files.jobsheet_boat import read_boat, read_hull
from boottop.files.jobsheet_table import Sheet, Table
from boottop.files.jobsheet_text import TomlFile, parse_toml, read_toml
from boottop.files.jobsheet_tide import with_tide
from boottop.files.jobsheet_work import check_hands, read_coatings, read_currency, read_extra_jobs, read_job
from boottop.files.jobsheet_yard import (
    check_lifts,
    need_work,
    read_coating_facts,
    read_crew,
    read_hire,
    read_yard,
    yard_zone,
)
from boottop.files.product import check_format
from boottop.plan.inputs import Crew, PlanInput, Wishes
from boottop.plan.tasks import WORK_KEYS

ALWAYS_DONE = tuple(key for key in WORK_KEYS if key not in {"strip", "activate"})


def load_job(path: str | Path) -> Job:
    """The job in a sheet, in SI and aware UTC.

    Raises InputError that carries every problem of the sheet and of the product sheets it names, each with file,
    line, key, what was found, what is allowed and what to do.
    """
    return read_sheet(read_toml(Path(path), label=str(path)))


def parse_job(text: str, *, folder: Path, label: str = "job.toml") -> Job:
    """The same from a text at hand; paths in it are taken from `folder`."""
    return read_sheet(parse_toml(text, path=folder / label, label=label))


def read_sheet(file: TomlFile) -> Job:
    """The job in a TOML file already read."""
    sheet = Sheet(file=file)
    job = _read(sheet.root())
    sheet.raise_if_bad()
    return job


def located(job: Job, error: InputError) -> InputError:
    """An error of the measuring room with the line and key of the job sheet that each of its problems stands at."""
    sheet = Sheet(file=read_toml(job.source, label=str(job.source)))
    return InputError(jobsheet_measure.located(sheet, error.problems))


def _read(root: Table) -> Job:
    check_format(root)
    zone, currency = yard_zone(root), read_currency(root)
    section = read_job(root, zone, currency)
    boat = read_boat(root)
    hull = read_hull(root, boat)
    jobsheet_measure.check_measure(root.sheet, hull.measure)
    yard, site, yard_notes = read_yard(root, zone, currency, hull_absorptance=hull.absorptance)
    yard, tide_notes = with_tide(root, yard, site=site, boat=boat, wishes=section.wishes)
    crew = read_crew(root, currency)
    systems = read_coatings(root, currency, hull.measure)
    plan = PlanInput(
        job_name=section.name,
        currency=section.currency,
        yard=yard,
        crew=crew,
        hire=read_hire(root, zone, currency),
        wishes=section.wishes,
        systems=systems,
        extra_jobs=read_extra_jobs(root),
    )
    _check_across(root, plan)
    facts = read_coating_facts(root, crew, boat, strip=section.wishes.strip, barrier_sound=hull.barrier_sound)
    root.close()
    return Job(
        source=root.sheet.file.path,
        boat=boat,
        hull=hull.measure,
        site=site,
        plan=plan,
        coating=facts,
        weather=section.weather,
        weather_station=section.weather_station,
        weather_dry=section.weather_dry,
        notes=(*section.notes, *hull.notes, *yard_notes, *tide_notes),
    )


def _check_across(root: Table, plan: PlanInput) -> None:
    """Rules that tie one section to another."""
    check_lifts(root, plan.yard, plan.wishes)
    _check_work(root, plan.crew, plan.wishes, activates=any(s.sheet.activation_grit for s in plan.systems))
    check_hands(root, plan.crew.people + plan.hire.helper_people, plan.extra_jobs)


def _check_work(root: Table, crew: Crew, wishes: Wishes, *, activates: bool) -> None:
    extra = [*(["strip"] if wishes.strip else []), *(["activate"] if activates else [])]
    need_work(root, crew, (*ALWAYS_DONE, *extra))
