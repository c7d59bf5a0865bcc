"""The batch card: how much of each part, in which order, and for how long it can be used."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Literal

from boottop.base.errors import InputError, Problem
from boottop.coating.cautions import Caution, Stage, cautions_for
from boottop.coating.film import Mixture, PartShare, mixture
from boottop.coating.finding import Finding, require_between
from boottop.coating.settling import StirRule, stir_rule
from boottop.coating.sheet import ProductSheet
from boottop.coating.times import time_at

KIT_MASS_TOLERANCE = 0.03
MASS_EXPONENT_WATER_BASED = 0.015
MASS_EXPONENT_SOLVENT_FREE = 0.05
MASS_RANGE_KG = (0.25, 4.0)
WHOLE = 1e-6


@dataclass(frozen=True, kw_only=True)
class PotLife:
    """How long a batch can be used, counted from mixing.

    `extrapolated`: the temperature lies outside the sheet's table. `mass_outside`: the batch lies outside the 0.25
    to 4 kg for which the effect of mass was worked out. `assumption` says what was assumed of the mass.
    """

    hours: float
    batch_c: float
    mass_kg: float
    extrapolated: bool
    mass_outside: bool
    assumption: str


def mass_exponent(sheet: ProductSheet) -> float:
    """Power by which the pot life falls with batch mass: 0.015 water-based, 0.05 solvent-free; assumed."""
    return MASS_EXPONENT_WATER_BASED if sheet.water_based else MASS_EXPONENT_SOLVENT_FREE


def pot_life(sheet: ProductSheet, batch_c: float, *, mass_kg: float) -> PotLife:
    """Pot life of a batch at its own temperature and mass, h = sheet time at that temperature * (m / m_sheet)^-g.

    The batch has its own temperature, not the air's: a tin from a warm locker counts warm. Mass hardly matters to a
    water-based mix; temperature does. Valid for 0.25 to 4 kg. Source: from a lumped exotherm model of our own (E 55
    kJ/mol, 400 kJ/kg, end at conversion 0.12, all assumed): g 0.01-0.02 water-based, 0.02-0.07 solvent-free.
    """
    require_between(mass_kg, (0.0, inf), where="batch mass", unit="kg")
    power = mass_exponent(sheet)
    sheet_h, outside = time_at(sheet.pot_life, batch_c, energy_j_mol=sheet.activation_energy_j_mol)
    low_kg, high_kg = MASS_RANGE_KG
    kind = "water-based" if sheet.water_based else "solvent-free"
    return PotLife(
        hours=sheet_h * float((mass_kg / sheet.pot_life_mass_kg) ** -power),
        batch_c=batch_c,
        mass_kg=mass_kg,
        extrapolated=outside,
        mass_outside=not low_kg <= mass_kg <= high_kg,
        assumption=f"pot life falls with batch mass to the power {power:g} ({kind}): assumed, no published source",
    )


@dataclass(frozen=True, kw_only=True)
class BatchLine:
    """One part of a batch: litres as poured (a powder with its air) and grams. Grams decide where they differ."""

    part: str
    powder: bool
    litres: float
    grams: float


@dataclass(frozen=True, kw_only=True)
class BatchCard:
    """All that is needed beside the pot. Lines are in the order of mixing: liquids by the sheet, then powders.

    `measure` "whole kits": empty the tins, nothing is weighed off; "by mass": weigh every part. `mass_parts` is the
    ratio by mass, first liquid 1. `use_within_h` is the usable share of the pot life: from mixing to an empty pan.
    """

    product: str
    kits: float
    measure: Literal["whole kits", "by mass"]
    mix_l: float
    mix_kg: float
    lines: tuple[BatchLine, ...]
    volume_parts: tuple[float, ...]
    mass_parts: tuple[float, ...]
    pot_life: PotLife
    use_within_h: float
    stir: StirRule
    steps: tuple[str, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]


def card_for_kits(sheet: ProductSheet, kits: float, *, batch_c: float, usable_pot_life: float = 0.75) -> BatchCard:
    """Batch card for a number of kits or a share of one; a share only where the sheet lets a kit be divided.

    InputError for a broken kit of a product whose kits must be mixed whole.
    """
    require_between(kits, (0.0, inf), where="batch", unit="kits")
    require_between(usable_pot_life, (0.0, 1.0), where="usable share of the pot life", unit="(fraction)")
    whole = abs(kits - round(kits)) < WHOLE
    if not whole and not sheet.part_kits:
        raise InputError(_broken_kit(sheet, kits))
    mix, mix_l = mixture(sheet), kits * sheet.kit_volume_l
    life = pot_life(sheet, batch_c, mass_kg=mix_l * mix.density_kg_l)
    shares = _in_order(mix)
    stir = stir_rule(sheet)
    finding = kit_mass_finding(sheet)
    return BatchCard(
        product=sheet.name,
        kits=kits,
        measure="whole kits" if whole else "by mass",
        mix_l=mix_l,
        mix_kg=mix_l * mix.density_kg_l,
        lines=tuple(_line(share, mix_l) for share in shares),
        volume_parts=tuple(share.poured_l / shares[0].poured_l for share in shares),
        mass_parts=tuple(share.mass_kg / shares[0].mass_kg for share in shares),
        pot_life=life,
        use_within_h=usable_pot_life * life.hours,
        stir=stir,
        steps=_steps(shares, whole=whole, stir=stir, life_h=life.hours),
        findings=(finding,) if finding else (),
        cautions=cautions_for(_card_stage(sheet)),
    )


def card_for_litres(sheet: ProductSheet, mix_l: float, *, batch_c: float, usable_pot_life: float = 0.75) -> BatchCard:
    """Batch card for a volume of mix, under the same rule: whole kits, or by mass where the sheet allows a share."""
    kits = mix_l / sheet.kit_volume_l
    return card_for_kits(sheet, kits, batch_c=batch_c, usable_pot_life=usable_pot_life)


def kit_mass_finding(sheet: ProductSheet) -> Finding | None:
    """Finding when the kit's printed mass and the mass of its parts differ by more than 3 %; None when they agree."""
    parts_kg = sheet.kit_volume_l * mixture(sheet).density_kg_l
    off = sheet.kit_mass_kg / parts_kg - 1.0
    if abs(off) <= KIT_MASS_TOLERANCE:
        return None
    return Finding(
        rule="kit_mass",
        severity="warn",
        cause=f"A kit of {sheet.name} is said to weigh {sheet.kit_mass_kg:.2f} kg, but {sheet.kit_volume_l:g} L of its "
        f"parts weigh {parts_kg:.2f} kg ({off:+.1%}; 3 % is taken as rounding).",
        advice="Check densities, parts by volume and kit size. The kit's volume is that of the mixed coating (powder "
        "without its air), its mass that of the contents without tins. Until they agree, mix whole kits only.",
        source="mass balance of the sheet's own numbers; the 3 % is our choice",
    )


