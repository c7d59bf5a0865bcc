"""The finished demonstration, made once: planned, logged, photographed, read and used for some years."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from boottop.record.record import Record
from boottop.web.demo_record import make_finished_demo
from boottop.web.record_desk import record_of
from boottop.web.serve import weather_now
from tests.web.serving import Running, running


@pytest.fixture(scope="session")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server with the finished demonstration. Tests that write to it use `copied`."""
    with running(tmp_path_factory.mktemp("finished"), weather=weather_now) as found:
        found.job = make_finished_demo(found.house)
        yield found


@pytest.fixture(scope="session")
def record(finished: Running) -> Record:
    """Its record."""
    return record_of(finished.house, finished.job)


@pytest.fixture
def copied(finished: Running, tmp_path: Path) -> Path:
    """The finished store, copied to a place where it may be spoilt."""
    path = finished.house.store.database.path
    assert path is not None
    from boottop.store.copying import copy_database

    copy_database(path, tmp_path / "copy.db")
    shutil.copytree(path.with_name(f"{path.name}.photos"), tmp_path / "copy.db.photos")
    return tmp_path / "copy.db"
