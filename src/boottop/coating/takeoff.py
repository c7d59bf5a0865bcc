"""The take-off: litres, kits, batches, weights and cost of a whole job, with the doubt of the area carried along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from statistics import NormalDist

from boottop.base.errors import InputError, Problem
from boottop.coating.batches import HAIR, BatchPlan, plan_batches
from boottop.coating.cautions import Caution, cautions_for
from boottop.coating.consumables import Consumable, consumables
from boottop.coating.facts import CrewFacts
from boottop.coating.film import coat_rate_m2_l, coat_wet_film_um
from boottop.coating.finding import COMMON_PRACTICE, require_between
from boottop.coating.scope import session_of, zones_for
from boottop.coating.sheet import Role, System
from boottop.measure.hull import Hull, Zone

PACKING_SHARE = 0.10


@dataclass(frozen=True, kw_only=True)
class CoatLine:
    """One coat on one zone. `litres_sd` is the doubt of the zone's area alone."""

    zone: str
    coat: int
    area_m2: float
    litres: float
    litres_sd: float
    batches: BatchPlan


@dataclass(frozen=True, kw_only=True)
class SystemOrder:
    """What to order of one product.

    `litres` +- `litres_sd` is what is expected to be used (errors that zones share are shared here, and coats share
    all of theirs); `wanted_l` covers the doubt with the take-off's confidence, `kits` are the whole kits that hold
    it, `left_l` what is expected to be left of them. `kits_opened`: kits used up if every coat of every part of the
    hull (a side, or gear and pads) opens its own and keeps nothing; equal to `kits` where a kit may be divided.
    `wet_film_um` is what the notch gauge should show. `contents_kg` is what is in the tins, `freight_kg` with tins and
    carton.
    """

    product: str
    role: Role
    coats: tuple[CoatLine, ...]
    area_m2: float
    spreading_m2_l: float
    wet_film_um: float
    litres: float
    litres_sd: float
    wanted_l: float
    kits: int
    kits_opened: int
    left_l: float
    cost_minor: int | None
    contents_kg: float
    freight_kg: float


@dataclass(frozen=True, kw_only=True)
class TakeOff:
    """The order for a job. `cost_minor` is None unless every product's price is known."""

    orders: tuple[SystemOrder, ...]
    consumables: tuple[Consumable, ...]
    confidence: float
    sd_multiple: float
    cost_minor: int | None
    freight_kg: float
    assumptions: tuple[str, ...]
    cautions: tuple[Caution, ...]


def take_off(hull: Hull, systems: tuple[System, ...], facts: CrewFacts) -> TakeOff:
    """Litres, kits, batches, consumables and weight of a job.

    Kits are the fewest whole ones that cover mean + k * sd, with k the one-sided normal quantile of
    `facts.confidence` (1.28 for 90 %). The doubt is that of the area; the loss is a declared input, taken as exact.
    """
    require_between(facts.confidence, (0.5, 1.0), where="confidence of the order", unit="(fraction)", open_low=False)
    multiple = NormalDist().inv_cdf(facts.confidence)
    orders = tuple(_order(hull, system, facts, multiple=multiple) for system in systems)
    batches = sum(line.batches.batches for order in orders for line in order.coats)
    costs = [order.cost_minor for order in orders]
    return TakeOff(
        orders=orders,
        consumables=consumables(hull, systems, facts, batches=batches),
        confidence=facts.confidence,
        sd_multiple=multiple,
        cost_minor=None if None in costs else sum(cost for cost in costs if cost is not None),
        freight_kg=sum(order.freight_kg for order in orders),
        assumptions=_assumptions(facts, multiple),
        cautions=cautions_for("order"),
    )


def area_sd_m2(hull: Hull, zones: Sequence[Zone]) -> float:
    """Standard deviation of the summed area of some zones, m2, with the errors they share as the hull's total has.

    One correlation r between any two zones is read off the hull: total^2 = sum sd^2 + r * ((sum sd)^2 - sum sd^2),
    held to 0..1, and used for the zones asked for. All zones give back the hull's own total.
    Source: variance of a sum, by definition; one correlation for all pairs is our assumption.
    """
    alone, together = _squares(hull.zones)
    shared = together - alone
    correlation = (hull.total_sd_m2**2 - alone) / shared if shared > 0.0 else 0.0
    some_alone, some_together = _squares(zones)
    return sqrt(some_alone + min(1.0, max(0.0, correlation)) * (some_together - some_alone))


