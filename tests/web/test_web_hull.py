"""The Hull page: a mesh brought in, looked at, kept as a document, and named by the sheet; tape and stands shown."""

from __future__ import annotations

import re

import pytest

from boottop.web.new_jobs import demo_files, make_demo
from tests.files.test_hull_offsets import TRADE
from tests.measure.meshes import sloop, stl_bytes
from tests.web.serving import Running


@pytest.fixture
def wren(server: Running) -> Running:
    """A server with the demonstration, not worked out."""
    server.job = make_demo(server.house)
    return server


MESH = stl_bytes(sloop(), scale=1000.0)
LOOK = {"file": "sloop.stl", "unit": "mm", "bow": "-x", "up": "+z", "height": "0 m"}


def test_from_a_file_to_the_sheet(wren: Running) -> None:
    skipper, job = wren.paired("skipper"), wren.job
    page = f"/jobs/{job}/hull"
    first = skipper.get(page).text
    assert "With a tape" in first
    assert "<svg" in first
    brought = skipper.post(f"{page}/documents", files={"files": ("sloop.stl", MESH)})
    assert brought.status_code == 303
    assert "sloop.stl" in skipper.get(page).text
    asked = skipper.get(page, params={"file": "sloop.stl"}).text
    assert asked.count("a guess") == 3
    assert "Say where she floats" in asked
    looked = skipper.get(page, params=LOOK).text
    assert "running gear" in looked
    assert "Keep it as a hull document" in looked
    guessed = skipper.get(page, params=LOOK | {"bow": ""}).text
    assert "Not kept yet" in guessed
    kept = skipper.post(page, data=LOOK)
    assert kept.status_code == 303
    assert kept.headers["location"] == f"{page}?file=sloop.hull.toml#found"
    assert "measure.hull_file" in skipper.get(kept.headers["location"].partition("#")[0]).text
    sheet = demo_files()["job.toml"].decode()
    start, end = sheet.index("[measure]"), sheet.index("[[appendages]]")
    sheet = f'{sheet[:start]}[measure]\nmethod = "hull_file"\nhull_file = "sloop.hull.toml"\n\n{sheet[end:]}'
    sheet = re.sub(r'\[\[appendages\]\]\nname = "(fin keel|rudder)".*?\n\n', "", sheet, flags=re.S)
    sheet = sheet.replace("count = 6\nstand_set = 1", 'spots = ["both, 2.5 m, 1.6 m"]')
    skipper.post(f"/jobs/{job}/documents", files={"files": ("job.toml", sheet.encode())})
    now = skipper.get(page).text
    assert "mesh sloop.stl" in now
    assert "next time ask for" in now
    assert skipper.get(f"/jobs/{job}/areas").text.count("things to put right") == 0


def test_rubbish_and_strangers(wren: Running) -> None:
    skipper, guest, page = wren.paired("skipper"), wren.paired("guest", "Eve"), f"/jobs/{wren.job}/hull"
    skipper.post(f"{page}/documents", files={"files": ("bad.stl", b"solid nothing" * 9)})
    told = skipper.get(page, params={"file": "bad.stl"})
    assert told.status_code == 422
    assert "without a facet" in told.text
    for name in ("../job.toml", "job.toml", "/etc/hostname", "none.stl"):
        assert skipper.get(page, params={"file": name}).status_code == 422
    assert skipper.get(page, params=LOOK | {"file": "bad.stl", "unit": "<b>"}).status_code == 422
    assert guest.get(page, params={"file": "bad.stl"}).status_code == 200  # shown, but not worked on for a guest
    assert "Bring it in" not in guest.get(page).text
    assert guest.post(page, data=LOOK).status_code == 403


def test_a_table_of_offsets(wren: Running) -> None:
    skipper, page = wren.paired("skipper"), f"/jobs/{wren.job}/hull"
    skipper.post(f"{page}/documents", files={"files": ("trade.csv", TRADE.encode())})
    looked = skipper.get(page, params={"file": "trade.offsets.csv"}).text
    assert "Keep it as a hull document" in looked
    assert skipper.post(page, data={"file": "trade.offsets.csv"}).status_code == 303
    assert "table of offsets" in skipper.get(page, params={"file": "trade.hull.toml"}).text
