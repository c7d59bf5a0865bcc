"""Does this coating go on this hull with this crew: every doubt as a finding, none as a permission."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

from boottop.coating.facts import CrewFacts
from boottop.coating.finding import COMMON_PRACTICE, FROM_MEMORY, Finding
from boottop.coating.scope import METAL_FAMILIES, bears_copper, family_of, insulates, zones_for
from boottop.coating.sheet import System
from boottop.coating.sheet_checks import (
    coats_fewer,
    extrapolated,
    kit_mass,
    outside_limits,
    overcoat_before_tacky,
    times_rising,
)
from boottop.coating.workday import kit_too_large, kits_stay_whole, one_day
from boottop.measure.hull import Hull, Zone

GALVANIC_FAMILIES = ("aluminium", "steel")
BARRIER_FAMILIES = ("timber", "ferro_cement", "steel", "aluminium")
OILY = ("oil", "white spirit", "mineral spirit", "turpentine", "kerosene", "paraffin", "diesel", "petrol", "naphtha")
EPOXIES = ("copper_epoxy", "barrier_epoxy", "primer")
ORDER = ("stop", "warn", "note")

GALVANIC = f"copper coatings off bare aluminium, galvanic attack: {FROM_MEMORY}"
REGULATED = (
    "3 CCR 6190, leach rate limit for recreational vessels in California (read); Washington antifouling law 2011, "
    "reviewed 2024 (read); IMO AFS Convention, MEPC.331(76) (read)"
)


@dataclass(frozen=True, kw_only=True)
class Case:
    """One job as the rules see it."""

    hull: Hull
    systems: tuple[System, ...]
    facts: CrewFacts

    def bare_under(self, system: System) -> Iterator[Zone]:
        """Zones on which nothing insulating lies between a system and the hull."""
        for zone in zones_for(system, self.hull):
            if not (self.facts.barrier_sound or self.covered(zone)):
                yield zone

    def covered(self, zone: Zone) -> bool:
        """A barrier or primer of this job goes on the zone."""
        return any(insulates(system) and zone in zones_for(system, self.hull) for system in self.systems)


def findings(hull: Hull, systems: tuple[System, ...], facts: CrewFacts) -> tuple[Finding, ...]:
    """Everything that speaks against coating this hull with these products and this crew, the worst first.

    An empty answer means that no rule of this tool was broken: it permits nothing. Each finding names its source.
    """
    case = Case(hull=hull, systems=systems, facts=facts)
    of_system = (rule(system, facts) for system in systems for rule in SHEET_RULES.values())
    found = dict.fromkeys(chain(*(rule(case) for rule in JOB_RULES.values()), *of_system))
    return tuple(sorted(found, key=lambda finding: ORDER.index(finding.severity)))


def copper_on_metal(case: Case) -> Iterator[Finding]:
    """Copper against aluminium or steel, an iron keel among them: a stop when bare, a warning through a barrier."""
    for system in _coppers(case):
        bare = {zone.name for zone in case.bare_under(system)}
        for zone in zones_for(system, case.hull):
            for family in sorted(_families(zone) & set(GALVANIC_FAMILIES)):
                yield _galvanic(system, f"{family} ({zone.name})", bare=zone.name in bare)


def _galvanic(system: System, metal: str, *, bare: bool) -> Finding:
    name = system.sheet.name
    if bare:
        cause = f"{name} bears copper and would lie on bare {metal}: in sea water the metal is eaten away."
        advice = "Never without a complete, tested insulating barrier; on aluminium choose a coating free of copper."
    else:
        cause = f"{name} bears copper over {metal}: every scratch through the barrier makes a corrosion cell."
        advice = "Test the barrier for holes before coating, and afterwards mend every scratch at once."
    return Finding(
        rule="copper_on_metal",
        severity="stop" if bare else "warn",
        cause=cause,
        advice=f"{advice} Ask the maker in writing.",
        source=GALVANIC,
    )


def barrier_missing(case: Case) -> Iterator[Finding]:
    """No barrier coat where one is required; advised on bare gelcoat."""
    for system in _antifoulings(case):
        zones = list(case.bare_under(system))
        required = {*BARRIER_FAMILIES, *system.sheet.needs_primer}
        lacking = [zone for zone in zones if zone.kind != "gear" and family_of(zone.substrate) in required]
        if lacking:
            yield Finding(
                rule="barrier_missing",
                severity="stop",
                cause=f"{system.sheet.name} on {_named(lacking)} without a barrier coat.",
                advice="Plan an epoxy barrier coat first, or state that a sound old one covers the hull.",
                source=f"{COMMON_PRACTICE}; families the sheet names: {', '.join(system.sheet.needs_primer) or 'none'}",
            )
        gelcoat = [zone for zone in zones if family_of(zone.substrate) == "grp" and "grp" not in required]
        if gelcoat:
            yield Finding(
                rule="barrier_missing",
                severity="note",
                cause=f"{system.sheet.name} on {_named(gelcoat)} with no barrier coat planned.",
                advice="On bare gelcoat a barrier coat is advised: while the hull is bare it costs least.",
                source=COMMON_PRACTICE,
            )


def gear_bare(case: Case) -> Iterator[Finding]:
    """Bare metal of running gear or keel under an antifouling with no primer between."""
    for system in _antifoulings(case):
        for zone in case.bare_under(system):
            metals = sorted(_metals(zone))
            if not metals:
                continue
            yield Finding(
                rule="gear_bare",
                severity="stop" if set(metals) & set(system.sheet.needs_primer) else "warn",
                cause=f"{zone.name}: bare {' and '.join(metals)} under {system.sheet.name} with no primer.",
                advice="Abrade to bright metal and prime with epoxy the same day, before the antifouling.",
                source=f"{COMMON_PRACTICE}; galvanic attack: {FROM_MEMORY}",
            )


def substrate_refused(case: Case) -> Iterator[Finding]:
    """The lowest product on a zone is not meant for what it lies on."""
    for system in case.systems:
        for zone in _lowest_on(case, system):
            names = {zone.substrate, family_of(zone.substrate)}
            if names & set(system.sheet.forbidden):
                verdict = "the sheet forbids it"
            elif not names & set(system.sheet.allowed_substrates):
                verdict = f"the sheet names {', '.join(system.sheet.allowed_substrates) or 'no substrate'}"
            else:
                continue
            yield Finding(
                rule="substrate_refused",
                severity="stop",
                cause=f"{system.sheet.name} on {zone.substrate} ({zone.name}): {verdict}.",
                advice="Put a primer or barrier between that is made for this material, or choose another product.",
                source="the sheet's list of substrates",
            )


def cleaner_wrong(case: Case) -> Iterator[Finding]:
    """A cleaner that the sheet forbids, or that a water-based epoxy does not forgive."""
    for system in case.systems:
        sheet = system.sheet
        cleaner = case.facts.cleaner or sheet.cleaner
        forbidden = [name for name in sheet.forbidden_cleaners if name.lower() in cleaner.lower()]
        spoils = (OILY if sheet.kind in EPOXIES else ()) + (("acetone",) if sheet.water_based else ())
        if forbidden:
            source = "the sheet's list of forbidden cleaners"
        elif any(re.search(rf"\b{name}", cleaner, re.IGNORECASE) for name in spoils):
            source = f"no oil-based cleaner under epoxy, no acetone under a water-based one: {COMMON_PRACTICE}"
        else:
            continue
        yield Finding(
            rule="cleaner_wrong",
            severity="stop",
            cause=f"{cleaner} under {sheet.name}: it leaves a film that cannot be seen (fish eyes, peeling).",
            advice=f"Use {sheet.cleaner}." if case.facts.cleaner else "Take the cleaner from the data sheet again.",
            source=source,
        )


def regulated(case: Case) -> Iterator[Finding]:
    """Substances that are regulated in some waters; the tool names them and defers."""
    for system in _antifoulings(case):
        what = "bears copper. Copper is" if bears_copper(system.sheet) else "is an antifouling. Copper and biocides are"
        yield Finding(
            rule="regulated",
            severity="note",
            cause=f"{system.sheet.name} {what} regulated in some waters, and the rules change.",
            advice="Check local code, the safety data sheet and the harbour's rules before buying. This tool cannot "
            "tell what is lawful where the boat lies.",
            source=REGULATED,
        )
    if case.facts.strip:
        yield Finding(
            rule="regulated",
            severity="note",
            cause="Old paint comes off: older layers may hold lead or organotin beside copper.",
            advice="Have unknown layers tested first. Dust and rinse water are usually hazardous waste: ask the yard.",
            source="IMO AFS Convention (read); Washington Ecology Boatyard General Permit (read)",
        )


def _antifoulings(case: Case) -> Iterator[System]:
    return (system for system in case.systems if system.role == "antifouling" or bears_copper(system.sheet))


def _coppers(case: Case) -> Iterator[System]:
    return (system for system in case.systems if bears_copper(system.sheet))


def _lowest_on(case: Case, system: System) -> Iterator[Zone]:
    if insulates(system):
        others = [other for other in case.systems if other.role == "primer" and other is not system]
        primed = {zone.name for other in others for zone in zones_for(other, case.hull)}
        yield from (zone for zone in zones_for(system, case.hull) if zone.name not in primed)
    else:
        yield from case.bare_under(system)


def _families(zone: Zone) -> set[str]:
    """What a zone shows to the coating: its substrate, and what its patches (a keel) are made of outside."""
    return {family_of(zone.substrate)} | {family_of(patch.layers[0].material) for patch in zone.patches if patch.layers}


def _metals(zone: Zone) -> set[str]:
    """Metals that want a primer: all that gear shows, and on a hull of another material those of its keel."""
    hull = set() if zone.kind == "gear" else {family_of(zone.substrate)} & set(BARRIER_FAMILIES)
    return (_families(zone) & set(METAL_FAMILIES)) - hull


def _named(zones: list[Zone]) -> str:
    families = sorted({family_of(zone.substrate).replace("_", "-") for zone in zones})
    return f"{' and '.join(families)} ({', '.join(zone.name for zone in zones)})"


JOB_RULES: Mapping[str, Callable[[Case], Iterator[Finding]]] = {
    "copper_on_metal": copper_on_metal,
    "barrier_missing": barrier_missing,
    "gear_bare": gear_bare,
    "substrate_refused": substrate_refused,
    "cleaner_wrong": cleaner_wrong,
    "one_day": lambda case: one_day(case.hull, case.systems, case.facts),
    "kit_too_large": lambda case: kit_too_large(case.hull, case.systems, case.facts),
    "kits_stay_whole": lambda case: kits_stay_whole(case.hull, case.systems, case.facts),
    "regulated": regulated,
}
SHEET_RULES: Mapping[str, Callable[[System, CrewFacts], Iterator[Finding]]] = {
    "coats_fewer": coats_fewer,
    "extrapolated": extrapolated,
    "outside_limits": outside_limits,
    "kit_mass": kit_mass,
    "overcoat_before_tacky": overcoat_before_tacky,
    "times_rising": times_rising,
}


def rule_names() -> tuple[str, ...]:
    """Names a finding's `rule` can take."""
    return (*JOB_RULES, *SHEET_RULES)
