"""Re-check a solution against the network it claims to solve, task by task, sharing nothing with the model."""

from __future__ import annotations

from collections.abc import Iterator

from boottop.plan.network import Apart, Link, Marks, Mode, Network, Placed, SameDay, Solution


def network_violations(network: Network, solution: Solution) -> list[str]:
    """Sentences on everything in `solution` that breaks `network`; empty when it keeps every rule and its own sum."""
    placed = {place.key: place for place in solution.placed}
    keys = [task.key for task in network.tasks]
    if sorted(placed) != sorted(keys) or len(solution.placed) != len(keys):
        return [f"tasks placed {sorted(place.key for place in solution.placed)}, asked for {sorted(keys)}"]
    modes = {task.key: {mode.key: mode for mode in task.modes} for task in network.tasks}
    unknown = [f"{p.key}: no mode {p.mode!r}" for p in solution.placed if p.mode not in modes[p.key]]
    if unknown:
        return unknown
    chosen = {key: modes[key][place.mode] for key, place in placed.items()}
    found = [
        line for key in keys for line in _task_faults(network, placed[key], mode=chosen[key], options=solution.options)
    ]
    found += _option_faults(network, solution.options)
    found += [line for link in network.links for line in _link_faults(network, link, placed)]
    found += [line for group in network.same_day for line in _day_faults(group, placed)]
    found += [line for apart in network.apart for line in _apart_faults(apart, placed)]
    found += list(_resource_faults(network, placed, chosen=chosen, options=solution.options))
    cost = solution_cost(network, solution)
    if solution.cost_minor != cost:
        found.append(f"cost given as {solution.cost_minor}, added up {cost}")
    return found


def solution_cost(network: Network, solution: Solution) -> int:
    """Cost of a solution in minor units: modes, options, and the cost of time."""
    placed = {place.key: place for place in solution.placed}
    modes = sum(mode.cost_minor for task in network.tasks for mode in task.modes if placed[task.key].mode == mode.key)
    options = sum(option.cost_minor for option in network.options if option.key in solution.options)
    money = network.money
    time = int(money.by_start[placed[money.first].start]) + int(money.by_finish[placed[money.last].finish])
    return modes + options + time


def _task_faults(network: Network, place: Placed, *, mode: Mode, options: tuple[str, ...]) -> Iterator[str]:
    if not 0 <= place.start < network.count or not mode.starts[place.start]:
        yield f"{place.key}: may not start at {place.start} as {mode.key}"
        return
    if int(mode.finish[place.start]) != place.finish or place.finish > network.count:
        yield f"{place.key}: ends at {int(mode.finish[place.start])}, not {place.finish}"
    for key in mode.needs:
        if key not in options:
            yield f"{place.key}: {mode.key} needs {key}, which is not taken"
    for key in mode.without:
        if key in options:
            yield f"{place.key}: {mode.key} cannot be done with {key}"


def _option_faults(network: Network, options: tuple[str, ...]) -> Iterator[str]:
    known = {option.key: option for option in network.options}
    for key in options:
        if key not in known:
            yield f"option {key} is not on offer"
            continue
        for other in known[key].excludes:
            if other in options:
                yield f"options {key} and {other} exclude each other"


def _link_faults(network: Network, link: Link, placed: dict[str, Placed]) -> Iterator[str]:
    before, after = placed[link.before], placed[link.after]
    arrays: tuple[Marks | None, Marks | None] = link.by_mode.get(before.mode, (link.earliest, link.latest))
    at = before.start if link.from_start else before.finish
    if arrays[0] is not None and after.start < int(arrays[0][at]):
        yield f"{link.after} starts at {after.start}, not before {int(arrays[0][at])}: {link.rule}"
    if arrays[1] is not None and after.start > int(arrays[1][at]):
        yield f"{link.after} starts at {after.start}, not after {int(arrays[1][at])}: {link.rule}"


def _day_faults(group: SameDay, placed: dict[str, Placed]) -> Iterator[str]:
    days = set()
    for key in group.tasks:
        place = placed[key]
        days.add(int(group.day[place.start]))
        days.add(int(group.day[max(place.start, place.finish - 1)]))
    if len(days) > 1:
        yield f"{', '.join(group.tasks)} spread over days {sorted(days)}: {group.rule}"


def _apart_faults(apart: Apart, placed: dict[str, Placed]) -> Iterator[str]:
    first = {int(apart.day[placed[key].start]) for key in apart.first}
    both = first & {int(apart.day[placed[key].start]) for key in apart.second}
    if both:
        yield f"{apart.first} and {apart.second} both on days {sorted(both)}: {apart.rule}"


def _resource_faults(
    network: Network, placed: dict[str, Placed], *, chosen: dict[str, Mode], options: tuple[str, ...]
) -> Iterator[str]:
    for resource in network.resources:
        capacity = resource.capacity + sum(units for key, units in resource.extra.items() if key in options)
        held = [0] * network.count
        for key, mode in chosen.items():
            for slot in range(placed[key].start, min(placed[key].finish, network.count)):
                held[slot] += mode.uses.get(resource.name, 0)
        over = [slot for slot, units in enumerate(held) if units > capacity]
        if over:
            yield f"{resource.name}: {held[over[0]]} of {capacity} held in slot {over[0]} ({len(over)} slots over)"
