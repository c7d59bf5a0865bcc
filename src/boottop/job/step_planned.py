"""When the plan has a step: of several tasks of one kind on a zone the one that lies where the step does."""

from __future__ import annotations

from boottop.job.situation import Situation
from boottop.plan.tasks import COAT_KIND


def planned(place: Situation, kind: str) -> int | None:
    """When the plan starts a task of a kind, on this zone or on the whole boat; None where it has none.

    A zone may be abraded and wiped several times: meant is the task after the last coat that is on and before the
    next, in the order of the plan, whatever its times. Without the last coat in the plan the log's own time counts.
    """
    last = place.last
    after_s = before_s = None
    if last is not None:
        after_s = planned_coat(place, product=last.product, coat=last.coat)
        after_s = last.finished_s if after_s is None else after_s
    if not place.film_complete:
        same = last is not None and last.product == place.due.product
        before_s = planned_coat(place, product=place.due.product, coat=last.coat + 1 if same and last else 1)
    for task in place.table.tasks:
        whole = task.zone is None
        here = task.zone == place.zone.name and (after_s is None or task.start_s >= after_s)
        if task.kind == kind and (whole or (here and (before_s is None or task.start_s < before_s))):
            return task.start_s
    return None


def planned_coat(place: Situation, *, product: str | None, coat: int | None) -> int | None:
    """When the plan starts a coat of a product on this zone, None where it has none."""
    role = next((one.role for one in place.zone.systems if one.product == product), None)
    if role is None:
        return None
    found = (
        task.start_s
        for task in place.table.tasks
        if task.kind == COAT_KIND[role] and task.zone == place.zone.name and task.coat == coat
    )
    return next(found, None)
