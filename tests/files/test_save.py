"""Files are written whole or not at all, and never over what was read."""

from __future__ import annotations

import os
import re
import threading
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.files.save import check_places, write_bytes


def test_writes_and_replaces(tmp_path: Path) -> None:
    path = tmp_path / "plan.html"
    write_bytes(path, b"one")
    write_bytes(path, b"two")
    assert path.read_bytes() == b"two"
    assert [*tmp_path.iterdir()] == [path]


def test_the_old_file_stays_when_the_disk_is_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "plan.html"
    path.write_bytes(b"old")

    def full(self: Path, content: bytes) -> int:
        with self.open("wb") as file:
            file.write(content[:1])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(InputError, match=r"plan\.html: found it cannot be written \(No space left on device\)"):
        write_bytes(path, b"new")
    assert path.read_bytes() == b"old"
    assert [*tmp_path.iterdir()] == [path]


@pytest.mark.parametrize(
    "place",
    [".", "", "taken", "file/plan.html", "missing/plan.html", "x" * 300],
    ids=["here", "nothing", "folder", "under_a_file", "no_folder", "too_long"],
)
def test_places_that_cannot_be_written(tmp_path: Path, place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "file").write_text("x", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=r"found it cannot be written \(.+\).*give another place"):
        write_bytes(Path(place), b"x")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "taken"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "shared").mkdir()
    link = tmp_path / "plan.html"
    link.symlink_to(tmp_path / "shared" / "plan.html")
    write_bytes(link, b"x")
    assert link.is_symlink()
    assert (tmp_path / "shared" / "plan.html").read_bytes() == b"x"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    got: list[bytes] = []
    reader = threading.Thread(target=lambda: got.append(pipe.read_bytes()))
    reader.start()
    write_bytes(pipe, b"through")
    reader.join(timeout=5)
    assert got == [b"through"]
    assert pipe.is_fifo()


def test_places_are_judged_before_the_work_all_at_once(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text("x", encoding="utf-8")
    places = {
        "--page": tmp_path / "none" / "plan.html",
        "--calendar": tmp_path,
        "--order-csv": tmp_path / "here" / ".." / "job.toml",
        "--csv": None,
    }
    (tmp_path / "here").mkdir()
    with pytest.raises(InputError, match="in a folder that is not there") as caught:
        check_places(places, read=[job])
    assert [re.sub(r" .*", "", problem.where) for problem in caught.value.problems] == [
        "--page", "--calendar", "--order-csv",
    ]  # fmt: skip
    assert [problem.found for problem in caught.value.problems][1:] == ["a folder", "the file that is read"]


def test_two_files_cannot_have_one_place(tmp_path: Path) -> None:
    place = tmp_path / "plan"
    with pytest.raises(InputError, match="found the place of --page too"):
        check_places({"--page": place, "--calendar": place})


def test_good_places_pass(tmp_path: Path) -> None:
    check_places({"--page": tmp_path / "plan.html", "--calendar": None}, read=[tmp_path / "job.toml"])
    assert [*tmp_path.iterdir()] == []
