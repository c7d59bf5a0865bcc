"""A store spoilt behind the program's back, found and named by verify; photographs that are none; clocks that lie."""

from __future__ import annotations

import io
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from boottop.files.archive import import_job
from boottop.files.photo_facts import clock_words, for_print, look_at
from boottop.files.record_verify import verify_job
from boottop.store.open import open_store
from tests.record.archives import KEPT
from tests.record.test_archive import HEAD

YARD = ZoneInfo("America/New_York")


@pytest.fixture
def spoilt(tmp_path: Path) -> tuple[Path, str]:
    """A store with the kept job, closed, whose triggers are off: as an editor of databases leaves it."""
    place = tmp_path / "s.db"
    with open_store(place) as store:
        job = import_job(store, KEPT).job
    with closing(sqlite3.connect(place)) as connection:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for (name,) in names:
            connection.execute(f"DROP TRIGGER {name}")
        connection.commit()
    return place, job


def edit(place: Path, *statements: str) -> None:
    """Edit the file by hand."""
    with closing(sqlite3.connect(place)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def faults(place: Path, job: str, printed: str = "") -> tuple[str, ...]:
    """What verify says."""
    with open_store(place, create=False) as store:
        return verify_job(store, job, printed=printed).faults


def test_untouched_it_is_whole(spoilt: tuple[Path, str]) -> None:
    assert faults(*spoilt, printed=HEAD) == ()


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE events SET data = replace(data, '2.1', '2.9') WHERE seq = 7", "event 7 (coat_finished, 12340000-"),
        ("UPDATE events SET who = 'Tom' WHERE seq = 5", "event 5 (coat_started"),
        ("UPDATE events SET happened = '2026-05-04T07:00:00.000000Z' WHERE seq = 3", "event 3 (note"),
        ("UPDATE events SET happened = 'soon' WHERE seq = 3", "event 3 (note"),
        ("UPDATE events SET zone = NULL WHERE seq = 6", "event 6 (reading"),
    ],
)
def test_a_changed_event_is_named(spoilt: tuple[Path, str], statement: str, said: str) -> None:
    edit(spoilt[0], statement)
    found = faults(*spoilt)
    assert said in found[0]
    assert "changed after it was logged" in found[0]


def test_a_missing_event_is_named(spoilt: tuple[Path, str]) -> None:
    edit(spoilt[0], "DELETE FROM events WHERE seq = 4")
    assert faults(*spoilt)[0] == "log: event 4 is missing"


def test_missing_last_events_are_named(spoilt: tuple[Path, str]) -> None:
    edit(spoilt[0], "DELETE FROM events WHERE seq >= 9")
    assert faults(*spoilt)[0] == "log: events 9 to 10 are missing"


def test_events_in_another_order_are_named(spoilt: tuple[Path, str]) -> None:
    edit(
        spoilt[0],
        "UPDATE events SET seq = 99 WHERE seq = 5",
        "UPDATE events SET seq = 5 WHERE seq = 6",
        "UPDATE events SET seq = 6 WHERE seq = 99",
    )
    found = " ".join(faults(*spoilt))
    assert "event 5 (reading" in found
    assert "the order was changed" in found


def test_a_log_written_anew_does_not_hold_the_printed_end(spoilt: tuple[Path, str]) -> None:
    """Whoever deletes the last events and mends the job's end as well leaves a whole log, but not the printed one."""
    edit(
        spoilt[0],
        "DELETE FROM events WHERE seq > 8",
        "UPDATE jobs SET events = 8, head = (SELECT chain FROM events WHERE seq = 8)",
    )
    assert faults(*spoilt) == ()
    assert "not the one that was printed from" in faults(*spoilt, printed=HEAD)[0]


def test_a_printed_end_that_is_none(spoilt: tuple[Path, str]) -> None:
    assert "not 64 hexadecimal digits" in faults(*spoilt, printed="abc")[0]


