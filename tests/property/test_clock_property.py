"""Local days of a grid, looked up day by day, against the zone asked at every hour."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.base.clock import Grid

ZONES = (
    "Europe/Lisbon", "America/New_York", "Asia/Shanghai", "Australia/Lord_Howe", "Asia/Kathmandu", "Pacific/Apia",
    "Africa/Casablanca", "America/St_Johns", "Asia/Tehran", "UTC",
)  # fmt: skip


def _as_the_zone_says(grid: Grid, zone: ZoneInfo) -> tuple[list[int], list[int]]:
    """Each slot by the offset at its full hour, one question a slot."""
    found = []
    for slot in range(grid.count):
        at = grid.time_of(slot)
        offset = at.replace(minute=0).astimezone(zone).utcoffset() or timedelta()
        local = at.replace(tzinfo=None) + offset
        found.append((local.date().toordinal(), local.hour * 60 + local.minute))
    return [day for day, _ in found], [minute for _, minute in found]


@given(
    name=st.sampled_from(ZONES),
    hour=st.integers(min_value=0, max_value=65 * 8766),
    count=st.integers(min_value=0, max_value=600),
)
def test_any_grid_in_any_zone(name: str, hour: int, count: int) -> None:
    grid, zone = Grid(start=datetime(1970, 1, 2, tzinfo=UTC) + timedelta(hours=hour), count=count), ZoneInfo(name)
    day, minute = grid.local(zone)
    assert (day.tolist(), minute.tolist()) == _as_the_zone_says(grid, zone)


@pytest.mark.parametrize("name", ZONES)
@pytest.mark.parametrize("year", [1979, 2011, 2026])
def test_a_whole_year_with_its_changes_of_the_clocks(name: str, year: int) -> None:
    grid, zone = Grid(start=datetime(year, 1, 1, 5, tzinfo=UTC), count=366 * 96), ZoneInfo(name)
    day, minute = grid.local(zone)
    offsets = [
        int((datetime.fromtimestamp(int(at), tz=zone).utcoffset() or timedelta()).total_seconds())
        for at in grid.epoch_s()[::4]
    ]
    local_s = grid.epoch_s()[::4] + offsets
    assert (day[::4] == local_s // 86400 + date(1970, 1, 1).toordinal()).all()
    assert (minute[::4] == local_s % 86400 // 60).all()
