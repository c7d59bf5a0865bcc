"""The hull by zone: sums, deductions, patches, doubts, notes."""

from __future__ import annotations

from dataclasses import replace
from math import fsum, hypot, pi

import pytest

from boottop.base.errors import InputError
from boottop.measure.appendages import appendage_area, ellipsoid_area_m2, foil_perimeter_m
from boottop.measure.build import build_hull
from boottop.measure.girths import girth_area
from boottop.measure.hull import Layer
from boottop.measure.inputs import Appendage, Hidden, HullMeasure, NamedZone
from tests.measure.boats import (
    ANODE,
    BLOCKS,
    BOOT_TOP,
    FIN,
    PADS,
    RUDDER,
    SHAFT,
    STRUT,
    by_dimensions,
    girths,
    plain,
    sloop,
    zone,
)


def test_zones_and_their_order() -> None:
    hull = build_hull(sloop())
    assert [z.name for z in hull.zones] == [
        "port side", "starboard side", "running gear", "pads 1", "keel sole", "boot top",
    ]  # fmt: skip
    assert [z.kind for z in hull.zones] == ["side", "side", "gear", "pads", "sole", "named"]
    assert build_hull(plain()).zones[-1].name == "starboard side"


@pytest.mark.parametrize("measure", [plain(), sloop(), by_dimensions()], ids=["plain", "sloop", "dimensions"])
def test_areas_sum(measure: HullMeasure) -> None:
    hull = build_hull(measure)
    assert fsum(z.area_m2 for z in hull.zones) == hull.total_m2
    for each in hull.zones:
        assert len({patch.name for patch in each.patches}) == len(each.patches)
        assert fsum(patch.area_m2 for patch in each.patches) == each.area_m2
        assert each.area_m2 > 0.0
        assert 0.0 < each.area_sd_m2 < each.area_m2


def test_total_is_hull_and_appendages_less_what_is_covered_or_bare() -> None:
    hull = build_hull(sloop())
    parts = [appendage_area(a) for a in (FIN, RUDDER, SHAFT, STRUT)]
    expected = girth_area(girths()).area_m2 + sum(p.total_m2 - p.covered_m2 for p in parts) - 0.04
    assert hull.total_m2 == pytest.approx(expected, rel=1e-12)
    assert zone(hull, "pads 1").area_m2 == pytest.approx(6 * 0.09)
    assert zone(hull, "keel sole").area_m2 == pytest.approx(2 * 0.04)
    assert zone(hull, "boot top").area_m2 == pytest.approx(2.0)
    assert zone(hull, "port side").area_m2 == pytest.approx(zone(hull, "starboard side").area_m2)


def test_girths_to_the_keel_root_are_not_reduced_again() -> None:
    boat = replace(plain(), appendages=(FIN,))
    rooted = replace(boat, girths=replace(girths(), to_keel_root=True))
    assert build_hull(rooted).total_m2 - build_hull(boat).total_m2 == pytest.approx(appendage_area(FIN).covered_m2)


def test_doubts_shared_by_both_sides_add_up() -> None:
    hull = build_hull(plain())
    assert hull.total_sd_m2 > 1.3 * hypot(*(z.area_sd_m2 for z in hull.zones))
    assert hull.total_sd_m2 >= girth_area(girths()).sd_m2


def test_an_area_moved_between_zones_leaves_the_total_s_doubt_alone() -> None:
    bare, padded = build_hull(plain()), build_hull(replace(plain(), hidden=(PADS,)))
    assert padded.total_m2 == pytest.approx(bare.total_m2, rel=1e-12)
    assert padded.total_sd_m2 == pytest.approx(bare.total_sd_m2, rel=1e-12)
    assert zone(padded, "pads 1").area_sd_m2 == pytest.approx(0.054)
    assert zone(padded, "port side").area_sd_m2 > zone(bare, "port side").area_sd_m2


def test_pads_by_set_and_side() -> None:
    second = replace(PADS, name="second stands", stand_set=2, side="port", count=1)
    hull = build_hull(replace(plain(), hidden=(PADS, second)))
    assert zone(hull, "pads 1").stand_set == 1
    assert zone(hull, "pads 1").side == "centre"
    assert zone(hull, "pads 2").stand_set == 2
    assert zone(hull, "pads 2").side == "port"
    assert zone(hull, "port side").area_m2 == pytest.approx(zone(hull, "starboard side").area_m2 - 0.09)
    assert {patch.from_bow_deg for patch in zone(hull, "pads 1").patches} == {90.0, 270.0}


