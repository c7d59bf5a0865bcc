"""The iCalendar file (RFC 5545): read back by a calendar library and by a reader of our own of the bare lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar, Component

from boottop.files.calendar_file import calendar_text, next_sequence, words_of
from boottop.plan.network import SolverReport
from boottop.plan.plan import Plan, PlannedTask

PLACE = ZoneInfo("America/New_York")
MADE = datetime(2022, 4, 20, 12, tzinfo=UTC)
START = datetime(2022, 4, 25, 12, tzinfo=UTC)


def task(
    key: str, kind: str, *, hours: float = 0.0, zone: str | None = None, because: str = "it is time"
) -> PlannedTask:
    """A task that begins so many hours after the haul-out."""
    begin = START + timedelta(hours=hours)
    return PlannedTask(
        key=key, kind=kind, zone=zone, coat=None, product=None, start=begin, end=begin + timedelta(hours=1), people=1,
        mode="", because=because,
    )  # fmt: skip


def plan(*tasks: PlannedTask) -> Plan:
    """A plan of some tasks."""
    report = SolverReport(first_s=0.1, proof_s=0.1, total_s=0.1, bound_minor=0, branches=0, variables=1)
    return Plan(
        status="optimal", tasks=tasks, options=(), cost_minor=0, cost_lines=(), currency="EUR", haul_out=START,
        launch=tasks[-1].start, reasons=(), ways_out=(), report=report,
    )  # fmt: skip


LONG = "the film on pørt side bears a stand; then, and only then, " * 4 + "\n“quoted”, 3 K \\ 4 K"
WHOLE = plan(
    task("haul_out", "haul_out"),
    task("strip/port side", "strip", hours=3, zone="port side", because=LONG),
    task("extra/new anodes", "extra", hours=30),
    task("launch", "launch", hours=100.5),
)


def text_of(whole: Plan, *, job: str = "Marsh Wren", sequence: int = 0) -> bytes:
    """The calendar of a plan."""
    return calendar_text(whole, job=job, zone=PLACE, made=MADE, sequence=sequence)


def content_lines(text: bytes) -> Iterator[tuple[str, str]]:
    """Name and value of every content line, unfolded by the letter of RFC 5545, 3.1."""
    for line in text.replace(b"\r\n ", b"").decode().split("\r\n"):
        if line:
            name, _, value = line.partition(":")
            yield name, value


def unescaped(value: str) -> str:
    """TEXT as meant (RFC 5545, 3.3.11)."""
    out, rest = "", iter(value)
    for letter in rest:
        follows = next(rest) if letter == "\\" else ""
        out += ({"n": "\n", "N": "\n"}.get(follows, follows)) if follows else letter
    return out


def test_lines_end_in_crlf_and_hold_at_most_75_octets() -> None:
    text = text_of(WHOLE)
    assert text.endswith(b"\r\n")
    assert text.count(b"\n") == text.count(b"\r\n") == text.count(b"\r")
    assert max(len(line) for line in text.split(b"\r\n")) <= 75
    assert any(line.startswith(b" ") for line in text.split(b"\r\n")), "nothing was long enough to be folded"


def test_the_bare_lines_say_what_the_plan_says() -> None:
    lines = [*content_lines(text_of(WHOLE))]
    names = [name for name, _ in lines]
    assert lines[0] == ("BEGIN", "VCALENDAR")
    assert lines[-1] == ("END", "VCALENDAR")
    assert dict(lines)["VERSION"] == "2.0"
    assert dict(lines)["PRODID"]
    assert names.count("UID") == names.count("DTSTAMP") == names.count("SEQUENCE") == 4
    assert [value for name, value in lines if name == "DTSTART"] == [
        "20220425T120000Z", "20220425T150000Z", "20220426T180000Z", "20220429T163000Z",
    ]  # fmt: skip
    assert LONG in [unescaped(value) for name, value in lines if name == "DESCRIPTION"]


def time_in(component: Component, name: str) -> datetime:
    """A time, as the library decodes it."""
    found = component.decoded(name)
    assert isinstance(found, datetime)
    return found


def test_a_calendar_program_reads_every_task() -> None:
    calendar = Calendar.from_ical(text_of(WHOLE))
    events = calendar.walk("VEVENT")
    assert [str(event["SUMMARY"]) for event in events] == [words_of(one) for one in WHOLE.tasks]
    for event, planned in zip(events, WHOLE.tasks, strict=True):
        assert time_in(event, "DTSTART") == planned.start
        assert time_in(event, "DTEND") == planned.end
        assert str(event["DESCRIPTION"]) == planned.because
        assert time_in(event, "DTSTAMP") == MADE


def test_crane_days_ring_at_six_the_evening_before_in_the_yards_zone() -> None:
    calendar = Calendar.from_ical(text_of(WHOLE))
    alarms = {
        str(event["SUMMARY"]): [time_in(alarm, "TRIGGER") for alarm in event.walk("VALARM")]
        for event in calendar.walk("VEVENT")
    }
    assert alarms["Haul out"] == [datetime(2022, 4, 24, 18, tzinfo=PLACE)]
    assert alarms["Launch"] == [datetime(2022, 4, 28, 18, tzinfo=PLACE)]
    assert alarms["Strip old antifouling, port side"] == alarms["New anodes"] == []
    triggers = [name for name, _ in content_lines(text_of(WHOLE)) if name.startswith("TRIGGER")]
    assert triggers == ["TRIGGER;VALUE=DATE-TIME"] * 2, "an absolute trigger must say so (RFC 5545, 3.8.6.3)"


def uids(text: bytes) -> list[str]:
    """Identities in the order of the file."""
    return [value for name, value in content_lines(text) if name == "UID"]


def test_a_later_plan_keeps_identities_and_raises_the_sequence(tmp_path: Path) -> None:
    path = tmp_path / "plan.ics"
    assert next_sequence(path) == 0
    path.write_bytes(text_of(WHOLE, sequence=next_sequence(path)))
    before = path.read_bytes()
    later = plan(
        *(replace(one, start=one.start + timedelta(days=1), end=one.end + timedelta(days=1)) for one in WHOLE.tasks)
    )
    path.write_bytes(text_of(later, sequence=next_sequence(path)))
    assert uids(path.read_bytes()) == uids(before)
    numbers = [value for name, value in content_lines(path.read_bytes()) if name == "SEQUENCE"]
    assert numbers == ["1"] * 4
    assert next_sequence(path) == 2


@pytest.mark.parametrize(
    "content", [b"", b"\xff\xfe", b"BEGIN:VCALENDAR\r\nSEQUENCE:7\r\n"], ids=["empty", "binary", "foreign"]
)
def test_a_file_that_is_not_ours_counts_for_nothing(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "other.ics"
    path.write_bytes(content)
    assert next_sequence(path) == 0
    assert next_sequence(tmp_path) == 0


def test_identities_differ_where_letters_are_not_ours() -> None:
    whole = plan(
        task("extra/zmień anody", "extra"), task("extra/zmie\u0144\u00a0anody", "extra"),
        task("extra/полировка", "extra"), task("extra/обшивка", "extra"),
    )  # fmt: skip
    found = uids(text_of(whole, job="Чайка")) + uids(text_of(whole, job="Чибис"))
    assert len(set(found)) == 8
    assert all(uid.isascii() and uid.endswith("@boottop.invalid") and uid[0].isalnum() for uid in found)


def test_own_jobs_keep_their_capitals() -> None:
    assert words_of(task("extra/fit AIS aerial", "extra")) == "Fit AIS aerial"
