"""Two jobs of one boat: her years, her film and her bare spots go from one to the next; another boat's do not."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from boottop.files.archive import import_job
from boottop.job.events import Event
from boottop.store.copying import copy_database
from boottop.store.documents import JOB_SHEET
from boottop.store.open import open_store
from boottop.web.house import House
from boottop.web.new_jobs import demo_files
from boottop.web.record_desk import advice_from_last_time, find_job, history_of, jobs_of_boat, last_time, record_of
from boottop.web.record_files import record_files
from boottop.web.record_intake import history_lines, take_photos
from boottop.web.serve import house_on
from tests.faults.test_record_spoilt import jpeg
from tests.record.archives import KEPT
from tests.web.serving import Running, no_weather

NEXT = datetime(2026, 5, 4, 8, tzinfo=UTC)


@pytest.fixture(scope="module")
def house(finished: Running, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """The finished demonstration, a wash-only visit of the same boat years later, and a job of another boat."""
    path = finished.house.store.database.path
    assert path is not None
    folder = tmp_path_factory.mktemp("two")
    copy_database(path, folder / "s.db")
    shutil.copytree(path.with_name(f"{path.name}.photos"), folder / "s.db.photos")
    with open_store(folder / "s.db") as store, house_on(store, weather=no_weather) as found:
        for name, sheet in (("wash 2026", b"Marsh Wren"), ("other boat", b"Bittern")):
            job = store.jobs.create(name, now=NEXT).id
            for place, content in demo_files().items():
                own = content.replace(b"Marsh Wren (invented)", sheet + b" (invented)")
                found.cabinet.save(job, place, own, now=NEXT)
            happened = ((0, "hauled_out"), (1, "washed"), (5, "launched"))
            store.append(job, [event(kind, hours) for hours, kind in happened], now=NEXT).check()
        yield found


def event(kind: str, hours: int) -> Event:
    """Something that happened to the boat."""
    when = NEXT + timedelta(hours=hours)
    return Event(id=str(uuid4()), kind=kind, happened=when, recorded=when, device="d", order=hours, who="Ana")


def job_of(house: House, name: str) -> str:
    return find_job(house.store, name).id


def test_jobs_of_one_boat_know_each_other_and_no_other(house: House) -> None:
    names = {one.name for one in jobs_of_boat(house, job_of(house, "wash 2026"))}
    assert names == {"wash 2026", "Demonstration: Marsh Wren"}
    assert [one.name for one in jobs_of_boat(house, job_of(house, "other boat"))] == ["other boat"]


def test_the_years_are_the_same_from_either_job(house: House) -> None:
    one, other = (history_of(house, job_of(house, name)) for name in ("wash 2026", "Demonstration"))
    assert one == other
    assert {visit.job for visit in one} == {"wash 2026", "Demonstration: Marsh Wren"}
    assert [visit.kind for visit in one if visit.job == "wash 2026"] == ["haul_out", "wash", "launch"]


def test_bare_spots_go_to_the_next_job_and_not_back(house: House) -> None:
    assert {spot.kind for spot in last_time(house, job_of(house, "wash 2026"))} >= {"blocks", "slings"}
    assert last_time(house, job_of(house, "Demonstration")) == ()
    assert last_time(house, job_of(house, "other boat")) == ()


def test_the_next_plan_is_told(house: House) -> None:
    told = advice_from_last_time(house, job_of(house, "wash 2026"))
    assert any("aft sling" in one for one in told)
    assert not any("anode" in one for one in told)
    assert advice_from_last_time(house, house.store.jobs.create("empty", now=NEXT).id) == ()


def test_wear_is_known_in_the_job_that_only_washed(house: House) -> None:
    record = record_of(house, job_of(house, "wash 2026"))
    assert {one.zone for one in record.wear} == {"port side", "starboard side"}
    for one in record.wear:
        assert one.due_early_s is not None
        assert one.due_s is not None
        assert one.due_early_s < one.due_s
        assert one.due_late_s is None or one.due_s < one.due_late_s


def test_the_record_of_a_wash_is_made_and_says_what_is_bare_from_last_time(house: House) -> None:
    made = record_files(house, job_of(house, "wash 2026"))
    assert made.files["marsh-wren-invented-record.pdf"].startswith(b"%PDF")
    lines = "\n".join(history_lines(made.record))
    assert "bare spots from last time" in lines
    assert "Coat it first, and rest the boat elsewhere." in lines


def test_a_job_whose_sheet_cannot_be_read_is_no_job_of_the_boat(house: House) -> None:
    job = house.store.jobs.create("broken", now=NEXT).id
    house.store.documents.put(job, b"= no sheet", kind=JOB_SHEET, name="job.toml", now=NEXT)
    assert job not in {one.id for one in jobs_of_boat(house, job_of(house, "wash 2026"))}


def test_an_imported_job_is_a_job_of_its_boat(house: House, tmp_path: Path) -> None:
    shutil.copy(KEPT, tmp_path / "kept.zip")
    packed = import_job(house.store, tmp_path / "kept.zip")
    assert packed.job in {one.id for one in jobs_of_boat(house, job_of(house, "wash 2026"))}


def test_a_name_that_two_jobs_share_is_asked_about(house: House) -> None:
    from boottop.base.errors import InputError

    with pytest.raises(InputError, match=r"\d jobs of that name"):
        find_job(house.store, "o")
    assert replace(find_job(house.store, "wash"), head="").name == "wash 2026"


def test_a_photograph_of_fifty_megabytes_is_named_and_the_rest_goes(house: House) -> None:
    job = job_of(house, "wash 2026")
    large = b"\xff\xd8\xff" + bytes(50_000_000)
    taken, problems = take_photos(house, job, {"large.jpg": large, "good.jpg": jpeg()}, zone="port side", who="Ana")
    assert [(one.where, one.found) for one in problems] == [("large.jpg", "50 MB")]
    assert "left where it is" in problems[0].advice
    assert taken[0].startswith("good.jpg: JPEG, 64 x 48")
    assert [one.size_bytes for one in house.store.photos.all(job)] == [len(jpeg())]


def test_a_camera_whose_clock_is_years_off_is_asked_about(house: House) -> None:
    taken, _ = take_photos(house, job_of(house, "wash 2026"), {"old.jpg": jpeg(taken="2004:01:01 00:00:00")}, zone="",
                           who="Ana")  # fmt: skip
    assert "before she was hauled out: correct it" in taken[0]
