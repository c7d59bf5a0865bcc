"""Temperature and humidity loggers: headers, units, dates, clocks; the same file twice is the same events."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from boottop.base.errors import InputError
from boottop.files.logger_csv import LoggerImport, read_logger_csv
from boottop.files.loose_csv import ColumnMap
from boottop.job.check import event_problems


def read(text: str, *, place: str = "Europe/Lisbon", **given: dict[str, str]) -> LoggerImport:
    """The events of a text."""
    return read_logger_csv(
        text.encode("cp1252"), name="logger.csv", yard_zone=ZoneInfo(place), job="j", given=ColumnMap(**given)
    )


def first(found: LoggerImport) -> tuple[datetime, dict[str, object]]:
    """Time and values of the first event."""
    return found.events[0].happened, dict(found.events[0].data)


LATE_MAY = datetime(2026, 5, 13, 13, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "Logger 12\nSerial;9\n\nNo.;Date Time;Temp (°C);RH (%)\n1;13/05/2026 14:00:00;18,4;71\n",
        "Timestamp,Temperature [°F],Humidity [%RH]\n2026-05-13 14:00,65.12,71\n",
        "Time,Celsius(°C),Humidity(%rh),Dew Point(°C)\n2026-05-13 14:00:00,18.4,71,13.0\n",
        "Date/Time\tAir degC °C\tRel. Feuchte\n13.05.2026 14:00\t18,4\t71\n",
        "Date Time, GMT+00:00;Temp, °C;RH, %\n05/13/26 01:00:00 PM;18,4;71\n",
    ],
)
def test_loggers_that_differ_in_their_headers_only(text: str) -> None:
    found = read(text)
    assert first(found) == (LATE_MAY, {"air_c": pytest.approx(18.4, abs=0.01), "humidity": 0.71})
    assert not [problem for event in found.events for problem in event_problems(event)]


def test_one_reading_each_half_hour_the_last_of_it() -> None:
    rows = "".join(f"2026-05-13 14:{minute:02d},{10 + minute / 10},70\n" for minute in range(0, 60, 5))
    found = read(f"Time,Temp (°C),RH (%)\n{rows}")
    assert [one.data["air_c"] for one in found.events] == [12.5, 15.5]


def test_the_same_rows_are_the_same_events() -> None:
    text = "Time,Temp (°C),RH (%)\n2026-05-13 14:00,18.4,71\n"
    longer = f"{text}2026-05-13 15:00,19.0,70\n"
    assert read(text).events[0] == read(longer).events[0]


def test_day_or_month_first_is_asked_where_nothing_tells() -> None:
    text = "Time,Temp (°C),RH (%)\n04/05/2026 10:00,18.4,71\n"
    with pytest.raises(InputError, match=r"day or month first.*--dates"):
        read(text)
    assert first(read(text, fixed={"dates": "dmy"}))[0].month == 5
    assert first(read(text, fixed={"dates": "mdy"}))[0].month == 4


def test_humidity_from_a_dew_point() -> None:
    found = read("Time,Air (°C),Dew (°C)\n2026-05-13 14:00,20.0,9.27\n")
    assert found.events[0].data["humidity"] == pytest.approx(0.50, abs=0.002)


def test_letters_for_a_zone_are_asked_about() -> None:
    text = "Date-Time (EST),Temperature (°F),RH (%)\n2026-05-13 09:00,65,70\n"
    with pytest.raises(InputError, match=r"EST.*--time-zone"):
        read(text)
    assert first(read(text, fixed={"time_zone": "America/New_York"}))[0] == LATE_MAY


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("when,CH1,CH2\n2026-05-13T14:00,18.4,71\n", 'as time and air.*--map "air=CH1"'),
        ("Time,Temp,RH (%)\n2026-05-13 14:00,18.4,71\n", "temperature without a unit.*--unit"),
        ("Time,Temp (°C),RH (%)\n2026-05-13 14:00,184,71\n", "-40 to 60"),
        ("Time,Temp (°C),RH (%)\n2026-05-13 14:00,18.4,710\n", "0.01 to 1.02"),
        ("Time,Temp (°C),RH (%)\nsoon,18.4,71\n", "'soon'"),
        ("Time,Temp (°C),RH (%)\n2026-10-25 01:30,18.4,71\n", "happens twice"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        read(text)


def test_gaps_are_left_out_not_taken_as_nought() -> None:
    found = read("Time,Temp (°C),RH (%)\n2026-05-13 14:00,18.4,\n2026-05-13 15:00,---,70\n")
    assert [dict(one.data) for one in found.events] == [{"air_c": 18.4}, {"humidity": 0.7}]


def test_one_fault_of_all_rows_is_told_once_and_many_in_short() -> None:
    rows = "".join(f"2026-05-13 14:{minute:02d},18.4,71\n" for minute in range(60))
    with pytest.raises(InputError, match="without a unit") as error:
        read(f"Time,Temp,RH (%)\n{rows}")
    assert len(error.value.problems) == 1
    with pytest.raises(InputError, match="30 more of these") as error:
        read(f"Time,Temp (°C),RH (%)\n{rows.replace('18.4', '184')}")
    assert len(error.value.problems) == 31