def test_sole_stays_bare_unless_asked() -> None:
    hull = build_hull(sloop())
    sole = zone(hull, "keel sole")
    assert not sole.coated
    assert sole.substrate == "lead"
    assert sole.patches[0].tilt_deg == 180.0
    assert any("stays bare on its blocks" in note for note in hull.notes)
    coated = build_hull(replace(sloop(), sole_coated=True))
    assert zone(coated, "keel sole").coated
    assert not any("stays bare on its blocks" in note for note in coated.notes)


def test_blocks_under_a_long_keel_come_out_of_the_hull() -> None:
    hull = build_hull(replace(plain(), hidden=(BLOCKS,)))
    sole = zone(hull, "keel sole")
    assert sole.substrate == "grp"
    assert sole.patches[0].layers == plain().laminate
    assert hull.total_m2 == pytest.approx(build_hull(plain()).total_m2, rel=1e-12)


def test_blocks_come_off_the_zone_that_holds_the_keel() -> None:
    keel = replace(FIN, zone="running gear")
    bare, blocked = (build_hull(replace(plain(), appendages=(keel,), hidden=h)) for h in ((), (BLOCKS,)))
    assert zone(blocked, "running gear").area_m2 == pytest.approx(zone(bare, "running gear").area_m2 - 0.08)


def test_bare_things_are_named() -> None:
    hull = build_hull(sloop())
    assert "Left bare: 2 x hull anode, 0.040 m2." in hull.notes


def test_patches_of_a_side() -> None:
    hull = build_hull(sloop())
    port = {patch.name: patch for patch in zone(hull, "port side").patches}
    assert set(port) == {"bilge", "bottom", "transom", "fin keel, port", "fin keel, ends"}
    assert (port["bottom"].tilt_deg, port["bottom"].view) == (162.0, "bottom")
    assert (port["bilge"].tilt_deg, port["bilge"].view) == (126.0, "bilge")
    assert (port["fin keel, port"].tilt_deg, port["fin keel, port"].view) == (90.0, "keel")
    assert port["fin keel, port"].layers == (Layer(material="lead", thickness_m=0.18),)
    assert port["transom"].from_bow_deg == 180.0
    assert {patch.from_bow_deg for name, patch in port.items() if name != "transom"} == {270.0}
    starboard = [p for p in zone(hull, "starboard side").patches if p.name != "transom"]
    assert {patch.from_bow_deg for patch in starboard} == {90.0}


def test_gear_by_material() -> None:
    hull = build_hull(sloop())
    gear = zone(hull, "running gear")
    materials = {patch.layers[0].material for patch in gear.patches}
    assert materials == {"grp", "stainless", "bronze"}
    assert gear.substrate == "grp"
    moulded = next(p for p in gear.patches if p.name == "grp gear, port")
    assert [layer.material for layer in moulded.layers] == ["grp", "foam"]
    assert any(note.startswith("running gear also holds stainless 0.13 m2, bronze") for note in hull.notes)


def test_alike_gear_becomes_one_patch() -> None:
    thick = replace(STRUT, name="second strut", thickness_m=0.05, count=1)
    hull = build_hull(replace(plain(), appendages=(STRUT, thick)))
    patches = zone(hull, "running gear").patches
    assert [patch.name for patch in patches] == ["bronze gear, port", "bronze gear, starboard"]
    assert 0.03 < patches[0].layers[0].thickness_m < 0.05


def test_patches_keep_different_names() -> None:
    thin = replace(RUDDER, name="trim tab", thickness_m=0.008)
    tunnel = Appendage(name="thruster", kind="thruster_tunnel", length_m=1.0, thickness_m=0.2)
    gear = zone(build_hull(replace(plain(), appendages=(RUDDER, thin, tunnel))), "running gear")
    names = [patch.name for patch in gear.patches]
    assert len(set(names)) == len(names)
    assert "grp gear, port (2)" in names
    walls = [patch for patch in gear.patches if patch.name.startswith("thruster")]
    assert {(patch.tilt_deg, patch.view) for patch in walls} == {(180.0, "bottom")}


