"""Small weather files made in the test: a plain spring with one shower, as rows of text."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from pathlib import Path

START = datetime(2026, 4, 18, tzinfo=UTC)
HEADER = "time,air[degC],humidity[%],wind[m/s],rain[mm],pressure[hPa]"


def rows(hours: int = 72, step_min: int = 60) -> list[list[str]]:
    """Rows of `HEADER`: air 12 +- 5 degC, warmest at 15 h UTC; 0.6 mm/h of rain from hour 30 to 33."""
    made = []
    for number in range(hours * 60 // step_min):
        when = START + timedelta(minutes=number * step_min)
        hour = number * step_min / 60
        swing = math.cos(2 * math.pi * (hour - 15) / 24)
        rain = 0.6 * step_min / 60 if 30 <= hour < 34 else 0.0
        made.append(
            [
                when.strftime("%Y-%m-%dT%H:%MZ"),
                f"{12 + 5 * swing:.2f}",
                f"{75 - 15 * swing:.1f}",
                f"{4 + math.sin(hour):.2f}",
                f"{rain:.4g}",
                f"{1015 + hour / 40:.2f}",
            ]
        )
    return made


def text(body: list[list[str]], header: str = HEADER) -> str:
    """Header and rows as comma-separated text."""
    return "\n".join([header, *(",".join(row) for row in body)]) + "\n"


def save(folder: Path, content: str | bytes, name: str = "weather.csv") -> Path:
    """The content in a file."""
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def epw_text(years: tuple[int, ...] = (2019,), *, rain: str = "0.2", hours: int = 8760) -> str:
    """An EPW file at 45 N, 15 E, zone +1, sun symmetric about noon; months take `years` in turn."""
    head = ["LOCATION,Invented Quay,-,XXX,TEST,000000,45.0,15.0,1.0,3.0"]
    head += ["DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0"]
    head += ["HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,made for a test", "COMMENTS 2,"]
    head += ["DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31"]
    lines = []
    for number in range(hours):
        day = datetime(2019, 1, 1, tzinfo=UTC) + timedelta(hours=number)
        light = max(0.0, 700 * math.cos(2 * math.pi * (day.hour + 0.5 - 12) / 24))
        cells = ["0"] * 35
        cells[:6] = [str(years[day.month % len(years)]), str(day.month), str(day.day), str(day.hour + 1), "0", "?"]
        cells[6:10] = ["11.5", "8.1", "79", "101100"]
        cells[12:16] = ["310", f"{light:.1f}", f"{light * 0.8:.1f}", f"{light * 0.3:.1f}"]
        cells[20:24] = ["180", "3.3", "5", "5"]
        cells[33:35] = [rain, "1"]
        lines.append(",".join(cells))
    return "\n".join([*head, *lines]) + "\n"