def test_changed_readings_are_named(spoilt: tuple[Path, str]) -> None:
    edit(spoilt[0], "UPDATE documents SET content = replace(content, '281.5', '381.5') WHERE name LIKE 'readings/%'")
    assert faults(*spoilt) == ("document readings/gauge.csv.json: changed after it was saved",)


def test_readings_with_a_new_checksum_are_not_those_that_the_log_names(spoilt: tuple[Path, str]) -> None:
    place, job = spoilt
    with open_store(place, create=False) as store:
        name = "readings/gauge.csv.json"
        text = store.documents.get(job, kind="record", name=name).text.replace("281.5", "381.5")
        store.documents.put(job, text, kind="record", name=name, now=datetime(2026, 6, 1, tzinfo=UTC))
    assert "not the content that the log names" in faults(place, job)[0]


def test_a_changed_photograph_is_named(spoilt: tuple[Path, str]) -> None:
    photo = next(one for one in spoilt[0].with_name("s.db.photos").rglob("*") if one.is_file())
    photo.write_bytes(photo.read_bytes()[:-9])
    assert faults(*spoilt) == (f"photograph {photo.name[:16]}: its file was changed",)


def jpeg(*, taken: str = "", offset: str = "", size: tuple[int, int] = (64, 48)) -> bytes:
    """A small JPEG with the camera's time."""
    from PIL import Image

    image, exif, out = Image.new("RGB", size, "#7a3512"), Image.Exif(), io.BytesIO()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    if offset:
        exif.get_ifd(0x8769)[0x9011] = offset
    image.save(out, "JPEG", exif=exif)
    return out.getvalue()


@pytest.mark.parametrize(
    "content", [b"", b"no picture", b"\xff\xd8\xff" + b"rubbish" * 50, jpeg()[:200], b"\x89PNG\r\n\x1a\n" + bytes(64)]
)
def test_what_is_no_picture_is_kept_and_said(content: bytes) -> None:
    seen = look_at(content, YARD)
    assert not seen.shown
    assert "does not open as a picture" in seen.words
    assert for_print(content) is None


def test_heic_is_said_not_opened() -> None:
    seen = look_at(b"\x00\x00\x00\x18ftypheic" + bytes(64), YARD, named="image/heic")
    assert (seen.shown, seen.camera_s) == (False, None)
    assert "no free decoder" in seen.words


def test_a_picture_of_too_many_points_is_not_opened() -> None:
    from PIL import Image

    out = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(out, "PNG")
    assert len(out.getvalue()) < 200_000
    assert "more points than a camera makes" in look_at(out.getvalue(), YARD).words
    assert for_print(out.getvalue()) is None


def test_the_cameras_time_is_the_yards_unless_it_says_its_own() -> None:
    assert look_at(jpeg(taken="2022:04:27 12:00:00"), YARD).camera_s == 1_651_075_200
    assert look_at(jpeg(taken="2022:04:27 12:00:00", offset="+00:00"), YARD).camera_s == 1_651_060_800


@pytest.mark.parametrize("taken", ["", "0000:00:00 00:00:00", "soon", "2022:13:45 99:00:00", "\x00\x00"])
def test_a_camera_without_a_time_says_none(taken: str) -> None:
    assert look_at(jpeg(taken=taken), YARD).camera_s is None


def test_a_clock_that_is_off_is_said() -> None:
    assert clock_words(1_000_000, 1_000_800) == ""
    assert clock_words(1_000_000, None) == ""
    assert "3 h 0 min after" in clock_words(1_000_000, 1_010_800)
    assert "365 d 0 h before" in clock_words(100_000_000, 100_000_000 - 365 * 86_400)


def test_a_printed_picture_is_small_upright_and_says_nothing_of_its_camera() -> None:
    from PIL import Image

    image, exif, out = Image.new("RGB", (3000, 2000), "#7a3512"), Image.Exif(), io.BytesIO()
    exif[0x0112] = 6
    exif[0x010F] = "camera"
    image.save(out, "JPEG", exif=exif)
    printed = for_print(out.getvalue())
    assert printed is not None
    with Image.open(io.BytesIO(printed)) as small:
        assert small.size == (600, 900)
        assert not small.getexif()