def test_appendage_on_one_side_and_in_a_named_zone() -> None:
    bilge_keel = replace(FIN, name="bilge keel", kind="fin", side="port", material="grp")
    hull = build_hull(replace(plain(), appendages=(bilge_keel,)))
    assert zone(hull, "port side").area_m2 > zone(hull, "starboard side").area_m2 + 3.0
    named = NamedZone(name="aft gear", side="centre", area_m2=0.5)
    inside = build_hull(replace(plain(), named_zones=(named,), appendages=(replace(RUDDER, zone="aft gear"),)))
    assert zone(inside, "aft gear").area_m2 == pytest.approx(0.5 + appendage_area(RUDDER).total_m2)


def test_bulb_and_fin_share_a_patch_that_neither_shows() -> None:
    bulb = Appendage(name="bulb", kind="bulb", length_m=2.0, height_m=0.4, thickness_m=0.5, zone="sides")
    alone = build_hull(plain()).total_m2
    both = build_hull(replace(plain(), appendages=(FIN, bulb))).total_m2
    patch = 0.7 * 1.6 * 0.18
    fin = foil_perimeter_m(1.6, 0.18) * 1.1
    assert both - alone == pytest.approx(fin - patch + ellipsoid_area_m2(2.0, 0.4, 0.5) - patch, rel=1e-9)


def test_appendage_areas() -> None:
    tunnel = Appendage(name="bow thruster", kind="thruster_tunnel", length_m=1.2, thickness_m=0.2)
    assert appendage_area(tunnel).total_m2 == pytest.approx(pi * 0.2 * 1.2)
    assert appendage_area(tunnel).covered_m2 == pytest.approx(2 * pi * 0.01)
    assert appendage_area(SHAFT).total_m2 == pytest.approx(pi * 0.035 * 1.2)
    assert appendage_area(replace(RUDDER, count=2)).total_m2 == pytest.approx(2 * appendage_area(RUDDER).total_m2)
    plate = replace(RUDDER, thickness_m=0.0)
    assert appendage_area(plate).total_m2 == pytest.approx(2 * 0.5 * 1.2, rel=1e-3)


def test_named_zone_takes_its_tilt_and_both_sides() -> None:
    boot_top = zone(build_hull(replace(plain(), named_zones=(BOOT_TOP,))), "boot top")
    assert [(p.from_bow_deg, p.tilt_deg, p.view) for p in boot_top.patches] == [
        (270.0, 95.0, "topsides"),
        (90.0, 95.0, "topsides"),
    ]


def test_too_much_taken_out_names_the_entry() -> None:
    crowd = replace(PADS, count=600)
    with pytest.raises(InputError, match=r"measure\.hidden\[2\] \(stand pads\): found 27\.00 m2 to take out of port"):
        build_hull(replace(plain(), hidden=(ANODE, crowd)))
    gear_anode = replace(ANODE, zone="running gear", area_each_m2=5.0)
    with pytest.raises(InputError, match=r"measure\.hidden\[1\] \(hull anode\): .* running gear"):
        build_hull(replace(sloop(), hidden=(gear_anode,)))


def test_all_that_does_not_fit_is_told_at_once() -> None:
    big = NamedZone(name="belt", side="port", area_m2=90.0)
    with pytest.raises(InputError, match="belt") as caught:
        build_hull(replace(plain(), named_zones=(big,), hidden=(replace(PADS, count=900),)))
    assert len(caught.value.problems) == 3


def test_dimensions_give_a_hull_with_its_doubt() -> None:
    hull = build_hull(by_dimensions())
    assert hull.method == "main dimensions (Delft, Denny-Mumford)"
    assert hull.total_m2 == pytest.approx(24.2, abs=0.3)
    assert 0.03 < hull.total_sd_m2 / hull.total_m2 < 0.08
    tunnel = Hidden(name="depth sounder", kind="transducer", area_each_m2=0.01, zone="port side")
    assert build_hull(replace(by_dimensions(), hidden=(tunnel,))).total_m2 == pytest.approx(hull.total_m2 - 0.01)


def test_whole_girths_are_suspected() -> None:
    doubled = replace(
        girths(), readings=tuple(replace(r, half_girth_m=2.0 * r.half_girth_m) for r in girths().readings)
    )
    notes = build_hull(replace(plain(), girths=doubled)).notes
    assert sum("were whole girths taped" in note for note in notes) == 2
    assert not any("whole girths" in note for note in build_hull(plain()).notes)
