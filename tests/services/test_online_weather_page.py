"""docs/online-weather.md: its table is the registry, its readings can be read, its numbers are the code's."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from boottop.climate.blend import DECAY_H, GROSS_K, blend
from boottop.files.observations import read_observations, typed_observation
from boottop.services.cache import default_cache_dir
from boottop.services.http import SKEW_TOLD, Patience
from boottop.services.registry import SERVICES
from tests.climate.readings import NOW, reading, weather

PAGE = (Path(__file__).parents[2] / "docs" / "online-weather.md").read_text(encoding="utf-8")
LISBON = ZoneInfo("Europe/Lisbon")


def test_table_of_services_is_the_registry() -> None:
    rows = re.findall(r"^\| `([a-z-]+)` \| (\w+) \| ([^|]+) \|", PAGE, re.M)
    assert rows == [(service.name, service.kind, service.reach) for service in SERVICES.values()]


def test_typed_reading_and_logger_file(tmp_path: Path) -> None:
    typed = re.search(r"^    (2026-05-04T08:30, .*)$", PAGE, re.M)
    logger = re.search(r"```csv\n(.*?)```", PAGE, re.S)
    assert typed is not None
    assert logger is not None
    (tmp_path / "logger.csv").write_text(logger[1], encoding="utf-8")
    one = typed_observation(typed[1], LISBON, where="page")
    read = read_observations(tmp_path / "logger.csv", LISBON)
    assert (one.air_c, one.rh) == (11.5, 0.78)
    assert [later.air_c for later in read] == [10.9, 11.5]
    assert read[1].time + timedelta(minutes=30) == one.time


def test_numbers() -> None:
    patience = Patience()
    assert f"up to {patience.longest_wait_s:g} s" in PAGE
    assert f"more than {patience.max_bytes / 1e6:g} MB, or a minute" in PAGE
    assert patience.whole_answer_s == 60.0
    assert f"more than {SKEW_TOLD / timedelta(minutes=1):g} minutes off" in PAGE
    assert f"more than {GROSS_K:g} K off" in PAGE
    assert f"left after {DECAY_H * np.log(2):.0f} hours" in PAGE


def test_line_of_the_report_has_the_form_shown() -> None:
    forecast = weather()
    (line,) = blend(forecast, [reading(forecast, 6, 1.4), reading(forecast, 7, 1.4)], now=NOW).report.lines()
    assert line == (
        "air: the forecast is shifted by +1.3 K (give or take 0.4) after 2 readings at the yard, the last "
        "2026-05-04T07:00Z; half of it is left after 8 h (assumed)"
    )
    assert line in " ".join(PAGE.split())


@pytest.mark.parametrize(
    ("platform", "environment", "expected"),
    [
        ("linux", {}, "/h/.cache/boottop"),
        ("linux", {"XDG_CACHE_HOME": "/c"}, "/c/boottop"),
        ("darwin", {}, "/h/Library/Caches/boottop"),
        ("win32", {"LOCALAPPDATA": "/l"}, "/l/boottop/cache"),
        ("win32", {}, "/h/AppData/Local/boottop/cache"),
    ],
)
def test_cache_folder_of_the_system(platform: str, environment: dict[str, str], expected: str) -> None:
    assert default_cache_dir(environment, home=Path("/h"), platform=platform).as_posix() == expected
