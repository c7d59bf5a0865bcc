"""A finished demonstration in a store: planned, logged from its plan, photographed, read, and used for some years."""

from __future__ import annotations

from boottop.base.errors import BoottopError
from boottop.demo.finished import demo_events, demo_facts, demo_film, demo_photo, demo_visits
from boottop.demo.finished_facts import PHOTO_TITLES
from boottop.files.record_docs import write_facts, write_film, write_visits
from boottop.web.house import House
from boottop.web.new_jobs import make_demo
from boottop.web.record_desk import anchor

PLAN_WAIT_S = 120.0
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"INVENTED" * 64


def make_finished_demo(house: House) -> str:
    """The demonstration with an invented log to its launch, and four years after it; the id of the job."""
    job = make_demo(house)
    house.desk.begin(job, now=house.job_now(job))
    standing = house.desk.wait(job, PLAN_WAIT_S)
    board = house.desk.board(job)
    if board is None:
        raise BoottopError(f"the demonstration was not planned: {standing.words or standing.problems}")
    house.set_clock(job, 0)
    store, now = house.store, house.now()
    pictures = [demo_photo(title) for title in PHOTO_TITLES[:-1]]
    pictures[2] = demo_photo(PHOTO_TITLES[2], camera="2022:04:29 07:01:12")
    kept = [store.photos.put(job, one, content_type="image/jpeg", now=now) for one in pictures]
    kept.append(store.photos.put(job, HEIC, content_type="image/heic", now=now))
    photos = [(one.sha256, one.size_bytes) for one in kept]
    store.append(job, demo_events(board.table, job=job, photos=photos), now=now).check()
    facts = write_facts(store, job, demo_facts(), now=now)
    anchor(house, job, words="Record: papers and explanations (invented).", sha256=facts, who="demonstration")
    visits = write_visits(store, job, demo_visits(), now=now)
    anchor(house, job, words="History: visits written down (invented).", sha256=visits, who="demonstration")
    digest = write_film(store, job, demo_film(), name="demonstration.csv", now=now)
    words = "Film readings brought in (invented): demonstration.csv, 60 readings."
    anchor(house, job, words=words, sha256=digest, who="demonstration")
    return job
