"""What is odd about a product sheet taken by itself, or about reading it at the temperatures expected."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from boottop.coating.facts import CrewFacts
from boottop.coating.finding import COMMON_PRACTICE, Finding
from boottop.coating.mixing import kit_mass_finding
from boottop.coating.sheet import ProductSheet, System, Times
from boottop.coating.times import time_at

OWN_NUMBERS = "the sheet's own numbers"
STALLS = "a cold epoxy can stop short of full cure (vitrification): from memory"


def time_tables(sheet: ProductSheet) -> Mapping[str, Times]:
    """The sheet's tables of times by the name a person would call them."""
    return {
        "pot life": sheet.pot_life,
        "tacky": sheet.tacky,
        "longest overcoat": sheet.overcoat_max,
        "rain-safe": sheet.rain_safe,
        "stands-safe": sheet.stands_safe,
        "immersion": sheet.immersion,
    }


def kit_mass(system: System, facts: CrewFacts) -> Iterator[Finding]:
    """The kit's printed mass against its parts."""
    del facts
    if finding := kit_mass_finding(system.sheet):
        yield finding


def times_rising(system: System, facts: CrewFacts) -> Iterator[Finding]:
    """Times that rise with temperature, or stay flat where a reaction decides."""
    del facts
    for name, times in time_tables(system.sheet).items():
        where = [
            f"{low:g} to {high:g} degC ({before:g} to {after:g} h)"
            for (low, before), (high, after) in pairwise(zip(times.temperature_c, times.hours, strict=True))
            if after > before
        ]
        if where:
            yield Finding(
                rule="times_rising",
                severity="warn",
                cause=f"{system.sheet.name}: the {name} time grows with temperature, from {'; '.join(where)}.",
                advice="Warmth shortens these times. Compare the table with the data sheet; a row may be swapped.",
                source=f"{OWN_NUMBERS}; {COMMON_PRACTICE}",
            )


def overcoat_before_tacky(system: System, facts: CrewFacts) -> Iterator[Finding]:
    """A longest overcoat time that ends before the coat is ready for the next one."""
    del facts
    sheet = system.sheet
    if system.coats < 2:
        return
    tried = sorted({*sheet.tacky.temperature_c, *sheet.overcoat_max.temperature_c})
    closed = [temp_c for temp_c in tried if _at(sheet, "longest overcoat", temp_c) <= _at(sheet, "tacky", temp_c)]
    if closed:
        yield Finding(
            rule="overcoat_before_tacky",
            severity="warn",
            cause=f"{sheet.name}: at {', '.join(f'{temp_c:g}' for temp_c in closed)} degC the longest overcoat time "
            "is over before the coat is tacky, so the next coat never has its turn.",
            advice="Compare both tables with the data sheet. If they are right, every coat must cure and be sanded.",
            source=OWN_NUMBERS,
        )


def extrapolated(system: System, facts: CrewFacts) -> Iterator[Finding]:
    """Temperatures expected on this job that the sheet has no times for."""
    sheet = system.sheet
    outside: dict[tuple[str, float], list[str]] = {}
    for name, times in time_tables(sheet).items():
        of, temp_c = ("the pot", facts.batch_c) if name == "pot life" else ("the surface", facts.surface_c)
        if time_at(times, temp_c)[1]:
            span = " to ".join(f"{edge:g}" for edge in dict.fromkeys((times.temperature_c[0], times.temperature_c[-1])))
            outside.setdefault((of, temp_c), []).append(f"{name} ({span} degC)")
    for (of, temp_c), names in outside.items():
        yield Finding(
            rule="extrapolated",
            severity="warn",
            cause=f"{sheet.name}: {of} is expected at {temp_c:g} degC, outside the sheet's times for "
            f"{', '.join(names)}.",
            advice="These times are extrapolated. Ask the maker for them, or warm or wait; trust the touch test.",
            source=f"Arrhenius form, EN 1992-1-1:2004 Annex B Eq. B.10, carried past the sheet; {STALLS}",
        )


def outside_limits(system: System, facts: CrewFacts) -> Iterator[Finding]:
    """A surface expected colder or hotter than the sheet lets the coating be applied."""
    limits = system.sheet.limits
    if limits.surface_min_c <= facts.surface_c <= limits.surface_max_c:
        return
    yield Finding(
        rule="outside_limits",
        severity="warn",
        cause=f"{system.sheet.name}: a surface of {facts.surface_c:g} degC is expected; the sheet's limits are "
        f"{limits.surface_min_c:g} to {limits.surface_max_c:g} degC.",
        advice="Choose a season, an hour, a side in or out of the sun, or a tent that keeps the surface within them.",
        source="the sheet's limits",
    )


def coats_fewer(system: System, facts: CrewFacts) -> Iterator[Finding]:
    """Fewer coats than the sheet asks for."""
    del facts
    if system.coats < system.sheet.coats:
        yield Finding(
            rule="coats_fewer",
            severity="warn",
            cause=f"{system.sheet.name}: {system.coats} coats planned, the sheet asks for {system.sheet.coats}.",
            advice="Plan all the coats of the sheet. A thin film wears through first at edges, and its life is not "
            "that of the sheet.",
            source="the sheet's number of coats",
        )


def _at(sheet: ProductSheet, name: str, temp_c: float) -> float:
    return time_at(time_tables(sheet)[name], temp_c, energy_j_mol=sheet.activation_energy_j_mol)[0]
