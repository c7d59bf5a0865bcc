"""What must be right with a job before its network can be built; everything wrong at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from graphlib import CycleError, TopologicalSorter

from boottop.base.clock import SLOT_S
from boottop.base.errors import InputError, Problem
from boottop.coating.scope import zones_for
from boottop.measure.hull import Hull, Zone
from boottop.plan.inputs import ExtraJob, PlanInput
from boottop.plan.network import Link
from boottop.plan.rules_zone import systems_for
from boottop.plan.tasks import TASK_KINDS


def coated_zones(inputs: PlanInput, hull: Hull) -> list[Zone]:
    """Zones that get a coating on this job."""
    return [zone for zone in hull.zones if zone.coated and zone.area_m2 > 0.0 and systems_for(inputs, hull, zone)]


def check_job(inputs: PlanInput, hull: Hull) -> None:
    """InputError with every problem of the crew's rates, of the own jobs, and of zones that coatings name."""
    unknown = list(_zone_problems(inputs, hull))
    problems = [
        *unknown,
        *([] if unknown else _no_zone_problems(coated_zones(inputs, hull))),
        *_rate_problems(inputs),
        *_lift_problems(inputs),
        *(problem for job in inputs.extra_jobs for problem in _extra_problems(inputs, job)),
    ]
    if problems:
        raise InputError(problems)


def check_order(links: Sequence[Link], names: Mapping[str, str]) -> None:
    """InputError when tasks wait for each other in a circle: own jobs put both before and after the same work."""
    waits: dict[str, list[str]] = {}
    for link in links:
        if not link.from_start and (link.earliest is not None or link.by_mode):
            waits.setdefault(link.after, []).append(link.before)
    try:
        TopologicalSorter(waits).prepare()
    except CycleError as error:
        ring = " after ".join(names[key] for key in reversed(error.args[1]))
        raise InputError(
            Problem(
                where="extra jobs",
                found=f"work that waits for itself: {ring}",
                allowed="an order in which each job can be done",
                advice="Take one of the `after` or `before` out.",
            )
        ) from None


def _no_zone_problems(zones: list[Zone]) -> Iterator[Problem]:
    if not zones:
        yield Problem(
            where="coatings",
            found="no zone of the hull that any of them covers",
            allowed="one zone at least",
            advice="Name a coating without zones to cover the whole hull, or name zones that the hull has.",
        )


def _rate_problems(inputs: PlanInput) -> Iterator[Problem]:
    needed = {"abrade", "wipe", "roll", "mask"}
    if inputs.wishes.strip:
        needed.add("strip")
    if any(system.sheet.activation_grit is not None for system in inputs.systems):
        needed.add("activate")
    for key in sorted(needed - set(inputs.crew.rates_m2_h) - set(inputs.crew.fixed_h)):
        yield Problem(
            where=f"crew, rate of work {key!r}",
            found="nothing",
            allowed='m2 per hour and person, such as "12 m2/h", or fixed hours',
            advice=f"Say how fast one person does it; the job needs {key!r}.",
        )
    for key, rate_m2_h in inputs.crew.rates_m2_h.items():
        if not rate_m2_h > 0.0:
            yield Problem(
                where=f"crew, rate of work {key!r}",
                found=f"{rate_m2_h:g} m2/h",
                allowed="more than 0 m2/h",
                advice="Leave the rate out where only the fixed hours count.",
            )


def _zone_problems(inputs: PlanInput, hull: Hull) -> Iterator[Problem]:
    for system in inputs.systems:
        try:
            zones_for(system, hull)
        except InputError as error:
            yield from error.problems


def _lift_problems(inputs: PlanInput) -> Iterator[Problem]:
    for when in inputs.yard.lift_slots:
        if when.timestamp() % SLOT_S:
            yield Problem(
                where="yard, lift slots",
                found=when.isoformat(),
                allowed="a full quarter of an hour",
                advice="Write the quarter of an hour at which the boat must be ready.",
            )


def _extra_problems(inputs: PlanInput, job: ExtraJob) -> Iterator[Problem]:
    hands = inputs.crew.people + inputs.hire.helper_people
    if job.people > hands:
        yield Problem(
            where=f"extra job {job.name!r}, people",
            found=str(job.people),
            allowed=f"at most {hands}, the crew and a hired helper",
            advice="Ask for fewer people, or have a helper on offer.",
        )
    others = [other.name for other in inputs.extra_jobs if other.name != job.name]
    for field, names, kinds in (
        ("after", job.after, [kind for kind in TASK_KINDS if kind not in ("extra", "launch")]),
        ("before", job.before, [kind for kind in TASK_KINDS if kind not in ("extra", "haul_out", "wash", "dry")]),
    ):
        for name in names:
            if name not in kinds and name not in others:
                yield Problem(
                    where=f"extra job {job.name!r}, {field}",
                    found=repr(name),
                    allowed=", ".join(kinds + others),
                    advice=_nearest(name, kinds + others),
                )


def _nearest(name: str, names: list[str]) -> str:
    near = get_close_matches(name, names, n=1)
    return f"Did you mean {near[0]!r}?" if near else "Use one of these names."
