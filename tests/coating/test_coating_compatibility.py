"""Findings: each rule fires where it should, and is silent where it should."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

import pytest

from boottop.coating.cautions import CAUTIONS, STAGES, cautions_for
from boottop.coating.compatibility import findings, rule_names
from boottop.coating.facts import CrewFacts
from boottop.coating.finding import Finding
from boottop.coating.sheet import System, Times
from boottop.coating.workday import coats_in_a_row_h
from boottop.measure.hull import Hull, Layer
from tests.coating.made import BARRIER, COPPER_EPOXY, FACTS, sloop, system, table

BOTH = (system(BARRIER, role="barrier"), system())
CALM = replace(FACTS, strip=False)


def _said(
    rule: str, *, boat: Hull | None = None, systems: Iterable[System] = BOTH, facts: CrewFacts = CALM
) -> list[Finding]:
    boat = boat or sloop()
    return [finding for finding in findings(boat, tuple(systems), facts) if finding.rule == rule]


def _severities(found: Iterable[Finding]) -> set[str]:
    return {finding.severity for finding in found}


def test_a_sound_job_on_grp_leaves_notes_only() -> None:
    assert _severities(findings(sloop(), BOTH, CALM)) == {"note"}


@pytest.mark.parametrize("metal", ["aluminium", "steel", "cast_iron"])
def test_copper_on_metal_stops_bare_and_warns_through_a_barrier(metal: str) -> None:
    boat = sloop(metal)
    assert _severities(_said("copper_on_metal", boat=boat, systems=(system(),))) == {"stop"}
    assert _severities(_said("copper_on_metal", boat=boat)) == {"warn"}
    assert _severities(
        _said("copper_on_metal", boat=boat, systems=(system(),), facts=replace(CALM, barrier_sound=True))
    ) == {"warn"}


def test_copper_over_a_barrier_that_misses_one_zone() -> None:
    partial = (system(BARRIER, role="barrier", zones=("port", "running gear", "pads 1")), system())
    stops = [f for f in _said("copper_on_metal", boat=sloop("steel"), systems=partial) if f.severity == "stop"]
    assert len(stops) == 1
    assert "starboard" in stops[0].cause


def test_a_copper_product_called_barrier_does_not_count_as_one() -> None:
    cheat = (replace(system(), role="barrier"), system())
    assert "stop" in _severities(_said("copper_on_metal", boat=sloop("steel"), systems=cheat))


def test_an_iron_keel_on_a_grp_hull_is_metal_too() -> None:
    boat = sloop(gear="grp")
    port = boat.zones[0]
    keel = replace(port.patches[0], name="keel", view="keel", layers=(Layer(material="cast_iron", thickness_m=0.15),))
    keeled = replace(boat, zones=(replace(port, patches=(*port.patches, keel)), *boat.zones[1:]))
    assert _severities(_said("copper_on_metal", boat=keeled, systems=(system(),))) == {"stop"}
    assert _severities(_said("gear_bare", boat=keeled, systems=(system(),))) == {"stop"}
    assert not _said("gear_bare", boat=keeled)


@pytest.mark.parametrize("substrate", ["timber", "plywood", "ferro_cement", "steel", "aluminium"])
def test_barrier_required(substrate: str) -> None:
    assert _severities(_said("barrier_missing", boat=sloop(substrate), systems=(system(),))) == {"stop"}
    assert not _said("barrier_missing", boat=sloop(substrate))
    assert not _said(
        "barrier_missing", boat=sloop(substrate), systems=(system(),), facts=replace(CALM, barrier_sound=True)
    )


def test_barrier_advised_on_gelcoat() -> None:
    assert _severities(_said("barrier_missing", systems=(system(),))) == {"note"}


@pytest.mark.parametrize(
    ("metal", "severity"), [("bronze", "stop"), ("stainless", "warn"), ("lead", "warn"), ("cast_iron", "stop")]
)
def test_bare_gear(metal: str, severity: str) -> None:
    """Stop where the sheet itself asks for a primer on that metal."""
    assert _severities(_said("gear_bare", boat=sloop(gear=metal), systems=(system(),))) == {severity}
    primed = (system(replace(BARRIER, kind="primer"), role="primer"), system())
    assert not _said("gear_bare", boat=sloop(gear=metal), systems=primed)


def test_substrate_not_on_the_list_or_forbidden() -> None:
    timber = _said("substrate_refused", boat=sloop("timber"), systems=(system(),))
    assert any("names grp" in finding.cause for finding in timber)
    assert any(
        "forbids" in finding.cause
        for finding in _said("substrate_refused", boat=sloop("aluminium"), systems=(system(),))
    )
    assert not _said("substrate_refused", boat=sloop("timber"))
    picky = system(replace(BARRIER, allowed_substrates=("grp",)), role="barrier")
    assert _severities(_said("substrate_refused", boat=sloop("timber"), systems=(picky, system()))) == {"stop"}


@pytest.mark.parametrize(
    ("cleaner", "count"),
    [("Acetone", 1), ("white spirit", 2), ("an oil-based cleaner", 2), ("isopropanol", 0), ("boiled fresh water", 0)],
)
def test_cleaner(cleaner: str, count: int) -> None:
    """Acetone spoils the water-based product only; oil spoils both epoxies."""
    assert len(_said("cleaner_wrong", facts=replace(CALM, cleaner=cleaner))) == count


def test_one_day_impossible_with_one_pair_of_hands() -> None:
    """4 x 14 m2 at 5 m2/h are 11.2 h of rolling alone: no weather makes that fit 9 h."""
    alone = replace(CALM, applicators=1, roll_m2_h=5.0)
    found = _said("one_day", facts=alone)
    assert _severities(found) == {"stop"}
    assert "13.6 h at 20 degC" in found[0].cause
    assert "2 people rolling would do it" in found[0].advice


def test_one_day_only_when_warm() -> None:
    """56 m2 at 10 m2/h are 5.6 h; three waits of 1.6 h at 10 degC make 10.4 h, of 0.8 h at 20 degC 8 h."""
    alone = replace(CALM, applicators=1, surface_c=10.0)
    assert _severities(_said("one_day", facts=alone)) == {"warn"}
    assert coats_in_a_row_h(system(), 14.0, alone, surface_c=10.0) == pytest.approx(10.4)
    assert _severities(_said("one_day", facts=replace(alone, surface_c=20.0))) == {"note"}
    assert not _said("one_day", facts=CALM)


def test_waiting_alone_fills_the_day() -> None:
    found = _said("one_day", facts=replace(CALM, surface_c=10.0, working_day_h=4.5))
    assert any("waiting alone fills the day" in finding.advice for finding in found)


def test_fewer_coats_than_the_sheet() -> None:
    assert _severities(_said("coats_fewer", systems=(replace(system(), coats=3),))) == {"warn"}
    assert not _said("coats_fewer")


def test_extrapolated_pot_and_surface() -> None:
    found = _said("extrapolated", systems=(system(),), facts=replace(CALM, batch_c=5.0, surface_c=33.0))
    assert len(found) == 2
    assert "the pot is expected at 5 degC, outside the sheet's times for pot life (10 to 30 degC)" in found[0].cause
    one = replace(COPPER_EPOXY, immersion=Times(temperature_c=(23.0,), hours=(48.0,)))
    assert "immersion (23 degC)" in _said("extrapolated", systems=(system(one),))[0].cause


def test_surface_outside_the_sheets_limits() -> None:
    assert len(_said("outside_limits", facts=replace(CALM, surface_c=6.0))) == 2
    assert not _said("outside_limits")


def test_a_kit_that_does_not_weigh_its_parts() -> None:
    assert _severities(_said("kit_mass", systems=(system(replace(COPPER_EPOXY, kit_mass_kg=9.0)),))) == {"warn"}
    assert not _said("kit_mass")


def test_overcoat_window_shut_before_it_opens() -> None:
    shut = replace(COPPER_EPOXY, overcoat_max=table(24.0, 12.0, 0.4))
    found = _said("overcoat_before_tacky", systems=(system(shut),))
    assert "at 30 degC" in found[0].cause
    assert not _said("overcoat_before_tacky", systems=(replace(system(shut), coats=1),))


def test_times_that_rise_with_temperature() -> None:
    odd = replace(COPPER_EPOXY, tacky=table(0.8, 1.6, 0.5))
    found = _said("times_rising", systems=(system(odd),))
    assert len(found) == 1
    assert "tacky" in found[0].cause
    assert "10 to 20 degC (0.8 to 1.6 h)" in found[0].cause
    flat = replace(COPPER_EPOXY, overcoat_max=table(24.0, 24.0, 24.0))
    assert not _said("times_rising", systems=(system(flat),))


def test_kit_too_large_for_the_pot_life() -> None:
    whole = system(replace(COPPER_EPOXY, part_kits=False))
    assert _severities(_said("kit_too_large", systems=(whole,), facts=replace(CALM, applicators=1, batch_c=30.0))) == {
        "warn"
    }
    assert not _said("kit_too_large", systems=(whole,))


def test_kits_that_may_not_be_divided_show_both_numbers() -> None:
    found = _said("kits_stay_whole", systems=(system(replace(COPPER_EPOXY, part_kits=False)),))
    assert "10 kits hold" in found[0].cause
    assert "20 are used" in found[0].cause
    assert not _said("kits_stay_whole")


def test_regulated_substances_are_named_and_deferred() -> None:
    found = _said("regulated", facts=FACTS)
    assert len(found) == 2
    assert any("Check local code" in finding.advice for finding in found)
    assert any("lead or organotin" in finding.cause for finding in found)


def _worst_case() -> tuple[Finding, ...]:
    odd = replace(
        COPPER_EPOXY, kit_mass_kg=9.0, tacky=table(0.8, 1.6, 0.5), overcoat_max=table(1.0, 0.5, 0.3), part_kits=False
    )
    facts = replace(FACTS, applicators=1, roll_m2_h=4.0, surface_c=5.0, cleaner="acetone")
    return findings(sloop("steel"), (replace(system(odd), coats=3),), facts)


def test_every_rule_is_in_the_registry_and_fires_in_the_worst_case() -> None:
    found = _worst_case()
    assert {finding.rule for finding in found} == set(rule_names())
    assert [finding.severity for finding in found] == sorted(
        (finding.severity for finding in found), key=("stop", "warn", "note").index
    )
    assert all(finding.cause and finding.advice and finding.source for finding in found)


def test_nothing_is_ever_called_allowed() -> None:
    said = [f"{finding.cause} {finding.advice}" for finding in _worst_case()]
    said += [caution.text for caution in CAUTIONS.values()]
    assert not [
        text for text in said if re.search(r"\b(is|are|be) (allowed|legal|permitted|safe)\b", text, re.IGNORECASE)
    ]


def test_every_caution_is_said_somewhere_has_a_source_and_defers() -> None:
    assert {topic for topics in STAGES.values() for topic in topics} == set(CAUTIONS)
    for stage in STAGES:
        for caution in cautions_for(stage):
            assert caution.source
            assert caution.defers_to
