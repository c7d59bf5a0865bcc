"""Wrong clocks of phones, and the night on which an hour comes twice: stored as they were, to the microsecond."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from boottop.base.clock import to_utc
from boottop.base.errors import InputError
from boottop.job.events import Event
from boottop.store.open import open_store
from tests.store.made import ENGINES, NOW, event, new_address

LISBON = ZoneInfo("Europe/Lisbon")
TIMES = {
    "phone in 1970": datetime(1970, 1, 1, tzinfo=UTC),
    "before that": datetime(1969, 12, 31, 23, 59, 59, 999_999, tzinfo=UTC),
    "phone a year ahead": NOW + timedelta(days=365),
    "end of 32 bits": datetime(2038, 1, 19, 3, 14, 8, tzinfo=UTC),
    "last microsecond": datetime.max.replace(tzinfo=UTC),
    "first microsecond": datetime.min.replace(tzinfo=UTC),
    "first 1:30 of the night": datetime(2026, 10, 25, 1, 30, tzinfo=timezone(timedelta(hours=1))),
    "second 1:30 of the night": datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    "first 1:30 by the zone": datetime(2026, 10, 25, 1, 30, tzinfo=LISBON, fold=0),
    "second 1:30 by the zone": datetime(2026, 10, 25, 1, 30, tzinfo=LISBON, fold=1),
    "leap day": datetime(2028, 2, 29, 12, tzinfo=UTC),
}


@pytest.mark.parametrize("engine", ENGINES)
def test_times_come_back_as_the_same_moments(engine: str, tmp_path: Path) -> None:
    sent = [event(number, happened=when, recorded=when) for number, when in enumerate(TIMES.values())]
    kept = _stored(engine, tmp_path, sent)
    moments = {name: one.happened for name, one in zip(TIMES, kept, strict=True)}
    for name, when in TIMES.items():
        assert moments[name] == when.astimezone(UTC)
        assert moments[name].utcoffset() == timedelta(0)
    night = moments["second 1:30 by the zone"] - moments["first 1:30 by the zone"]
    assert night == timedelta(hours=1)
    assert moments["first 1:30 by the zone"] == moments["first 1:30 of the night"]


@pytest.mark.parametrize("engine", ENGINES)
def test_typed_before_it_happened_and_in_any_order(engine: str, tmp_path: Path) -> None:
    sent = [
        event(number, happened=NOW - timedelta(hours=number), recorded=NOW - timedelta(days=400))
        for number in (3, 9, 1)
    ]
    assert _stored(engine, tmp_path, sent) == sent


def _stored(engine: str, folder: Path, sent: list[Event]) -> list[Event]:
    """The events as the store has them after being closed and opened again."""
    address = new_address(engine, folder)
    with open_store(address, photo_folder=folder) as store:
        job = store.jobs.create("Gannet", now=NOW).id
        store.append(job, sent, now=NOW).check()
    with open_store(address, photo_folder=folder) as store:
        assert store.verify_chain(job) == []
        logged = store.events_after(job, 0)
    assert {entry.received for entry in logged} == {NOW}, "when it came is the server's own clock"
    return [entry.event for entry in logged]


def test_the_doubled_hour_as_wall_clock_is_refused_before_it_reaches_the_store() -> None:
    with pytest.raises(InputError, match="happens twice in Europe/Lisbon"):
        to_utc(datetime(2026, 10, 25, 1, 30), LISBON, where="happened")  # noqa: DTZ001
