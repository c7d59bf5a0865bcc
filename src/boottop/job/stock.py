"""Open batches and what is left in the tins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from boottop.job.board import BoardSystem, BoardTable
from boottop.job.nexts import BatchClock, Litres
from boottop.job.slots import HAIR, slot_at
from boottop.job.state import Batch, Coat, State

MILD_C = 20.0
"""A batch whose temperature was not measured is reckoned as warm as this, or as the warmest surface then."""

USED_BOUNDS = (0.5, 2.0)


def batch_clocks(state: State, table: BoardTable, *, now_s: int) -> tuple[BatchClock, ...]:
    """The clocks of the open batches of products that the table has, in order of mixing."""
    systems = _systems(table)
    return tuple(
        _clock(batch, systems[batch.product], table=table, now_s=now_s)
        for batch in state.batches
        if batch.done_s is None and batch.product in systems
    )


def _systems(table: BoardTable) -> dict[str, BoardSystem]:
    found: dict[str, BoardSystem] = {}
    for zone in table.zones:
        for system in zone.systems:
            found.setdefault(system.product, system)
    return found


def _clock(batch: Batch, system: BoardSystem, *, table: BoardTable, now_s: int) -> BatchClock:
    batch_c = _assumed_c(table, batch.mixed_s) if batch.batch_c is None else batch.batch_c
    life_min = pot_life_min(system.pot_life_min, batch_c)
    return BatchClock(
        batch=batch.id,
        product=batch.product,
        litres=batch.litres,
        mixed_s=batch.mixed_s,
        use_by_s=batch.mixed_s + int(life_min * 60.0 * system.usable_pot_life + HAIR),
        gone_s=batch.mixed_s + int(life_min * 60.0 + HAIR),
        stir_s=_stir_s(batch.mixed_s, system.stir_every_min, now_s=now_s),
        batch_c=batch_c,
        measured=batch.batch_c is not None,
    )


def _assumed_c(table: BoardTable, at_s: int) -> float:
    slot = slot_at(table, at_s)
    if slot is None:
        return MILD_C
    return max(MILD_C, *(system.surface_c[slot] for zone in table.zones for system in zone.systems))


def _stir_s(mixed_s: int, every_min: float, *, now_s: int) -> int | None:
    """The next whole interval after mixing that is not past, None where nothing settles."""
    every_s = int(every_min * 60.0)
    if every_s < 1:
        return None
    return mixed_s + max(1, -(-(now_s - mixed_s) // every_s)) * every_s


def pot_life_min(pairs: Sequence[tuple[float, float]], batch_c: float) -> float:
    """Pot life at a temperature, minutes: straight between the pairs of the table, the end value outside them.

    >>> pot_life_min(((10.0, 90.0), (20.0, 60.0)), 15.0)
    75.0
    """
    if batch_c <= pairs[0][0]:
        return pairs[0][1]
    for (low_c, low_min), (high_c, high_min) in pairwise(pairs):
        if batch_c <= high_c:
            return low_min + (high_min - low_min) * ((batch_c - low_c) / (high_c - low_c))
    return pairs[-1][1]


def litres_of(state: State, table: BoardTable) -> tuple[Litres, ...]:
    """Litres of every product of the table, bought against needed, in the order in which the zones name them.

    A coat that was started counts as needed until it is finished. What is still needed is reckoned with the litres
    that the finished coats took, held to half and twice the plan (the bounds: common practice, no source).
    """
    bought = {stock.product: stock.litres for stock in table.stock}
    mixed = {material.product: material.mixed_l for material in state.materials}
    return tuple(
        _litres(state, table, product, bought_l=bought.get(product, 0.0), mixed_l=mixed.get(product, 0.0))
        for product in _systems(table)
    )


def _litres(state: State, table: BoardTable, product: str, *, bought_l: float, mixed_l: float) -> Litres:
    ratio, pots_l = _used_ratio(state, table, product), 0.0
    for batch in state.batches:
        if batch.product == product and batch.done_s is None:
            pots_l += batch.litres
    left_l, needed_l = max(0.0, bought_l - mixed_l), _due_l(state, table, product) * ratio
    return Litres(
        product=product,
        bought_l=bought_l,
        mixed_l=mixed_l,
        in_pots_l=pots_l,
        left_l=left_l,
        needed_l=needed_l,
        used_ratio=ratio,
        enough=left_l + pots_l >= needed_l - HAIR,
    )


def _finished(state: State, table: BoardTable, product: str) -> Iterator[tuple[BoardSystem, list[Coat]]]:
    """Every system of a product with its finished coats, zone by zone."""
    for zone in table.zones:
        done = state.zone(zone.name)
        for system in zone.systems:
            if system.product == product:
                coats = done.coats if done is not None else ()
                yield system, [one for one in coats if one.product == product and one.finished_s is not None]


def _due_l(state: State, table: BoardTable, product: str) -> float:
    due_l = 0.0
    for system, finished in _finished(state, table, product):
        highest = max((one.coat for one in finished), default=0)
        due_l += max(0, system.coats - highest) * system.litres_per_coat
    return due_l


def _used_ratio(state: State, table: BoardTable, product: str) -> float:
    planned_l = used_l = 0.0
    for system, finished in _finished(state, table, product):
        for one in finished:
            if one.litres is not None:
                planned_l, used_l = planned_l + system.litres_per_coat, used_l + one.litres
    ratio = used_l / planned_l if planned_l > 0.0 and used_l > 0.0 else 1.0
    return min(max(ratio, USED_BOUNDS[0]), USED_BOUNDS[1])
