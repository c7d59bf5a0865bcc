"""Conservation, round trips and monotonicity of the coating arithmetic."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.coating.batches import plan_batches
from boottop.coating.film import dry_film_um, mean_wet_film_um, mixture, theoretical_rate_m2_l, wet_film_um
from boottop.coating.mixing import card_for_litres, pot_life
from boottop.coating.settling import HINDRANCES, stokes_grain_um, stokes_m_s
from boottop.coating.sheet import Part, ProductSheet, Times
from boottop.coating.takeoff import area_sd_m2, take_off
from boottop.coating.times import time_at
from tests.coating.made import COPPER_EPOXY, FACTS, hull, sloop, system, zone

share = st.floats(0.05, 1.0)
liquids = st.builds(
    Part,
    name=st.sampled_from(["A", "B", "C"]),
    volume_parts=st.floats(0.1, 10.0),
    density_kg_l=st.floats(0.8, 2.0),
    solids_fraction=share,
)
powders = st.builds(
    Part,
    name=st.just("powder"),
    volume_parts=st.floats(0.1, 3.0),
    density_kg_l=st.floats(5.0, 9.0),
    solids_fraction=st.just(1.0),
    bulk_density_kg_l=st.floats(1.0, 4.9),
)


@st.composite
def sheets(draw: st.DrawFn) -> ProductSheet:
    parts = (*draw(st.lists(liquids, min_size=1, max_size=3)), *draw(st.lists(powders, max_size=1)))
    return replace(COPPER_EPOXY, parts=parts)


@st.composite
def falling_times(draw: st.DrawFn) -> Times:
    temperatures_c = sorted(draw(st.lists(st.integers(-5, 40), min_size=1, max_size=5, unique=True)))
    hours = sorted(draw(st.lists(st.floats(0.1, 200.0), min_size=len(temperatures_c), max_size=len(temperatures_c))))
    return Times(temperature_c=tuple(float(each) for each in temperatures_c), hours=tuple(reversed(hours)))


@given(sheets(), st.floats(0.05, 20.0))
def test_parts_of_a_batch_fill_its_volume_and_weigh_its_mass(sheet: ProductSheet, mix_l: float) -> None:
    card = card_for_litres(sheet, mix_l, batch_c=20.0)
    density = {(part.name, part.bulk_density_kg_l is not None): part.density_kg_l for part in sheet.parts}
    assert sum(line.grams for line in card.lines) == pytest.approx(1000.0 * card.mix_kg, rel=1e-9)
    if len(density) == len(sheet.parts):
        filled_l = sum(line.grams / 1000.0 / density[line.part, line.powder] for line in card.lines)
        assert filled_l == pytest.approx(mix_l, rel=1e-9)


@given(sheets(), st.floats(0.05, 20.0))
def test_batch_keeps_the_sheets_ratio_by_volume(sheet: ProductSheet, mix_l: float) -> None:
    poured = sorted(line.litres for line in card_for_litres(sheet, mix_l, batch_c=20.0).lines)
    wanted = sorted(part.volume_parts for part in sheet.parts)
    assert np.array(poured) / sum(poured) == pytest.approx(np.array(wanted) / sum(wanted), rel=1e-9)


@given(sheets())
def test_a_mix_lies_between_its_parts(sheet: ProductSheet) -> None:
    mix = mixture(sheet)
    solids = [part.solids_fraction for part in sheet.parts]
    densities = [part.density_kg_l for part in sheet.parts]
    hair = 1e-12
    assert min(solids) - hair <= mix.solids_fraction <= max(solids) + hair
    assert min(densities) * (1 - hair) <= mix.density_kg_l <= max(densities) * (1 + hair)
    assert sum(part.filled_l for part in mix.parts) == pytest.approx(1.0, rel=1e-12)


@given(st.floats(10.0, 500.0), share, st.floats(0.0, 0.5))
def test_wet_and_dry_film_are_inverse(dry_um: float, solids: float, thinner: float) -> None:
    wet_um = wet_film_um(dry_um, solids, thinner_fraction=thinner)
    assert wet_um >= dry_um * (1 - 1e-12)
    assert dry_film_um(wet_um, solids, thinner_fraction=thinner) == pytest.approx(dry_um, rel=1e-12)


@given(st.floats(10.0, 500.0), share, st.floats(0.5, 200.0))
def test_mean_wet_film_round_trip(dry_um: float, solids: float, area_m2: float) -> None:
    """Litres bought by the spreading rate, rolled over the area, lie as thick as the wet film asked for."""
    litres = area_m2 / theoretical_rate_m2_l(solids, dry_um)
    assert mean_wet_film_um(litres, area_m2) == pytest.approx(wet_film_um(dry_um, solids), rel=1e-12)


@given(falling_times(), st.lists(st.floats(-10.0, 45.0), min_size=2, max_size=20))
def test_times_fall_with_temperature_and_are_positive(times: Times, temperatures_c: list[float]) -> None:
    hours, outside = time_at(times, np.sort(np.array(temperatures_c)))
    assert (hours > 0.0).all()
    assert all(late <= early * (1 + 1e-9) for early, late in pairwise(hours.tolist()))
    inside = ~outside
    assert (hours[inside] <= max(times.hours) * (1 + 1e-12)).all()
    assert (hours[inside] >= min(times.hours) * (1 - 1e-12)).all()


@given(falling_times(), st.floats(-10.0, 45.0))
def test_one_temperature_and_an_array_agree(times: Times, temperature_c: float) -> None:
    hours, outside = time_at(times, temperature_c)
    many, flags = time_at(times, np.array([[temperature_c]]))
    assert hours == pytest.approx(float(many[0, 0]), rel=1e-15)
    assert outside == bool(flags[0, 0])


@given(st.floats(0.25, 2.0), st.floats(10.0, 29.0), st.floats(0.01, 1.0))
def test_pot_life_falls_with_mass_and_temperature(mass_kg: float, batch_c: float, more: float) -> None:
    now_h = pot_life(COPPER_EPOXY, batch_c, mass_kg=mass_kg).hours
    assert pot_life(COPPER_EPOXY, batch_c, mass_kg=mass_kg + more).hours < now_h
    assert pot_life(COPPER_EPOXY, batch_c + more, mass_kg=mass_kg).hours < now_h


@given(st.floats(1.0, 200.0), st.floats(100.0, 8000.0), st.floats(1e-3, 10.0))
def test_stokes_and_its_inverse(grain_um: float, excess_kg_m3: float, viscosity_pa_s: float) -> None:
    speed_m_s = stokes_m_s(grain_um, excess_kg_m3, viscosity_pa_s=viscosity_pa_s)
    assert stokes_grain_um(speed_m_s, excess_kg_m3, viscosity_pa_s=viscosity_pa_s) == pytest.approx(grain_um, rel=1e-9)


@given(st.floats(0.0, 0.6), st.floats(0.0, 0.3))
def test_a_crowd_sinks_slower(powder: float, more: float) -> None:
    for law in HINDRANCES.values():
        assert 0.0 < law(powder + more) <= law(powder) <= law(0.0) == 1.0


@given(st.floats(0.2, 60.0), st.tuples(st.floats(10.0, 30.0), st.integers(1, 4)), st.booleans())
def test_batches_cover_the_zone_and_no_more_than_they_must(
    area_m2: float, crew: tuple[float, int], part_kits: bool
) -> None:
    batch_c, applicators = crew
    sheet = replace(COPPER_EPOXY, part_kits=part_kits)
    batch = plan_batches(system(sheet), area_m2, replace(FACTS, batch_c=batch_c, applicators=applicators))
    litres = batch.batches * batch.litres_each - batch.left_l
    assert mean_wet_film_um(litres, area_m2, loss_fraction=0.2) == pytest.approx(
        wet_film_um(75.0, mixture(sheet).solids_fraction), rel=1e-9
    )
    assert batch.left_l < batch.litres_each
    assert batch.kits_each <= 1.0 + 1e-12
    assert batch.in_time or not part_kits


@given(st.floats(0.5, 0.99), st.floats(0.001, 0.009), st.booleans())
def test_more_confidence_never_means_fewer_kits(confidence: float, more: float, part_kits: bool) -> None:
    job = (system(replace(COPPER_EPOXY, part_kits=part_kits)),)
    less, greater = (
        take_off(sloop(), job, replace(FACTS, confidence=level)).orders[0] for level in (confidence, confidence + more)
    )
    assert less.kits <= greater.kits
    assert less.wanted_l <= less.kits * COPPER_EPOXY.kit_volume_l + 1e-6
    assert less.left_l == pytest.approx(less.kits * COPPER_EPOXY.kit_volume_l - less.litres, abs=1e-9)


@given(st.lists(st.floats(0.1, 20.0), min_size=2, max_size=6), st.floats(0.0, 1.0), st.integers(1, 6))
def test_doubt_of_some_zones_lies_between_free_and_shared(areas_m2: list[float], shared: float, count: int) -> None:
    boat = hull(*(zone(f"zone {index}", area_m2) for index, area_m2 in enumerate(areas_m2)), shared=shared)
    some = boat.zones[:count]
    sds = np.array([each.area_sd_m2 for each in some])
    found = area_sd_m2(boat, some)
    assert np.sqrt((sds**2).sum()) * (1 - 1e-9) <= found <= sds.sum() * (1 + 1e-9)
    assert area_sd_m2(boat, boat.zones) == pytest.approx(boat.total_sd_m2, rel=1e-9)
