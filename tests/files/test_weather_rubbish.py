"""Broken weather files of many kinds: each is refused in words, never read wrongly, never a traceback."""

from __future__ import annotations

import gzip
import zlib
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.files.weather import load_weather, registry
from tests.files.weather_text import HEADER, START, rows, save, text

DEW_HEADER = HEADER.replace("humidity[%]", "dew_point[degC]")


def changed(row: int, cell: int, value: str) -> Callable[[], str]:
    def make() -> str:
        body = rows()
        body[row][cell] = value
        return text(body)

    return make


def without(first: int, count: int) -> Callable[[], str]:
    return lambda: text(rows()[:first] + rows()[first + count :])


def headed(old: str, new: str) -> Callable[[], str]:
    return lambda: text(rows(), HEADER.replace(old, new))


def scaled(cell: int, work: Callable[[float], float]) -> Callable[[], str]:
    return lambda: text([[*row[:cell], f"{work(float(row[cell])):.3f}", *row[cell + 1 :]] for row in rows()])


RUBBISH: dict[str, tuple[Callable[[], str | bytes], str]] = {
    "empty": (lambda: b"", "an empty file"),
    "blank lines": (lambda: "\n\n  \n", "an empty file"),
    "comments only": (lambda: "# source: nobody\n", "unknown format|no header line"),
    "header only": (lambda: HEADER + "\n", "no row with a time"),
    "binary": (lambda: bytes(range(256)) * 40, "binary data"),
    "picture": (lambda: b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "binary data"),
    "utf-16": (lambda: text(rows()).encode("utf-16"), "UTF-16"),
    "truncated gzip": (lambda: gzip.compress(text(rows()).encode())[:-60], "a gzip file cut short"),
    "gzip head only": (lambda: b"\x1f\x8b", "gzip file cut short"),
    "damaged gzip": (lambda: gzip.compress(text(rows()).encode())[:40] + b"\xff" * 60, "damaged gzip|cut short"),
    "gzip with rubbish after it": (lambda: gzip.compress(text(rows()).encode()) + b"rubbish", "a damaged gzip file"),
    "a web page": (lambda: "<!DOCTYPE html><html><body>Sign in</body></html>", "unknown format, beginning '<!DOCTYPE"),
    "semicolons": (lambda: text(rows()).replace(",", ";"), "semicolons or tabs between the columns"),
    "tabs": (lambda: text(rows()).replace(",", "\t"), "semicolons or tabs"),
    "decimal commas": (changed(7, 1, "11,5"), r"line 9: found 7 cells; allowed: 6"),
    "quoted decimal commas": (changed(7, 1, '"11,5"'), r"air\[degC\], line 9: found '11,5'; allowed: a number"),
    "unclosed quote": (changed(7, 1, '"11.5'), "broken quoting|a quote that spans lines"),
    "words for numbers": (changed(7, 3, "calm"), r"wind\[m/s\], line 9: found 'calm'"),
    "thousands with underscore": (changed(7, 5, "1_013"), "found '1_013'; allowed: a number"),
    "infinite": (changed(7, 1, "inf"), "air, line 9: found 1e.15 degC; allowed: -50 to 57 degC"),
    "huge number": (changed(7, 1, "1e9"), r"air, line 9: found 1e\+09 degC"),
    "missing code": (changed(7, 1, "-999"), "looks like a code for a missing value"),
    "negative rain": (changed(7, 4, "-0.2"), "rain, line 9: found -0.2 mm; allowed: 0 to 300 mm"),
    "steam": (changed(7, 1, "45"), "% at 45.0 degC, so a dew point of"),
    "humidity of 140": (changed(7, 2, "140"), "humidity, line 9: found 140 %; allowed: 1 to 102 %"),
    "Fahrenheit as Celsius": (scaled(1, lambda c: c * 1.8 + 42), "looks like Fahrenheit"),
    "fraction as percent": (scaled(2, lambda p: p / 100), r"look like fractions: write humidity\[1\]"),
    "inches of mercury as hPa": (scaled(5, lambda p: p / 33.86), "inches of mercury about 29.9"),
    "unknown unit": (headed("air[degC]", "air[degR]"), r"the unit 'degR'; allowed: air\[degC\]"),
    "no unit": (headed("wind[m/s]", "wind"), "header, wind: found no unit.*Write the unit in the header"),
    "unit of another kind": (headed("rain[mm]", "rain[hPa]"), "the unit 'hPa'; allowed: rain"),
    "unknown column": (headed("humidity", "humiditee"), r"humiditee: found an unknown column.*did you mean humidity\?"),
    "column twice": (headed("pressure[hPa]", "air[degF]"), "air: found the column twice"),
    "no rain column": (headed("rain[mm]", "wind_direction"), "no column rain"),
    "no humidity": (headed("humidity[%]", "wind_direction"), "no column dew_point or humidity"),
    "unknown zone": (headed("time", "time[Mars/Olympus]"), r"'Mars/Olympus'; allowed: an IANA time zone"),
    "time without zone": (lambda: text(rows()).replace("Z,", ","), r"\(a time without a zone\)"),
    "day first": (lambda: text(rows()).replace("2026-04-18T", "18/04/2026 "), r"\(no time\)"),
    "date without hour": (changed(7, 0, "2026-04-18"), r"line 9: found '2026-04-18' \(no date with an hour\)"),
    "year 0001": (changed(7, 0, "0001-04-18T07:00Z"), "the year 1"),
    "year 9999": (changed(7, 0, "9999-12-31T23:59+00:00"), "the year 9999"),
    "hour twice": (changed(7, 0, "2026-04-18T06:00Z"), "line 9: found 2026-04-18T06:00Z a second time"),
    "missing wet hour": (without(31, 1), "rain, from 2026-04-19T07:00Z: found 1 h missing.*missing is not dry"),
    "three dry hours missing": (without(5, 3), "rain, from 2026-04-18T05:00Z: found 3 h missing"),
    "a day missing": (without(40, 24), "air, dew_point, wind, rain, from 2026-04-19T16:00Z: found 24 h missing"),
    "jump back": (lambda: text(rows()[24:48] + rows()[:24] + rows()[48:]), "2026-04-18T00:00Z after a later time"),
    "newest first": (lambda: text(rows()[::-1]), "the newest row first; allowed: rows in order of time"),
    "every three hours": (lambda: text(rows()[::3]), "a row every 180 minutes"),
    "special report between": (changed(7, 0, "2026-04-18T06:31Z"), "29 min beside the step|31 min beside the step"),
    "dew above air": (
        lambda: text([[r[0], r[1], f"{float(r[1]) + 4:.1f}", *r[3:]] for r in rows()], DEW_HEADER),
        "allowed: a dew point not above the air temperature",
    ),
    "huge line": (lambda: HEADER + "\n" + "9" * 3_000_000, "found 1 cells; allowed: 6"),
    "huge quoted field": (lambda: HEADER + '\n"' + "9" * 3_000_000 + '",1,1,1,1,1', "field larger|no time"),
    "short rows": (lambda: text([row[:4] for row in rows()]), "lines 2, 3, 4, 5 and 68 more: found 4 cells"),
    "nothing but missing": (lambda: text([[row[0], *["NA"] * 5] for row in rows()]), "72 h missing"),
    "one row": (lambda: text(rows()[:1]), ""),
    "century apart": (lambda: text([rows()[0], rows()[1], ["2190-01-01T00:00Z", *rows()[2][1:]]]), "h missing"),
}  # fmt: skip


