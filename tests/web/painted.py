"""A log of a job that went as planned, up to some coat: every step, every mix with its kit, every coat."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

from boottop.job.board import BoardSystem, BoardTable, BoardTask
from boottop.job.coding import time_text
from boottop.plan.tasks import COAT_KIND
from tests.web.made_events import event

STEP_KINDS = {"strip": "stripped", "abrade": "abraded", "mask": "masked", "wipe": "wiped"}
ROLES = {kind: role for role, kind in COAT_KIND.items()}
KIT_L = 0.7


def painted(table: BoardTable, *, coats: int) -> list[dict[str, Any]]:
    """Events of the plan's own tasks, until so many coats are on."""
    found: list[dict[str, Any]] = []
    for task in sorted(table.tasks, key=lambda one: one.start_s):
        if coats == 0:
            break
        if task.kind in ROLES and task.zone is not None:
            coats -= 1
            found += _coat(table, task)
        elif task.kind == "haul_out":
            found.append(_at(task.end_s, "hauled_out"))
        elif task.kind in STEP_KINDS:
            sides = [zone.name for zone in table.zones if zone.kind == "side"]
            found += [
                _at(task.end_s, STEP_KINDS[task.kind], zone=zone) for zone in ([task.zone] if task.zone else sides)
            ]
    return [one | {"order": number} for number, one in enumerate(found)]


def _coat(table: BoardTable, task: BoardTask) -> Iterator[dict[str, Any]]:
    system = _system(table, task)
    data: dict[str, Any] = {"product": system.product, "coat": task.coat or 1}
    yield _at(task.start_s, "coat_started", zone=task.zone, data=data)
    kits = max(1, round(system.litres_per_coat / KIT_L))
    each, long_s = round(system.litres_per_coat / kits, 3), (task.end_s - task.start_s) // kits
    for kit in range(kits):
        mixed_s = task.start_s + kit * long_s
        mix = _at(
            mixed_s, "batch_mixed", data={"product": system.product, "litres": each, "kit": f"{task.key} {kit + 1}"}
        )
        yield mix
        yield _at(mixed_s + long_s, "batch_done", data={"batch": mix["id"], "thrown_l": 0.0})
    yield _at(task.end_s, "coat_finished", zone=task.zone, data=data | {"litres": round(each * kits, 3)})


def _system(table: BoardTable, task: BoardTask) -> BoardSystem:
    zone = next(one for one in table.zones if one.name == task.zone)
    return next(one for one in zone.systems if one.role == ROLES[task.kind])


def _at(time_s: int, kind: str, **rest: Any) -> dict[str, Any]:
    at = time_text(datetime.fromtimestamp(time_s, UTC))
    return event(kind, **({"data": {}, "happened": at, "recorded": at} | rest))
