"""A job with a board, without the minute that a plan takes: the invented table of the conformance cases."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

from boottop.job.board import BoardTable
from boottop.job.coding import table_dict
from boottop.job.conformance_tables import START, tables
from boottop.store.store import Store
from boottop.web.desk import BOARD_KIND, BOARD_NAME
from boottop.web.house import CLOCK_KIND, CLOCK_NAME, world_now

FAIR: BoardTable = tables()[0]
MORNING = START + timedelta(hours=11)
PORT, GEAR = FAIR.zones[0].name, FAIR.zones[1].name
COPPER = FAIR.zones[0].systems[0].product


def give_board(store: Store, job: str, *, at: datetime = MORNING, table: BoardTable = FAIR) -> None:
    """Put a table into the store as a finished plan leaves it, and set the clock of the job to a moment of it."""
    now = world_now()
    board = {"papers": "", "table": table_dict(table), "changes": []}
    clock = {"offset_s": round((at - now).total_seconds())}
    store.documents.put(job, json.dumps(board), kind=BOARD_KIND, name=BOARD_NAME, now=now)
    store.documents.put(job, json.dumps(clock), kind=CLOCK_KIND, name=CLOCK_NAME, now=now)
