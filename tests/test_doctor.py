"""What doctor sees on a machine made for the test."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from boottop import doctor

NOW = datetime(2026, 11, 25, tzinfo=UTC)


def sign(what: str, *, now: datetime = NOW, cache: Path | None = None) -> doctor.Sign:
    return next(sign for sign in doctor.examine(now=now, cache=cache) if sign.what == what)


def test_every_sign_that_is_not_good_says_what_to_do(tmp_path: Path) -> None:
    for one in doctor.examine(now=NOW, cache=tmp_path):
        assert one.state == "good" or one.advice, one.what


def test_a_clock_years_behind_is_missing() -> None:
    assert sign("clock", now=datetime(2001, 1, 1, tzinfo=UTC)).state == "missing"
    assert sign("clock").state == "good"


def test_kept_weather_is_counted_with_its_age(tmp_path: Path) -> None:
    assert sign("kept weather").state == "without"
    assert "none in" in sign("kept weather", cache=tmp_path).found
    (tmp_path / "metno-1.json").write_text("{}", encoding="utf-8")
    assert "1 answers" in sign("kept weather", cache=tmp_path, now=datetime.now(UTC)).found


def test_a_missing_library_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doctor, "NEEDED", ("numpy", "no-such-library-of-ours"))
    assert sign("no-such-library-of-ours").state == "missing"


def test_a_cache_that_cannot_be_written_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "not-there"))
    assert sign("compiled code").state == "without"
