"""How a coat is cut into batches: what the crew can roll before the pot goes off, one kit at a time."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf
from typing import Literal

from boottop.coating.facts import CrewFacts
from boottop.coating.film import coat_rate_m2_l, mixture
from boottop.coating.finding import require_between
from boottop.coating.mixing import mass_exponent, pot_life
from boottop.coating.sheet import System

HAIR = 1e-9


@dataclass(frozen=True, kw_only=True)
class BatchPlan:
    """Batches of one coat on one zone, all alike. `left_l` is what the last one leaves when kits stay whole.

    `limited_by`: "pot life", "kit" (one kit is mixed at a time), or "zone" (one batch does it). `in_time`: the crew
    rolls a batch out within the usable pot life `use_within_h`.
    """

    batches: int
    litres_each: float
    kits_each: float
    area_each_m2: float
    roll_h_each: float
    use_within_h: float
    left_l: float
    limited_by: Literal["pot life", "kit", "zone"]
    in_time: bool


def crew_rate_m2_h(facts: CrewFacts) -> float:
    """Area the applicators roll together in an hour, m2/h."""
    require_between(facts.applicators, (0.0, inf), where="people who roll", unit="people")
    require_between(facts.roll_m2_h, (0.0, inf), where="rate of rolling", unit="m2/h")
    return facts.applicators * facts.roll_m2_h


def largest_batch_l(system: System, facts: CrewFacts) -> float:
    """Largest batch that the crew can roll out within the usable share of its own pot life, L of mix.

    Solves litres = rate * usable * pot life(litres) / spreading rate, in which a larger batch has a shorter pot life;
    with pot life ~ mass^-g it has the closed form litres = (rate * usable * pot life of 1 L / spreading)^(1/(1+g)).
    The usable share, 0.75 unless told otherwise, is common practice, no source.
    """
    require_between(facts.usable_pot_life, (0.0, 1.0), where="usable share of the pot life", unit="(fraction)")
    sheet = system.sheet
    one_litre_h = pot_life(sheet, facts.batch_c, mass_kg=mixture(sheet).density_kg_l).hours
    rolled_l_h = crew_rate_m2_h(facts) / coat_rate_m2_l(sheet, system.loss_fraction)
    usable_l = rolled_l_h * facts.usable_pot_life * one_litre_h
    return float(usable_l ** (1.0 / (1.0 + mass_exponent(sheet))))


def plan_batches(system: System, area_m2: float, facts: CrewFacts) -> BatchPlan:
    """Batches of one coat over an area: equal shares of a kit by mass where the sheet allows it, else whole kits."""
    require_between(area_m2, (0.0, inf), where="area", unit="m2")
    sheet = system.sheet
    spreading_m2_l, limit_l = coat_rate_m2_l(sheet, system.loss_fraction), largest_batch_l(system, facts)
    litres = area_m2 / spreading_m2_l
    most_l = min(limit_l, sheet.kit_volume_l) if sheet.part_kits else sheet.kit_volume_l
    batches = max(1, ceil(litres / most_l - HAIR))
    each_l = litres / batches if sheet.part_kits else sheet.kit_volume_l
    each_m2 = min(each_l * spreading_m2_l, area_m2)
    life = pot_life(sheet, facts.batch_c, mass_kg=each_l * mixture(sheet).density_kg_l)
    roll_h, usable_h = each_m2 / crew_rate_m2_h(facts), facts.usable_pot_life * life.hours
    return BatchPlan(
        batches=batches,
        litres_each=each_l,
        kits_each=each_l / sheet.kit_volume_l,
        area_each_m2=each_m2,
        roll_h_each=roll_h,
        use_within_h=usable_h,
        left_l=max(0.0, batches * each_l - litres),
        limited_by="zone" if batches == 1 else ("pot life" if most_l < sheet.kit_volume_l else "kit"),
        in_time=roll_h <= usable_h * (1.0 + HAIR),
    )
