"""Wall clocks, zones, and the grid of quarters of an hour."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from boottop.base.clock import Grid, hour_count, to_utc, zone_info
from boottop.base.errors import InputError

START = datetime(2026, 3, 28, 22, tzinfo=UTC)
LISBON = ZoneInfo("Europe/Lisbon")


def test_wall_clock_to_utc_in_summer_and_winter() -> None:
    assert to_utc(datetime(2026, 7, 1, 8), LISBON, where="x") == datetime(2026, 7, 1, 7, tzinfo=UTC)  # noqa: DTZ001 wall clock
    assert to_utc(datetime(2026, 1, 1, 8), LISBON, where="x") == datetime(2026, 1, 1, 8, tzinfo=UTC)  # noqa: DTZ001 wall clock


@pytest.mark.parametrize(
    ("wall", "match"),
    [
        (datetime(2026, 3, 29, 1, 30), "does not exist in Europe/Lisbon.*Write the offset"),  # noqa: DTZ001 wall clock
        (datetime(2026, 10, 25, 1, 30), "happens twice in Europe/Lisbon.*Write the offset"),  # noqa: DTZ001 wall clock
    ],
)
def test_hours_made_by_the_change_of_clocks_are_refused(wall: datetime, match: str) -> None:
    with pytest.raises(InputError, match=match):
        to_utc(wall, LISBON, where="yard.lift_slots[1]")


def test_a_time_with_its_offset_is_taken_as_it_is() -> None:
    doubled = datetime.fromisoformat("2026-10-25T01:30:00+01:00")
    assert to_utc(doubled, LISBON, where="x") == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_unknown_zone_is_refused() -> None:
    with pytest.raises(InputError, match="IANA time zone such as Europe/Lisbon"):
        zone_info("Atlantis/Harbour", where="yard.time_zone")


def test_marks_round_to_their_side() -> None:
    grid = Grid(start=START, count=96)
    between = START + timedelta(minutes=20)
    assert (grid.mark_at_or_before(between), grid.mark_at_or_after(between)) == (1, 2)
    assert grid.mark_at_or_after(START + timedelta(minutes=30)) == grid.mark_at_or_before(START + timedelta(minutes=30))
    assert grid.end == START + timedelta(hours=24)
    assert grid.beyond == 97


def test_local_day_and_minute_jump_where_the_clocks_do() -> None:
    days, minutes = Grid(start=START, count=24).local(LISBON)
    assert minutes[11] == 0 * 60 + 45  # 2026-03-29 00:45 UTC, still winter time
    assert minutes[12] == 2 * 60  # 01:00 UTC is 02:00 summer time
    assert set(days.tolist()) == {date(2026, 3, 28).toordinal(), date(2026, 3, 29).toordinal()}


def test_grid_wants_utc() -> None:
    with pytest.raises(InputError, match="an aware UTC time"):
        Grid(start=datetime(2026, 3, 28, 22), count=4)  # noqa: DTZ001 that is what must be refused
    with pytest.raises(InputError, match="an aware UTC time"):
        Grid(start=datetime(2026, 7, 1, tzinfo=LISBON), count=4)


def test_hour_count() -> None:
    assert hour_count(START, START + timedelta(minutes=90)) == 1.5
