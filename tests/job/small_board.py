"""A board table whose answers can be worked out by hand: two open days, one zone, every clock a whole number of slots.

A slot is a quarter of an hour. The film is tacky after 1 h (50 min in truth), takes the next coat until 4 h, is
rain-safe after 2 h, bears a stand after 10 h and the water after 15 h; a coat takes half an hour.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from boottop.job.board import BoardStock, BoardSystem, BoardTable, BoardTask, BoardZone
from boottop.job.events import Event, Json
from boottop.job.fold import fold
from boottop.job.learned import NOTHING, Learned
from boottop.job.next_step import board_at
from boottop.job.nexts import Board, NextStep
from boottop.windows.windows import RULE_TEXT, Rule
from tests.job.logs import at

START = datetime(2026, 6, 1, tzinfo=UTC)
START_S = int(START.timestamp())
COUNT, SLOT_S = 192, 900
ZONE, PAINT = "port side", "demo copper"
Line = tuple[float, str, Mapping[str, Json]]
COAT_ONE: dict[str, Json] = {"product": PAINT, "coat": 1}


def after(hours: float) -> datetime:
    """A moment so many hours from the beginning of the table."""
    return START + timedelta(hours=hours)


def seconds(hours: float) -> int:
    """The same in epoch seconds."""
    return START_S + round(hours * 3600)


def _lag(slots: int) -> tuple[int, ...]:
    return tuple(min(mark + slots, COUNT + 1) for mark in range(COUNT + 1))


def system(**changes: Any) -> BoardSystem:
    """Three coats of one product."""
    made = BoardSystem(
        product=PAINT, role="antifouling", coats=3, coat_slots=2, one_day=False, litres_per_coat=1.5,
        ready=_lag(4), ready_middle=_lag(4), overcoat_until=_lag(16), rain_safe=_lag(8), stands_safe=_lag(40),
        immersion=_lag(60), rule=(0,) * COUNT, margin_k=(6.0,) * COUNT, surface_c=(15.0,) * COUNT, dew_margin_k=3.0,
        pot_life_min=((10.0, 90.0), (20.0, 60.0)), usable_pot_life=0.75, stir_every_min=10.0, activation=False,
        activation_before_launch_h=None,
    )  # fmt: skip
    return replace(made, **changes)


def table(*systems: BoardSystem, tasks: Sequence[BoardTask] = (), **changes: Any) -> BoardTable:
    """One zone with these systems, the antifouling alone without any."""
    zone = BoardZone(
        name=ZONE, kind="side", side="port", area_m2=12.0, waits_for_stands=None, systems=systems or (system(),)
    )
    made = BoardTable(
        job="invented", boat="Nobody", made_s=START_S, start_s=START_S, slot_s=SLOT_S, count=COUNT, zone_name="UTC",
        weather="invented", weather_age_h=None, rain_mm=(0.0,) * COUNT, zones=(zone,), tasks=tuple(tasks),
        stock=(BoardStock(product=PAINT, litres=6.0),), rules=tuple(RULE_TEXT[rule] for rule in Rule),
        midnights=(96, 192),
    )  # fmt: skip
    return replace(made, **changes)


def log(*lines: Line) -> list[Event]:
    """Events of the zone: (hour, kind, fields), those of a coat with the product filled in."""
    coats = ("coat_started", "coat_finished", "touch_test")
    return [
        at(after(hour), number, kind, zone=None if kind in ("rain", "hauled_out", "washed", "launched") else ZONE,
           **{**(COAT_ONE if kind in coats else {}), **data})
        for number, (hour, kind, data) in enumerate(lines)
    ]  # fmt: skip


PREPARED: tuple[Line, ...] = ((6.0, "abraded", {}), (6.5, "masked", {}), (7.0, "wiped", {}))
COATED: tuple[Line, ...] = (*PREPARED, (7.0, "coat_started", {}), (7.5, "coat_finished", {"litres": 1.8}))


def board(events: Sequence[Event], hours: float, at_table: BoardTable | None = None, **rest: Learned) -> Board:
    """The board at an hour of the table."""
    return board_at(fold(events), at_table or table(), now_s=seconds(hours), learned=rest.get("learned", NOTHING))


def step(events: Sequence[Event], hours: float, at_table: BoardTable | None = None, **rest: Learned) -> NextStep:
    """The next step of the one zone."""
    return board(events, hours, at_table, **rest).steps[0]
