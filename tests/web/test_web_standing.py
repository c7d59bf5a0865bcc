"""A plan that failed tells why until the sheet is changed; then it is worked out anew."""

from __future__ import annotations

import threading
from datetime import datetime
from pathlib import Path

from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.web.new_jobs import demo_files, make_demo
from boottop.web.papers import SHEET
from tests.web.serving import no_weather, running

REASON = "This is a test."


def test_what_failed_with_an_older_sheet_is_told_no_longer(tmp_path: Path) -> None:
    go_on = threading.Event()
    go_on.set()

    def weather(job: Job, now: datetime) -> Weather:
        go_on.wait(20.0)
        return no_weather(job, now)

    with running(tmp_path, weather=weather) as server:
        house, keeper = server.house, server.keeper()
        job = make_demo(house)
        house.desk.begin(job, now=house.job_now(job))
        failed = house.desk.wait(job, 20.0)
        assert failed.state == "failed"
        for page in ("weather", "plan"):
            assert REASON in keeper.get(f"/jobs/{job}/{page}").text
        assert house.desk.standing(job) == failed, "looking does not begin the same again"

        go_on.clear()
        sheet = demo_files()["job.toml"] + b"\n# Changed.\n"
        house.cabinet.save(job, SHEET, sheet, now=house.now())
        assert house.desk.standing(job).state == "none"
        seen = keeper.get(f"/jobs/{job}/weather").text
        assert REASON not in seen
        assert "Working it out" in seen

        go_on.set()
        again = house.desk.wait(job, 20.0)
        assert (again.state, again.papers) == ("failed", house.cabinet.papers(job).version)
        assert again.papers != failed.papers
