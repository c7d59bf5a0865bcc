"""The record's chapter on cost: the answer, the ways, what carries them and what would turn it, with two figures."""

from __future__ import annotations

from collections.abc import Callable

from boottop.base.errors import InputError
from boottop.base.quantities import System
from boottop.report.cost_drawing import PRINT, draw_groups, draw_spread
from boottop.report.cost_view import CostView, lede_of, turning_of, ways_of, yearly_of
from boottop.report.record_words import Block, heading, text

WIDTH_PX = 860
GROUPS, SPREAD = "cost-groups.svg", "cost-spread.svg"


def cost_blocks(make: Callable[[], CostView], *, system: System) -> tuple[tuple[Block, ...], dict[str, str]]:
    """Blocks and drawings of the chapter; where it cannot be reckoned, the reason instead."""
    try:
        view = make()
    except InputError as error:
        reasons = "; ".join(f"{one.where}: {one.found}" for one in error.problems)
        return (heading("Does it pay"), text(f"Not reckoned: {reasons}.")), {}
    drawings = {
        GROUPS: draw_groups(view.decision, palette=PRINT, width_px=WIDTH_PX),
        SPREAD: draw_spread(view.decision, palette=PRINT, width_px=WIDTH_PX),
    }
    blocks = (
        heading("Does it pay"),
        text(lede_of(view)),
        _ways(view),
        Block(kind="list", rows=tuple((line,) for line in (*turning_of(view), *_fuel(view, system)))),
        Block(kind="drawing", text=GROUPS, rows=(("What carries the cost, by kind; letters as in the table",),)),
        Block(kind="drawing", text=SPREAD, rows=(("Cost of each way, 5 to 95 % of the draws",),)),
        Block(kind="list", rows=tuple((note,) for note in view.decision.case.notes)),
    )
    return blocks, drawings


def _ways(view: CostView) -> Block:
    rows = ways_of(view)
    return Block(
        kind="table",
        heads=("", "Way", "Costs", "5 to 95 %", "A year", "Saves", "Ahead from"),
        aligns=("l", "l", "r", "r", "r", "r", "l"),
        widths=(0.3, 2.4, 1.1, 2.0, 1.0, 1.1, 1.2),
        rows=tuple(
            (one["letter"], one["name"], one["cost"], one["spread"], one["annual"], one["saving"], one["ahead"])
            for one in rows
        ),
    )


def _fuel(view: CostView, system: System) -> list[str]:
    return [
        f"{one['name']}: {one['litres']} of fuel and {one['co2']} of CO2 a year because of the bottom."
        for one in yearly_of(view, system)
    ]
