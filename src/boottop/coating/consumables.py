"""What is used up beside the paint. Every rate here is common practice without a published source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil

from boottop.coating.cleaners import leaves_water
from boottop.coating.facts import CrewFacts
from boottop.coating.finding import COMMON_PRACTICE
from boottop.coating.scope import session_of, zones_for
from boottop.coating.sheet import System
from boottop.measure.hull import Hull, Zone

RATES: Mapping[str, float] = {
    "abrade m2 per disc": 2.5,
    "strip m2 per disc": 1.0,
    "activate m2 per sheet": 4.0,
    "wipe m2 per wipe": 1.0,
    "cleaner litres per m2": 0.06,
    "tape slack": 1.1,
    "gloves pairs per person and coat": 2.0,
    "dust hours per filter pair": 8.0,
    "abrade m2 per person hour": 8.0,
    "strip m2 per person hour": 3.0,
}
_ROLE_ORDER = {"primer": 0, "barrier": 1, "antifouling": 2}


@dataclass(frozen=True, kw_only=True)
class Consumable:
    """One line of the small order: whole pieces, metres or litres rounded up, and what it is reckoned from."""

    what: str
    quantity: float
    unit: str
    because: str
    source: str = COMMON_PRACTICE


@dataclass(frozen=True, kw_only=True)
class _Work:
    """Counts that several lines share. A session is one coat on one part of the hull rolled in one go."""

    systems: tuple[System, ...]
    covered_m2: tuple[float, ...]
    prepared: tuple[tuple[System, float], ...]
    sessions: tuple[int, ...]
    facts: CrewFacts

    @property
    def prepared_m2(self) -> float:
        return sum(area_m2 for _, area_m2 in self.prepared)

    @property
    def dust_h(self) -> float:
        """Person hours in the dust."""
        stripping_h = self.prepared_m2 / RATES["strip m2 per person hour"] if self.facts.strip else 0.0
        return stripping_h + self.prepared_m2 / RATES["abrade m2 per person hour"]

    @property
    def dust_shifts(self) -> int:
        return max(self.facts.people, ceil(self.dust_h / RATES["dust hours per filter pair"]))

    @property
    def coats_rolled(self) -> int:
        """Coat times session, summed over the systems."""
        return sum(system.coats * count for system, count in zip(self.systems, self.sessions, strict=True))


def consumables(hull: Hull, systems: tuple[System, ...], facts: CrewFacts, *, batches: int) -> tuple[Consumable, ...]:
    """What to buy beside the coating, for the whole job; `batches` is the number of pots mixed.

    Abrading is counted once for each zone, with the grit of the first product on it (later ones go on within their
    overcoat time); wiping is counted before every product.
    """
    zones = [zones_for(system, hull) for system in systems]
    used = tuple((system, taken) for system, taken in zip(systems, zones, strict=True) if taken and system.coats > 0)
    work = _Work(
        systems=tuple(system for system, _ in used),
        covered_m2=tuple(sum(zone.area_m2 for zone in taken) for _, taken in used),
        prepared=tuple(_prepared(used)),
        sessions=tuple(len({session_of(zone) for zone in taken}) for _, taken in used),
        facts=facts,
    )
    lines = (*_rolling(work, batches), *_preparing(work), *_activating(used), *_protecting(work))
    return tuple(line for line in lines if line.quantity > 0)


def _prepared(used: tuple[tuple[System, tuple[Zone, ...]], ...]) -> Iterator[tuple[System, float]]:
    done: set[str] = set()
    for system, taken in sorted(used, key=lambda pair: _ROLE_ORDER[pair[0].role]):
        yield system, sum(zone.area_m2 for zone in taken if zone.name not in done)
        done.update(zone.name for zone in taken)


def _rolling(work: _Work, batches: int) -> Iterator[Consumable]:
    hands = work.facts.applicators
    each = "a new one for every coat, person and part of the hull rolled in one go (a side, or gear and pads)"
    yield Consumable(
        what="roller sleeve, short nap about 5 mm", quantity=work.coats_rolled * hands, unit="pc", because=each
    )
    yield Consumable(what="tray liner", quantity=work.coats_rolled * hands, unit="pc", because="one with each sleeve")
    yield Consumable(what="roller frame and tray", quantity=hands, unit="pc", because="one for each who rolls")
    yield Consumable(what="mixing pot", quantity=batches, unit="pc", because="a clean one for every batch")
    yield Consumable(what="stir stick", quantity=batches, unit="pc", because="one for every batch")
    weighed = [system.sheet.name for system in work.systems if system.sheet.part_kits and len(system.sheet.parts) > 1]
    if weighed:
        yield Consumable(what="scale, 1 g", quantity=1, unit="pc", because=f"part kits of {', '.join(weighed)} by mass")
    if work.facts.waterline_length_m is not None:
        length_m = ceil(2 * 2 * RATES["tape slack"] * work.facts.waterline_length_m)
        because = "both sides of the waterline, and once more above it as a drip edge"
        yield Consumable(what="masking tape, water-resistant", quantity=length_m, unit="m", because=because)


def _preparing(work: _Work) -> Iterator[Consumable]:
    if work.facts.strip:
        yield _by_area("abrasive disc, coarse, for stripping", work.prepared_m2, "strip m2 per disc")
    for system, area_m2 in work.prepared:
        low, high = system.sheet.grit
        yield _by_area(f"abrasive disc, grit {low}-{high}, under {system.sheet.name}", area_m2, "abrade m2 per disc")
    yield _by_area("lint-free wipe", sum(work.covered_m2), "wipe m2 per wipe")
    for system, area_m2 in zip(work.systems, work.covered_m2, strict=True):
        cleaner = work.facts.cleaner or system.sheet.cleaner
        if not leaves_water(cleaner):
            litres = ceil(10.0 * RATES["cleaner litres per m2"] * area_m2) / 10.0
            because = f"{RATES['cleaner litres per m2']:g} L/m2 over {area_m2:.1f} m2 under {system.sheet.name}"
            yield Consumable(what=cleaner, quantity=litres, unit="L", because=because)


def _activating(used: tuple[tuple[System, tuple[Zone, ...]], ...]) -> Iterator[Consumable]:
    for system, taken in used:
        if system.sheet.activation_grit is not None:
            area_m2 = sum(zone.area_m2 for zone in taken)
            yield _by_area(
                f"abrasive sheet, grit {system.sheet.activation_grit}, to activate", area_m2, "activate m2 per sheet"
            )


def _protecting(work: _Work) -> Iterator[Consumable]:
    people, hands = work.facts.people, work.facts.applicators
    gloves = ceil(RATES["gloves pairs per person and coat"] * work.coats_rolled * hands) + 2 * work.dust_shifts
    coveralls = work.dust_shifts + people * sum(work.sessions)
    dust = f"{work.dust_h:.0f} person hours in the dust, at least one for each person"
    yield Consumable(
        what="nitrile gloves", quantity=gloves, unit="pairs", because="two for each person and coat, and for dust"
    )
    yield Consumable(what="respirator", quantity=people, unit="pc", because="one for each person")
    yield Consumable(what="P3/P100 filter", quantity=work.dust_shifts, unit="pairs", because=dust)
    yield Consumable(what="goggles", quantity=people, unit="pc", because="one for each person")
    yield Consumable(
        what="coverall",
        quantity=coveralls,
        unit="pc",
        because=f"{dust}; a clean one for each person and day of coating",
    )


def _by_area(what: str, area_m2: float, rate: str) -> Consumable:
    because = f"one for {RATES[rate]:g} m2, {area_m2:.1f} m2 in all"
    return Consumable(what=what, quantity=ceil(area_m2 / RATES[rate] - 1e-9), unit="pc", because=because)
