"""The order of the job and every rule that holds it together, as a network for the solver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from boottop.climate.climate import Climate
from boottop.measure.hull import Hull
from boottop.plan.inputs import PlanInput, WindowKey
from boottop.plan.network import Apart, Link, Network, Resource, SameDay
from boottop.plan.rules_ashore import (
    bare_by,
    lay_activation,
    lay_extra_jobs,
    lay_haul_out,
    lay_launch,
    lay_mask,
    lay_stand_move,
    lay_strip,
    shut_lift_slots,
    zone_names,
)
from boottop.plan.rules_check import check_job, check_order, coated_zones
from boottop.plan.rules_draft import Draft, JobNetwork, Words
from boottop.plan.rules_modes import HELPER
from boottop.plan.rules_money import money_for, options_for
from boottop.plan.rules_progress import Begun, put_progress
from boottop.plan.rules_shared import Shared
from boottop.plan.rules_zone import Chain, is_hidden, is_small, lay_chain
from boottop.windows.windows import ZoneWindows

SIDES = ("port", "starboard")


def network_for(
    inputs: PlanInput,
    hull: Hull,
    *,
    windows: Mapping[WindowKey, ZoneWindows],
    climate: Climate,
    tent_climate: Climate | None = None,
    begun: Begun | None = None,
    shared: Shared | None = None,
) -> JobNetwork:
    """The whole job as tasks, links and money on the climate's grid; `begun`: with what was done of it; `shared`:
    arrays made for another network, of the same job in other weather.

    `windows` holds every coating on every zone that it covers, in the open, and under the tent where one is on
    offer; `tent_climate` says how fast water dries under that tent. InputError when the job itself is wrong; a job
    that cannot be done gives a network without a solution.
    """
    check_job(inputs, hull)
    shared = shared or Shared()
    calendar = shared.calendar(inputs, climate)
    draft = Draft(
        inputs=inputs, hull=hull, windows=windows, climate=climate, tent_climate=tent_climate, calendar=calendar,
        shared=shared,
    )  # fmt: skip
    haul = lay_haul_out(draft)
    chains = [lay_chain(draft, zone) for zone in coated_zones(inputs, hull)]
    _lay_free_zones(draft, haul, chains)
    launch = lay_launch(draft)
    _lay_pads(draft, haul, chains)
    _lay_days(draft, chains)
    _lay_launch_links(draft, launch, chains)
    lay_extra_jobs(draft, haul, launch)
    retreats = {} if begun is None else put_progress(draft, chains, begun)
    order = tuple((link.before, link.after, link.from_start) for link in draft.links)
    labels = {key: facts.label for key, facts in draft.facts.items()}
    shared.once(("order", order), lambda: check_order(draft.links, labels))
    _note(draft, chains)
    network = Network(
        count=draft.count,
        tasks=tuple(draft.tasks.values()),
        links=tuple(draft.links),
        same_day=tuple(draft.same_day),
        resources=_resources(inputs),
        options=options_for(draft),
        money=money_for(draft),
        apart=tuple(draft.apart),
    )
    return JobNetwork(
        network=network,
        facts=draft.facts,
        calendar=calendar,
        inputs=inputs,
        findings=tuple(draft.findings),
        drying=draft.drying,
        met=draft.met,
        tent_span=draft.tent_span,
        from_slot=draft.from_slot,
        retreats=retreats,
        why=draft.why,
        ahead=draft.ahead,
    )


def _resources(inputs: PlanInput) -> tuple[Resource, ...]:
    extra = {HELPER: inputs.hire.helper_people} if inputs.hire.helper_people else {}
    return (
        Resource(name="crew", capacity=inputs.crew.people, extra=extra),
        Resource(name="yard", capacity=1),
    )


def _side_groups(chains: Sequence[Chain]) -> dict[str, list[Chain]]:
    """Zones that are stripped and masked together: each side, and every zone on the centreline for itself."""
    groups: dict[str, list[Chain]] = {}
    for chain in chains:
        if not is_small(chain.zone):
            side = chain.zone.side
            groups.setdefault(side if side in SIDES else chain.zone.name, []).append(chain)
    return groups


def _lay_free_zones(draft: Draft, haul: str, chains: Sequence[Chain]) -> None:
    """Everything that the stands leave free: the sides (stripped, dried, masked) and the running gear."""
    for name, group in _side_groups(chains).items():
        strip = None
        if draft.inputs.wishes.strip:
            strip = lay_strip(draft, haul, name=name, zones=[chain.zone for chain in group])
        for chain in group:
            bare_by(draft, chain, haul=haul, strip=strip)
        lay_mask(draft, haul, name=name, chains=group)
    for chain in chains:
        if is_small(chain.zone) and not is_hidden(chain.zone):
            bare_by(draft, chain, haul=haul, strip=None)


def _lay_pads(draft: Draft, haul: str, chains: Sequence[Chain]) -> None:
    pads = [chain for chain in chains if is_hidden(chain.zone)]
    if pads:
        sides = [chain for chain in chains if not is_small(chain.zone)]
        move = lay_stand_move(draft, sides, pads)
        draft.follow(haul, move, "the boat must be ashore before stands are moved")


def _lay_days(draft: Draft, chains: Sequence[Chain]) -> None:
    """Coats that belong in one working day, sides that do or do not share a day, and which side goes first."""
    wishes, day = draft.inputs.wishes, draft.calendar.day
    sides = [chain for chain in chains if chain.zone.kind in ("side", "named") and chain.zone.side in SIDES]
    together = [chain for chain in sides if chain.antifouling] if wishes.sides == "one_day" else []
    if together:
        tasks = tuple(coat for chain in together for coat in chain.antifouling)
        rule = "both sides are to be coated in one working day, as asked"
        draft.same_day.append(SameDay(tasks=tasks, day=day, rule=rule, group="one day: both sides"))
    for chain in chains:
        if chain.system.sheet.one_day and chain not in together and len(chain.antifouling) > 1:
            rule = (
                f"all coats of {chain.zone.name} belong in one working day, says the sheet of {chain.system.sheet.name}"
            )
            tasks = chain.antifouling
            draft.same_day.append(SameDay(tasks=tasks, day=day, rule=rule, group=f"one day: {chain.zone.name}"))
    coats = {
        side: tuple(coat for chain in sides if chain.zone.side == side for coat in chain.antifouling) for side in SIDES
    }
    if not all(coats.values()):
        return
    if wishes.sides == "side_a_day":
        rule = "one side a day, as asked"
        draft.apart.append(
            Apart(first=coats["port"], second=coats["starboard"], day=day, rule=rule, group="one side a day")
        )
    if wishes.first_side != "either":
        _first_side(draft, coats)


def _first_side(draft: Draft, coats: Mapping[str, tuple[str, ...]]) -> None:
    first = draft.inputs.wishes.first_side
    second = SIDES[1 - SIDES.index(first)]
    draft.links.append(
        Link(
            before=coats[first][0],
            after=coats[second][0],
            earliest=draft.same_mark,
            latest=None,
            rule=f"{first} goes first, as asked",
            group="first side",
            from_start=True,
        )
    )


def _lay_launch_links(draft: Draft, launch: str, chains: Sequence[Chain]) -> None:
    for chain in chains:
        words = Words(
            rule=f"the film on {chain.zone.name} must be cured for the water",
            group=f"cure before launching: {chain.zone.name}",
            met=f"the film on {chain.zone.name} is cured for the water",
        )
        draft.film_lag(chain.last, launch, state="immersion", words=words)
        if chain.zone.kind in {"side", "named"}:
            slings = Words(
                rule=f"the film on {chain.zone.name} must bear the slings as it bears a stand",
                group=words.group,
                met=f"the film on {chain.zone.name} bears the slings",
            )
            draft.film_lag(chain.last, launch, state="stands_safe", words=slings)
    groups: dict[tuple[str, str], list[Chain]] = {}
    for chain in chains:
        if chain.system.sheet.activation_grit is not None:
            place = "gear and pads" if is_small(chain.zone) else "hull"
            groups.setdefault((place, chain.system.sheet.name), []).append(chain)
    several = len({product for _, product in groups}) > 1
    for (place, product), group in groups.items():
        lay_activation(draft, f"{place} ({product})" if several else place, chains=group, launch=launch)


def _note(draft: Draft, chains: Sequence[Chain]) -> None:
    """What a person should know that no slot shows."""
    done = {chain.zone.name for chain in chains}
    for zone in draft.hull.zones:
        if zone.kind == "sole" and zone.name not in done:
            draft.findings.append(
                f"{zone.name}: the sole on the blocks stays bare ({zone.area_m2:.2f} m2). Have it coated in the slings "
                "at the launch if the yard does that, or note it down as bare."
            )
        elif zone.name not in done and zone.coated and zone.area_m2 > 0.0:
            draft.findings.append(f"{zone.name}: no coating is named for it; it stays as it is.")
    pads = [chain for chain in chains if chain.zone.kind == "pads"]
    if pads and draft.inputs.wishes.strip and draft.inputs.wishes.dry_h > 0.0:
        draft.findings.append(
            f"{zone_names(pads)}: covered while the rest of the laminate dried; read the moisture there before coating "
            "(common practice, no source)."
        )
    if not draft.inputs.yard.sanding_allowed:
        draft.findings.append(
            "The yard does not allow sanding, and this plan sands: agree how and where with the yard first."
        )
    if shut := shut_lift_slots(draft):
        times = ", ".join(draft.calendar.said(slot) for slot in shut[:5]) + (", ..." if len(shut) > 5 else "")
        draft.findings.append(
            f"Lift slots left out, for the yard is shut then: {times}. If it lifts all the same, say so in its hours."
        )
    hire = draft.inputs.hire
    if draft.tent_span is None and hire.tent_from is not None:
        draft.findings.append("The tent on offer lies outside the known weather; the plan does without it.")


def empty_tasks(job: JobNetwork) -> list[str]:
    """Keys of tasks that have no admissible start at all, whatever the others do."""
    return [task.key for task in job.network.tasks if not any(np.any(mode.starts) for mode in task.modes)]