@pytest.mark.parametrize("kind", [kind for kind in RUBBISH if kind != "one row"])
def test_rubbish_is_refused_in_words(tmp_path: Path, kind: str) -> None:
    make, says = RUBBISH[kind]
    with pytest.raises(InputError, match=says) as caught:
        load_weather(save(tmp_path, make()), site=None)
    for problem in caught.value.problems:
        assert problem.where
        assert problem.found
        assert problem.allowed
        assert problem.advice.endswith((".", "?"))
        assert len(str(problem)) < 700


def test_all_problems_come_at_once(tmp_path: Path) -> None:
    body = rows()
    body[3][1] = "warm"
    body[5][4] = "-1"
    body[7][0] = "yesterday noon"
    body[20][3] = "400"
    del body[60]
    del body[40:50]
    with pytest.raises(InputError, match="warm") as caught:
        load_weather(save(tmp_path, text(body)), site=None)
    told = str(caught.value)
    for part in ("'warm'", "-1 mm", "yesterday noon", "400 m/s", "10 h missing"):
        assert part in told


def test_all_faults_of_a_header_come_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="found the unit 'degR'") as caught:
        load_weather(save(tmp_path, text(rows(), "time,air[degR],humid[%],wind,shower[mm],pressure[hPa]")), site=None)
    told = [problem.where + " " + problem.found for problem in caught.value.problems]
    assert len(told) == 6
    assert any("no column rain" in line for line in told)


def test_one_row_is_one_hour(tmp_path: Path) -> None:
    assert load_weather(save(tmp_path, RUBBISH["one row"][0]()), site=None).hours == 1


def test_an_unpacked_size_beyond_the_bound_is_refused_before_it_fills_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = zlib.compressobj(9, wbits=31)
    block = b"0" * 1_000_000
    bomb = b"".join([*(engine.compress(block) for _ in range(210)), engine.flush()])
    assert len(bomb) < 400_000
    path = save(tmp_path, bomb, "bomb.csv.gz")
    with pytest.raises(InputError, match="more than 200 MB of text"):
        load_weather(path, site=None)
    monkeypatch.setattr(registry, "MAX_BYTES", 1000)
    with pytest.raises(InputError, match="more than 0 MB"):
        load_weather(save(tmp_path, text(rows())), site=None)


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"absent\.csv: found No such file"):
        load_weather(tmp_path / "absent.csv", site=None)
    with pytest.raises(InputError, match="directory"):
        load_weather(tmp_path, site=None)
    with pytest.raises(InputError, match="null byte"):
        load_weather("a\x00b", site=None)


def test_a_window_needs_its_offset_and_its_order(tmp_path: Path) -> None:
    path = save(tmp_path, text(rows()))
    with pytest.raises(InputError, match=r"start of the window.*State the offset"):
        load_weather(path, site=None, start=datetime(2026, 4, 18))  # noqa: DTZ001  (the point of the test)
    with pytest.raises(InputError, match="before its start"):
        load_weather(path, site=None, start=START + timedelta(days=1), end=START)
