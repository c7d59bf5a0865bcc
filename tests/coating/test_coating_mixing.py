"""Batch card, pot life and the kit that does not add up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boottop.base.errors import InputError
from boottop.coating.film import mixture
from boottop.coating.mixing import card_for_kits, card_for_litres, kit_mass_finding, pot_life
from boottop.coating.sheet import ProductSheet
from tests.coating.made import BARRIER, COPPER_EPOXY


def test_card_of_a_kit() -> None:
    """2 L of 1 : 1 : 1 by bulk: each part is poured as 2/2.558 L, copper with its air."""
    card = card_for_kits(COPPER_EPOXY, 1.0, batch_c=20.0)
    poured_l = 2.0 / (2.0 + 5.0 / 8.96)
    assert [line.part for line in card.lines] == ["base", "hardener", "copper powder"]
    assert [line.litres for line in card.lines] == pytest.approx([poured_l] * 3, rel=1e-12)
    assert [line.grams for line in card.lines] == pytest.approx(
        [1100.0 * poured_l, 1050.0 * poured_l, 5000.0 * poured_l], rel=1e-12
    )
    assert card.volume_parts == pytest.approx((1.0, 1.0, 1.0))
    assert card.mass_parts == pytest.approx((1.0, 1.05 / 1.10, 5.0 / 1.10))
    assert card.measure == "whole kits"
    assert card.use_within_h == pytest.approx(0.75 * card.pot_life.hours)


def test_order_of_mixing_is_liquids_then_copper() -> None:
    steps = card_for_kits(COPPER_EPOXY, 1.0, batch_c=20.0).steps
    ratio, even, copper, clock = (
        next(index for index, step in enumerate(steps) if word in step)
        for word in ("base and hardener", "even colour", "Then add copper", "time of mixing")
    )
    assert ratio < even < copper < clock


def test_a_share_of_a_kit_goes_by_mass_only_where_the_sheet_lets_it() -> None:
    card = card_for_litres(COPPER_EPOXY, 0.8, batch_c=20.0)
    assert card.measure == "by mass"
    assert card.kits == pytest.approx(0.4)
    assert any("Weigh exactly" in step for step in card.steps)
    with pytest.raises(InputError, match=r"batch of Tern Copper: found 0.400 kits; allowed: whole kits"):
        card_for_litres(replace(COPPER_EPOXY, part_kits=False), 0.8, batch_c=20.0)
    assert card_for_litres(replace(COPPER_EPOXY, part_kits=False), 4.0, batch_c=20.0).kits == pytest.approx(2.0)


def test_cautions_fit_the_tin() -> None:
    topics = {caution.topic for caution in card_for_kits(COPPER_EPOXY, 1.0, batch_c=20.0).cautions}
    assert {"uncured epoxy", "isopropanol", "wet antifouling"} <= topics
    assert "wet antifouling" not in {caution.topic for caution in card_for_kits(BARRIER, 1.0, batch_c=20.0).cautions}
    soft = replace(COPPER_EPOXY, kind="eroding_antifouling", parts=COPPER_EPOXY.parts[:1])
    card = card_for_kits(soft, 1.0, batch_c=20.0)
    assert "uncured epoxy" not in {caution.topic for caution in card.cautions}
    assert not any("hardener" in step or "pot life" in step for step in card.steps)


def test_pot_life_at_the_sheets_own_mass_and_temperature_is_the_sheets() -> None:
    life = pot_life(COPPER_EPOXY, 20.0, mass_kg=1.0)
    assert life.hours == pytest.approx(1.0, rel=1e-12)
    assert not life.extrapolated
    assert not life.mass_outside


@pytest.mark.parametrize(("sheet", "low", "high"), [(COPPER_EPOXY, 0.04, 0.06), (BARRIER, 0.06, 0.18)])
def test_mass_from_a_quarter_to_four_kilos_costs_what_was_found(sheet: ProductSheet, low: float, high: float) -> None:
    """4-6 % in total water-based, 6-18 % solvent-free (own exotherm model, not a published value)."""
    small, large = pot_life(sheet, 20.0, mass_kg=0.25), pot_life(sheet, 20.0, mass_kg=4.0)
    assert low <= 1.0 - large.hours / small.hours <= high
    assert not small.mass_outside
    assert pot_life(sheet, 20.0, mass_kg=4.5).mass_outside


def test_a_cold_pot_is_flagged() -> None:
    life = pot_life(COPPER_EPOXY, 4.0, mass_kg=1.0)
    assert life.extrapolated
    assert life.hours > 2.0


def test_kit_mass_against_its_parts() -> None:
    honest_kg = 2.0 * mixture(COPPER_EPOXY).density_kg_l
    assert kit_mass_finding(replace(COPPER_EPOXY, kit_mass_kg=1.029 * honest_kg)) is None
    assert kit_mass_finding(replace(COPPER_EPOXY, kit_mass_kg=0.971 * honest_kg)) is None
    finding = kit_mass_finding(replace(COPPER_EPOXY, kit_mass_kg=1.032 * honest_kg))
    assert finding is not None
    assert finding.severity == "warn"
    assert "+3.2%" in finding.cause
    assert card_for_kits(replace(COPPER_EPOXY, kit_mass_kg=9.0), 1.0, batch_c=20.0).findings
