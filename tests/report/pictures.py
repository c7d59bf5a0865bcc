"""What tests of the picture share: the invented sloop as a shape, and a little board with times to count on."""

from __future__ import annotations

from boottop.job.board import BoardTable, BoardZone
from boottop.job.conformance_tables import START, tables
from boottop.job.events import Event
from boottop.job.fold import fold
from boottop.job.state import State
from boottop.measure.build import build_hull
from boottop.measure.hull import Hull
from boottop.report.flat_map import Shape
from boottop.report.hull_shape import likeness
from tests.measure.boats import sloop

FAIR: BoardTable = tables()[0]
START_S = int(START.timestamp())
DRY_UM = {"hull copper": 70.0, "undercoat": 50.0}


def hull() -> Hull:
    """The sloop's zones."""
    return build_hull(sloop())


def shape() -> Shape:
    """The sloop as she is drawn."""
    return likeness(sloop(), hull())


def zone(name: str) -> BoardZone:
    """A zone of the little board."""
    return next(one for one in FAIR.zones if one.name == name)


def empty() -> State:
    """A log in which nothing stands."""
    return fold(())


def state(*events: Event) -> State:
    """What a log says."""
    return fold(events)
