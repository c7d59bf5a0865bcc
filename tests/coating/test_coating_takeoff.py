"""Litres, kits, batches and the small order."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest

from boottop.base.errors import InputError
from boottop.coating.batches import largest_batch_l, plan_batches
from boottop.coating.film import coat_rate_m2_l, mixture
from boottop.coating.mixing import pot_life
from boottop.coating.scope import zones_for
from boottop.coating.takeoff import area_sd_m2, take_off
from tests.coating.made import BARRIER, COPPER_EPOXY, FACTS, hull, sloop, system, zone


def test_litres_are_area_over_practical_rate() -> None:
    order = take_off(sloop(), (system(),), FACTS).orders[0]
    solids = (0.50 + 0.46 + 5.0 / 8.96) / (2.0 + 5.0 / 8.96)
    spreading_m2_l = 1000.0 * solids / 75.0 * 0.8
    assert order.spreading_m2_l == pytest.approx(spreading_m2_l, rel=1e-12)
    assert order.wet_film_um == pytest.approx(75.0 / solids, rel=1e-12)
    assert order.area_m2 == pytest.approx(30.4)
    assert order.litres == pytest.approx(4 * 30.4 / spreading_m2_l, rel=1e-12)
    assert sum(line.litres for line in order.coats) == pytest.approx(order.litres, rel=1e-12)
    assert len(order.coats) == 4 * 4


def test_kits_cover_the_mean_and_the_one_sided_quantile() -> None:
    """k = 1.2816 for 90 %, normal table."""
    result = take_off(sloop(), (system(),), FACTS)
    order = result.orders[0]
    assert result.sd_multiple == pytest.approx(1.2816, abs=5e-5)
    assert order.wanted_l == pytest.approx(order.litres + result.sd_multiple * order.litres_sd, rel=1e-12)
    assert order.kits == ceil(order.wanted_l / 2.0)
    assert order.left_l == pytest.approx(2.0 * order.kits - order.litres, rel=1e-12)
    assert order.cost_minor == 25_000 * order.kits == result.cost_minor
    assert order.contents_kg == pytest.approx(5.6 * order.kits)
    assert order.freight_kg == pytest.approx(1.1 * order.contents_kg)


def test_zones_share_errors_as_the_hull_does() -> None:
    boat = sloop()
    assert area_sd_m2(boat, boat.zones) == pytest.approx(boat.total_sd_m2, rel=1e-12)
    assert area_sd_m2(boat, boat.zones[:1]) == pytest.approx(boat.zones[0].area_sd_m2, rel=1e-12)
    stiff = hull(*boat.zones, shared=1.0)
    assert area_sd_m2(stiff, stiff.zones[:2]) == pytest.approx(2 * 0.03 * 14.0, rel=1e-12)
    free = hull(*boat.zones, shared=0.0)
    assert area_sd_m2(free, free.zones[:2]) == pytest.approx(2**0.5 * 0.03 * 14.0, rel=1e-9)


def test_kits_that_stay_whole_are_opened_for_every_coat_of_every_part() -> None:
    """A side of 14 m2 at 6.3 m2/L wants 1.1 kits a coat, so two; gear and pads one: five a coat, twenty in all."""
    whole = take_off(sloop(), (system(replace(COPPER_EPOXY, part_kits=False)),), FACTS).orders[0]
    divided = take_off(sloop(), (system(),), FACTS).orders[0]
    assert (whole.kits, whole.kits_opened) == (10, 20)
    assert (divided.kits, divided.kits_opened) == (10, 10)


def test_largest_batch_is_rolled_out_just_in_time() -> None:
    limit_l = largest_batch_l(system(), FACTS)
    life = pot_life(COPPER_EPOXY, FACTS.batch_c, mass_kg=limit_l * mixture(COPPER_EPOXY).density_kg_l)
    area_m2 = limit_l * coat_rate_m2_l(COPPER_EPOXY, 0.2)
    assert area_m2 / 20.0 == pytest.approx(0.75 * life.hours, rel=1e-9)


@pytest.mark.parametrize(
    ("area_m2", "batch_c", "limited_by"), [(5.0, 20.0, "zone"), (40.0, 12.0, "kit"), (40.0, 30.0, "pot life")]
)
def test_what_limits_a_batch(area_m2: float, batch_c: float, limited_by: str) -> None:
    batch = plan_batches(system(), area_m2, replace(FACTS, batch_c=batch_c))
    assert batch.limited_by == limited_by
    assert batch.in_time
    assert batch.batches * batch.area_each_m2 == pytest.approx(area_m2, rel=1e-12)
    assert batch.kits_each <= 1.0


def test_a_whole_kit_too_large_for_one_pair_of_hands() -> None:
    batch = plan_batches(
        system(replace(COPPER_EPOXY, part_kits=False)), 14.0, replace(FACTS, applicators=1, batch_c=30.0)
    )
    assert not batch.in_time
    assert batch.left_l == pytest.approx(batch.batches * 2.0 - 14.0 / coat_rate_m2_l(COPPER_EPOXY, 0.2))


def test_zones_by_default_by_name_and_for_a_primer() -> None:
    boat = sloop()
    bare = replace(boat, zones=(*boat.zones, replace(zone("sole", 0.5, kind="sole"), coated=False)))
    assert [each.name for each in zones_for(system(), bare)] == ["port", "starboard", "running gear", "pads 1"]
    primer = system(replace(BARRIER, kind="primer"), role="primer")
    assert [each.name for each in zones_for(primer, bare)] == ["running gear"]
    assert zones_for(primer, sloop(gear="grp")) == ()
    assert [each.name for each in zones_for(system(zones=("port", "sole")), bare)] == ["port"]
    with pytest.raises(InputError, match=r"zones of Tern Copper: found 'prot'.*Did you mean 'port'"):
        zones_for(system(zones=("prot",)), bare)


def test_a_product_with_nowhere_to_go_orders_nothing() -> None:
    primer = system(replace(BARRIER, kind="primer"), role="primer")
    order = take_off(sloop(gear="grp"), (primer,), FACTS).orders[0]
    assert (order.kits, order.litres, order.coats) == (0, 0.0, ())


def test_small_order_of_the_sloop() -> None:
    lines = {line.what: line for line in take_off(sloop(), (system(),), FACTS).consumables}
    assert lines["roller sleeve, short nap about 5 mm"].quantity == 4 * 3 * 2
    assert lines["masking tape, water-resistant"].quantity == ceil(4 * 1.1 * 9.5)
    assert lines["abrasive disc, grit 80-120, under Tern Copper"].quantity == ceil(30.4 / 2.5)
    assert lines["abrasive sheet, grit 320, to activate"].quantity == ceil(30.4 / 4.0)
    assert lines["isopropanol"].quantity == pytest.approx(1.9)
    assert lines["scale, 1 g"].quantity == 1
    assert lines["P3/P100 filter"].quantity >= FACTS.people
    assert {line.source for line in lines.values()} == {"common practice, no source"}


def test_abrading_is_not_bought_twice_for_what_the_barrier_covers() -> None:
    both = (system(BARRIER, role="barrier"), system())
    what = {line.what for line in take_off(sloop(), both, FACTS).consumables}
    assert "abrasive disc, grit 80-120, under Tern Barrier" in what
    assert "abrasive disc, grit 80-120, under Tern Copper" not in what


def test_without_waterline_or_stripping_neither_tape_nor_coarse_discs() -> None:
    facts = replace(FACTS, waterline_length_m=None, strip=False, cleaner="fresh water")
    what = " ".join(line.what for line in take_off(sloop(), (system(),), facts).consumables)
    assert "tape" not in what
    assert "stripping" not in what
    assert "water" not in what
    assert "isopropanol" not in what


def test_a_price_missing_leaves_the_sum_open() -> None:
    unpriced = replace(system(BARRIER, role="barrier"), kit_price_minor=None)
    assert take_off(sloop(), (unpriced, system()), FACTS).cost_minor is None


def test_orders_that_make_no_sense_are_refused() -> None:
    with pytest.raises(InputError, match=r"coats of Tern Copper: found 0; allowed: 1 or more"):
        take_off(sloop(), (replace(system(), coats=0),), FACTS)
    with pytest.raises(InputError, match=r"confidence of the order: found 1 \(fraction\)"):
        take_off(sloop(), (system(),), replace(FACTS, confidence=1.0))
    with pytest.raises(InputError, match=r"people who roll: found 0"):
        take_off(sloop(), (system(),), replace(FACTS, applicators=0))
    with pytest.raises(InputError, match=r"usable share of the pot life: found 1.5"):
        take_off(sloop(), (system(),), replace(FACTS, usable_pot_life=1.5))


def test_the_order_carries_its_cautions() -> None:
    assert "regulation" in {caution.topic for caution in take_off(sloop(), (system(),), FACTS).cautions}
