"""From steps to hours: nothing is lost, nothing invented beyond the ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.services.failure import ServiceError
from boottop.services.steps import About, Rain, Series, hourly, rain_by_hour, to_table

H = 3600
ABOUT = About(title="Example", station="x", licence="y", place=None)
HUNDREDTHS = st.integers(0, 5000).map(lambda number: number / 100)
LENGTHS = st.lists(st.integers(1, 12), min_size=1, max_size=20)


@given(LENGTHS, st.data())
def test_rain_is_conserved_and_wet_hours_only_within_wet_sums(lengths: list[int], data: st.DataObject) -> None:
    ends = np.cumsum(lengths)
    totals = data.draw(st.lists(HUNDREDTHS, min_size=len(lengths), max_size=len(lengths)))
    spans = [
        Rain(from_s=int(end - length) * H, to_s=int(end) * H, total_mm=total)
        for end, length, total in zip(ends, lengths, totals, strict=True)
    ]
    rain, spread = rain_by_hour(spans, np.arange(1, ends[-1] + 1) * H)
    assert rain.sum() == pytest.approx(sum(totals))
    assert (rain >= 0).all()
    assert not spread[rain == 0].any()
    assert spread.sum() == sum(length for length, total in zip(lengths, totals, strict=True) if length > 1 and total)


@given(LENGTHS, st.data())
def test_values_stay_between_the_steps_ends(lengths: list[int], data: st.DataObject) -> None:
    stamps = np.concatenate([[0], np.cumsum(lengths)]) * H
    values = np.array(data.draw(st.lists(st.floats(-40, 50), min_size=stamps.size, max_size=stamps.size)))
    hours = np.arange(stamps[-1] // H + 1) * H
    got, made = hourly(Series(epoch_s=stamps, values=values), hours)
    assert (got[stamps // H] == values).all()
    assert not made[stamps // H].any()
    assert made.sum() == hours.size - stamps.size
    assert got.min() >= values.min() - 1e-9
    assert got.max() <= values.max() + 1e-9


def test_no_line_over_a_missing_end_or_beyond() -> None:
    series = Series(epoch_s=np.array([0, 3, 6]) * H, values=np.array([1.0, np.nan, 2.0]))
    got, made = hourly(series, np.arange(-1, 8) * H)
    assert np.flatnonzero(~np.isnan(got)).tolist() == [1, 7]
    assert not made.any()


def test_shorter_sums_win_over_longer_ones() -> None:
    spans = [Rain(from_s=0, to_s=6 * H, total_mm=6.0), Rain(from_s=2 * H, to_s=3 * H, total_mm=0.0)]
    for order in (spans, spans[::-1]):
        rain, _ = rain_by_hour(order, np.arange(1, 7) * H)
        assert rain.tolist() == [1, 1, 0, 1, 1, 1]


def _series(count: int) -> dict[str, Series]:
    stamps = np.arange(count, dtype=np.int64) * H
    return {
        "air_c": Series(epoch_s=stamps, values=np.full(count, 10.0)),
        "dew_c": Series(epoch_s=stamps, values=np.full(count, 5.0)),
        "wind_m_s": Series(epoch_s=stamps, values=np.full(count, 3.0)),
    }


def test_table_is_cut_to_where_rain_is_known() -> None:
    table = to_table(_series(10), [Rain(from_s=2 * H, to_s=8 * H, total_mm=0.0)], about=ABOUT)
    assert table.epoch_s.tolist() == [hour * H for hour in range(3, 9)]


def test_table_without_one_whole_hour_is_refused() -> None:
    with pytest.raises(ServiceError, match="no hour with air, dew point or humidity, wind and rain together"):
        to_table(_series(10), [], about=ABOUT)


def test_made_dew_point_stays_below_made_air() -> None:
    series = _series(2)
    wide = np.array([0, 6 * H])
    series["air_c"] = Series(
        epoch_s=np.array([0, 3, 6]) * H, values=np.array([10.0, 2.0, 10.0]), made=np.array([False, True, False])
    )
    series["dew_c"] = Series(epoch_s=wide, values=np.array([5.0, 5.0]))
    series["wind_m_s"] = Series(epoch_s=wide, values=np.array([3.0, 3.0]))
    table = to_table(series, [Rain(from_s=-H, to_s=6 * H, total_mm=0.0)], about=ABOUT)
    assert table.values["dew_c"][3] == 2.0
    assert (table.values["dew_c"] <= table.values["air_c"]).all()