def _card_stage(sheet: ProductSheet) -> Stage:
    if len(sheet.parts) == 1:
        return "one_part_card"
    return "epoxy_card" if sheet.kind in ("barrier_epoxy", "primer") else "batch_card"


def _broken_kit(sheet: ProductSheet, kits: float) -> Problem:
    return Problem(
        where=f"batch of {sheet.name}",
        found=f"{kits:.3f} kits",
        allowed="whole kits: the sheet does not let a kit be divided",
        advice=f"Mix {max(1, round(kits))} kit(s) of {sheet.kit_volume_l:g} L, or ask the maker for the ratio by mass.",
    )


def _in_order(mix: Mixture) -> tuple[PartShare, ...]:
    return tuple(sorted(mix.parts, key=lambda share: share.powder))


def _line(share: PartShare, mix_l: float) -> BatchLine:
    return BatchLine(
        part=share.name,
        powder=share.powder,
        litres=share.poured_l * mix_l,
        grams=1000.0 * share.mass_kg * mix_l,
    )


def _steps(shares: tuple[PartShare, ...], *, whole: bool, stir: StirRule, life_h: float) -> tuple[str, ...]:
    liquids = [share.name for share in shares if not share.powder]
    powders = [share.name for share in shares if share.powder]
    steps = ["Stir each liquid in its own tin until nothing is left on the bottom."]
    if len(liquids) > 1:
        how = "Empty both tins to the last" if whole and len(liquids) == 2 else "Empty every tin to the last"
        by = how if whole else "Weigh exactly by the grams on this card, one part after the other into one pot"
        steps.append(f"{' and '.join(liquids)}: {by}; never more hardener to make it faster.")
        steps.append("Stir to one even colour, scraping side and bottom; pour into a clean pot and stir again.")
    steps.extend(f"Then add {name} slowly while stirring, until no dry powder is left." for name in powders)
    if len(shares) > 1:
        steps.append(f"Write down the time of mixing: the pot life of {60.0 * life_h:.0f} min runs from now.")
    steps.append("Pour into the pan at once; no more than the crew can roll in the usable time.")
    steps.append(stir.text)
    if len(shares) > 1:
        steps.append("Throw away what thickens or grows warm. Never thin it to bring it back.")
    return tuple(steps)