def _squares(zones: Sequence[Zone]) -> tuple[float, float]:
    return sum(zone.area_sd_m2**2 for zone in zones), sum(zone.area_sd_m2 for zone in zones) ** 2


def _order(hull: Hull, system: System, facts: CrewFacts, *, multiple: float) -> SystemOrder:
    _check(system)
    sheet, zones = system.sheet, zones_for(system, hull)
    spreading_m2_l = coat_rate_m2_l(sheet, system.loss_fraction)
    litres_per_m2 = system.coats / spreading_m2_l
    area_m2 = sum(zone.area_m2 for zone in zones)
    litres, litres_sd = litres_per_m2 * area_m2, litres_per_m2 * area_sd_m2(hull, zones)
    wanted_l = litres + multiple * litres_sd
    kits = _kits(wanted_l, sheet.kit_volume_l)
    return SystemOrder(
        product=sheet.name,
        role=system.role,
        coats=_lines(system, zones, facts),
        area_m2=area_m2,
        spreading_m2_l=spreading_m2_l,
        wet_film_um=coat_wet_film_um(sheet),
        litres=litres,
        litres_sd=litres_sd,
        wanted_l=wanted_l,
        kits=kits,
        kits_opened=kits if sheet.part_kits else max(kits, _kits_opened(hull, system, zones, multiple=multiple)),
        left_l=kits * sheet.kit_volume_l - litres,
        cost_minor=None if system.kit_price_minor is None else kits * system.kit_price_minor,
        contents_kg=kits * sheet.kit_mass_kg,
        freight_kg=kits * sheet.kit_mass_kg * (1.0 + PACKING_SHARE),
    )


def _kits(litres: float, kit_volume_l: float) -> int:
    return max(0, ceil(litres / kit_volume_l - HAIR))


def _kits_opened(hull: Hull, system: System, zones: Sequence[Zone], *, multiple: float) -> int:
    """Kits opened when none may be divided or kept: whole ones for every coat of every part rolled in one go."""
    kit_m2, count = coat_rate_m2_l(system.sheet, system.loss_fraction) * system.sheet.kit_volume_l, 0
    for session in sorted({session_of(zone) for zone in zones}):
        part = [zone for zone in zones if session_of(zone) == session]
        count += _kits(sum(zone.area_m2 for zone in part) + multiple * area_sd_m2(hull, part), kit_m2)
    return system.coats * count


def _lines(system: System, zones: Sequence[Zone], facts: CrewFacts) -> tuple[CoatLine, ...]:
    spreading_m2_l = coat_rate_m2_l(system.sheet, system.loss_fraction)
    zones = [zone for zone in zones if zone.area_m2 > 0.0]
    plans = {zone.name: plan_batches(system, zone.area_m2, facts) for zone in zones}
    return tuple(
        CoatLine(
            zone=zone.name,
            coat=coat,
            area_m2=zone.area_m2,
            litres=zone.area_m2 / spreading_m2_l,
            litres_sd=zone.area_sd_m2 / spreading_m2_l,
            batches=plans[zone.name],
        )
        for zone in zones
        for coat in range(1, system.coats + 1)
    )


def _check(system: System) -> None:
    if system.coats >= 1:
        return
    raise InputError(
        Problem(
            where=f"coats of {system.sheet.name}",
            found=str(system.coats),
            allowed=f"1 or more; the sheet says {system.sheet.coats}",
            advice="Give the number of coats, or leave the product out.",
        )
    )


def _assumptions(facts: CrewFacts, multiple: float) -> tuple[str, ...]:
    return (
        f"Kits cover the expected litres and {multiple:.2f} standard deviations of the area: enough in "
        f"{facts.confidence:.0%} of cases (one-sided, normal). The loss is taken as given.",
        f"A batch is rolled out within {facts.usable_pot_life:.0%} of its pot life, one kit at a time "
        f"({COMMON_PRACTICE}).",
        f"Freight counts {PACKING_SHARE:.0%} for tins and carton ({COMMON_PRACTICE}).",
    )
