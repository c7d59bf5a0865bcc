"""The drawn hull: on the contract of the facets, near the areas that count, and marked as what it is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.measure.appendages import appendage_area
from boottop.measure.build import build_hull
from boottop.measure.hull import Side
from boottop.measure.inputs import (
    Appendage,
    AppendageKind,
    Dimensions,
    Form,
    Hidden,
    HullMeasure,
    NamedZone,
    Offsets,
)
from boottop.measure.mesh import PARTS, HullMesh
from boottop.measure.shell import Shell, draw_shell
from boottop.measure.shell_lines import lines_of, section_curves
from boottop.measure.shell_outline import flat_corners, stations_at, zone_outlines
from boottop.measure.shell_spots import footprints_of
from boottop.measure.shell_thin import thinned
from boottop.measure.spots import Spot
from tests.measure.boats import BLOCKS, BOOT_TOP, FIN, PADS, RUDDER, TAPED, by_dimensions, plain, sloop


def drawn(measure: HullMeasure) -> Shell:
    return draw_shell(measure, build_hull(measure))


def wigley() -> HullMeasure:
    """The Wigley hull as a table: y = (1 - (2x/L - 1)^2) (1 - (z/T)^2) B/2, L 10, B 2, T 0.8 (from memory)."""
    x, z = np.linspace(0.0, 10.0, 13), np.linspace(0.0, 0.8, 9)
    y = (1.0 - (0.2 * x[:, None] - 1.0) ** 2) * (1.0 - (z[None, :] / 0.8 - 1.0) ** 2)
    table = Offsets(
        stations_m=tuple(x.tolist()),
        waterlines_m=tuple(z.tolist()),
        half_breadths_m=tuple(tuple(row) for row in y.tolist()),
        draft_m=0.8,
    )
    return replace(plain(), girths=None, offsets=table)


@pytest.mark.parametrize(
    "measure", [plain(), sloop(), by_dimensions(), wigley()], ids=["bare", "sloop", "dims", "table"]
)
def test_a_likeness_has_about_the_area_that_counts(measure: HullMeasure) -> None:
    shell = drawn(measure)
    share = 0.12 if measure.dimensions is not None else 0.03
    assert sum(shell.drawn_m2.values()) == pytest.approx(sum(shell.reckoned_m2.values()), rel=share)
    for zone, area in shell.drawn_m2.items():
        assert area * shell.factor(zone) == pytest.approx(shell.reckoned_m2[zone])


def test_it_meets_the_tape_where_it_was_held() -> None:
    lines = lines_of(plain())
    for station, girth, beam in TAPED[1:]:
        assert lines.half_girth_m(station) == pytest.approx(girth, rel=0.003)
        assert lines.at(np.asarray([station]), np.ones(1))[0, 0, 0] == pytest.approx(beam, abs=1e-6)


def test_a_table_is_drawn_as_it_stands() -> None:
    points = lines_of(wigley()).at(np.asarray([2.5, 5.0]), np.linspace(0.0, 1.0, 9))
    for station, curve in zip((2.5, 5.0), points, strict=True):
        y, z = curve.T
        exact = (1.0 - (0.2 * station - 1.0) ** 2) * (1.0 - (z / 0.8) ** 2)
        assert np.abs(y - exact).max() < 0.02


def test_dimensions_are_met_by_what_is_drawn() -> None:
    measure = by_dimensions()
    lines, main = lines_of(measure), measure.dimensions
    assert main is not None
    assert 2.0 * lines.points_m[:, -1, 0].max() == pytest.approx(main.waterline_beam_m, rel=0.002)
    assert -lines.points_m[:, 0, 1].min() == pytest.approx(main.body_draft_m, rel=0.002)
    areas = 2.0 * np.trapezoid(lines.points_m[:, :, 0], lines.points_m[:, :, 1], axis=1)
    assert float(np.trapezoid(areas, lines.stations_m)) == pytest.approx(main.displaced_m3, rel=0.02)


def test_sections_turn_one_way_and_leave_the_keel_at_the_deadrise() -> None:
    curve = section_curves(np.asarray([1.5]), np.asarray([0.9]), 20.0)[0]
    slope = np.degrees(np.arctan2(np.diff(curve[:, 1]), np.diff(curve[:, 0])))
    assert slope[0] == pytest.approx(20.0, abs=1.5)
    assert (np.diff(slope) > -1e-6).all()
    assert slope[-1] == pytest.approx(90.0, abs=6.0)


def _facing(mesh: HullMesh, part: str, zone: str) -> float:
    """Mean outward component athwartships of a zone's facets of one part, weighed by area."""
    chosen = mesh.chosen(zone) & (mesh.part_of == PARTS.index(part))
    return float(np.average(mesh.normals[chosen, 1], weights=mesh.areas_m2[chosen]))


def test_facets_face_outwards_and_none_crosses_the_centreplane() -> None:
    mesh = drawn(sloop()).mesh
    y = mesh.vertices_m[mesh.facets][:, :, 1]
    assert not ((y.min(axis=1) < -1e-9) & (y.max(axis=1) > 1e-9)).any()
    for part in ("hull", "keel"):
        assert _facing(mesh, part, "port side") < -0.3
        assert _facing(mesh, part, "starboard side") > 0.3
    sole = mesh.part_of == PARTS.index("sole")
    assert (mesh.normals[sole, 2] < -0.99).all()
    bare = drawn(plain()).mesh
    assert bare.surface.signed_volume_m3() > 3.0
    assert (mesh.areas_m2 > 0.0).all()
    assert not mesh.closed


def test_port_and_starboard_mirror_each_other() -> None:
    shell = drawn(sloop())
    assert shell.drawn_m2["port side"] == pytest.approx(shell.drawn_m2["starboard side"], rel=1e-9)


def test_pads_blocks_and_zones_of_ones_own_have_their_size() -> None:
    shell = drawn(sloop())
    for zone in ("pads 1", "keel sole", BOOT_TOP.name):
        assert shell.drawn_m2[zone] == pytest.approx(shell.reckoned_m2[zone], rel=0.03)
    pads = [spot for spot in shell.spots if spot.kind == "pads"]
    assert sorted(spot.side for spot in pads) == ["port"] * 3 + ["starboard"] * 3
    strip = shell.mesh.vertices_m[shell.mesh.facets[shell.mesh.chosen(BOOT_TOP.name)]]
    assert strip[:, :, 2].max() == pytest.approx(0.0, abs=1e-9)


def test_blocks_of_a_boat_without_a_keel_stand_on_her_centreline() -> None:
    shell = drawn(replace(sloop(), appendages=(RUDDER,)))
    sole = shell.mesh.vertices_m[shell.mesh.facets[shell.mesh.chosen("keel sole")]]
    assert np.abs(sole[:, :, 1]).max() < 0.2
    assert shell.drawn_m2["keel sole"] == pytest.approx(2 * BLOCKS.area_each_m2, rel=0.1)


def test_places_that_were_measured_are_kept_and_others_are_said_to_be_guesses() -> None:
    place = Spot(name="stand pads", kind="pads", side="port", station_m=4.0, height_m=1.5, length_m=0.3, width_m=0.3)
    told = replace(PADS, count=1, side="port", spots=(place,))
    found = footprints_of(replace(sloop(), hidden=(told,)), lines_of(sloop()))
    assert [(spot.station_m, spot.written_down) for spot in found] == [(4.0, True)]
    depth = -lines_of(sloop()).bottom_m(np.asarray([4.6]))[0]
    assert 0.0 < found[0].girth_m < 1.8
    low = -(depth + FIN.height_m)
    shell = drawn(replace(sloop(), hidden=(told,)))
    pad = shell.mesh.surface.centres_m[shell.mesh.chosen("pads 1")].mean(axis=0)
    assert pad == pytest.approx([4.0, pad[1], low + 1.5], abs=0.08)
    assert not any("usual places" in note for note in shell.notes)
    assert any("usual places" in note for note in drawn(sloop()).notes)


def test_slings_go_right_round_her_in_a_zone_of_their_own() -> None:
    slings = Hidden(name="slings", kind="slings", area_each_m2=0.5, count=2)
    shell = drawn(replace(plain(), hidden=(slings,)))
    assert shell.drawn_m2["under the slings"] == pytest.approx(1.0, rel=0.05)
    girths = shell.mesh.unrolled_m[shell.mesh.chosen("under the slings"), :, 0]
    assert girths.min() < -1.0 < 1.0 < girths.max()


def test_a_likeness_says_that_it_is_one() -> None:
    assert drawn(plain()).notes[0].startswith("Drawn from the tape, not a scan")
    assert drawn(by_dimensions()).notes[0].startswith("Drawn from the main dimensions alone")


def test_a_second_set_of_stands_is_drawn_between_the_first() -> None:
    other = replace(PADS, stand_set=2, name="other pads")
    spots = [spot for spot in drawn(replace(sloop(), hidden=(PADS, other))).spots if spot.side == "port"]
    stations = {number: {round(s.station_m, 2) for s in spots if s.stand_set == number} for number in (1, 2)}
    assert not stations[1] & stations[2]


# The flat view


def test_the_flat_view_keeps_girths_and_lengths() -> None:
    shell = drawn(plain())
    girths, lengths = shell.mesh.unrolled_m[:, :, 0], shell.mesh.unrolled_m[:, :, 1]
    assert np.abs(girths).max() == pytest.approx(1.8, abs=0.01)
    skin = shell.mesh.part_of == PARTS.index("hull")
    x = shell.mesh.vertices_m[shell.mesh.facets][:, :, 0]
    assert lengths[skin] == pytest.approx(x[skin], abs=1e-6)
    assert (np.sign(girths.sum(axis=1)) == np.where(shell.mesh.chosen("port side"), -1.0, 1.0)).all()


def _enclosed(lines: tuple[np.ndarray[tuple[int, int], np.dtype[np.float64]], ...]) -> float:
    total = 0.0
    for line in lines:
        x, y = line.T
        total += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return abs(total)


def test_outlines_enclose_the_flat_facets_holes_left_out() -> None:
    mesh = drawn(replace(sloop(), appendages=())).mesh
    flat = mesh.unrolled_m
    one, two = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    areas = 0.5 * np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    outlines = zone_outlines(mesh)
    assert set(outlines) == set(mesh.zone_names)
    for name in ("port side", "starboard side"):
        assert _enclosed(outlines[name]) == pytest.approx(float(areas[mesh.chosen(name)].sum()), rel=0.01)


def test_stations_pass_the_zone_from_end_to_end() -> None:
    mesh = drawn(plain()).mesh
    found = stations_at(mesh, "port side", np.linspace(0.0, 1.0, 21))
    assert found[0] == pytest.approx(0.0)
    assert (np.diff(found) > 0.0).all()
    half = mesh.surface.centres_m[:, 0] < found[10]
    port = mesh.chosen("port side")
    assert float(mesh.areas_m2[half & port].sum()) == pytest.approx(0.5 * mesh.zone_area_m2("port side"), rel=0.05)


def test_corners_are_told_apart_only_where_the_flat_view_tears() -> None:
    mesh = drawn(plain()).mesh
    vertex, flat, corners = flat_corners(mesh)
    assert len(vertex) == len(mesh.vertices_m)
    assert flat[corners][:, :, ::-1] == pytest.approx(mesh.unrolled_m)


# Fewer facets


def test_fewer_facets_keep_zones_borders_and_nearly_the_area() -> None:
    mesh = drawn(sloop()).mesh
    few = thinned(mesh, 4000)
    assert few.surface.count <= 4000 < mesh.surface.count
    assert few.zone_names == mesh.zone_names
    assert few.surface.area_m2() == pytest.approx(mesh.surface.area_m2(), rel=0.02)
    for name in mesh.zone_names:
        assert few.zone_area_m2(name) == pytest.approx(mesh.zone_area_m2(name), rel=0.04)


def test_a_mesh_that_is_small_enough_stays_as_it_is() -> None:
    mesh = drawn(plain()).mesh
    assert thinned(mesh) is mesh


def test_a_mesh_that_is_all_borders_is_given_back_in_finite_time() -> None:
    mesh = drawn(replace(plain(), named_zones=(NamedZone(name="strip", side="port", area_m2=0.4),))).mesh
    assert 0 < thinned(mesh, 10).surface.count < mesh.surface.count


# Every kind of boat and gear


@pytest.mark.parametrize(
    ("form", "displaced_m3"), [("yacht", 5.5), ("motor", 9.0), ("ship", 11.0)], ids=["yacht", "motor", "ship"]
)
def test_every_form_is_drawn_with_its_volume(form: Form, displaced_m3: float) -> None:
    main = Dimensions(
        form=form, waterline_length_m=10.0, waterline_beam_m=3.0, body_draft_m=0.6, displaced_m3=displaced_m3
    )
    measure = replace(plain(), girths=None, dimensions=main, deadrise_deg=12.0)
    lines = lines_of(measure)
    areas = 2.0 * np.trapezoid(lines.points_m[:, :, 0], lines.points_m[:, :, 1], axis=1)
    assert float(np.trapezoid(areas, lines.stations_m)) == pytest.approx(displaced_m3, rel=0.1)
    assert drawn(measure).mesh.surface.area_m2() > 20.0


KINDS: tuple[tuple[AppendageKind, float, float, float], ...] = (
    ("fin_keel", 1.6, 1.1, 0.2), ("bulb", 2.0, 0.3, 0.4), ("rudder", 0.5, 1.0, 0.08), ("skeg", 0.8, 0.6, 0.1),
    ("strut", 0.12, 0.35, 0.03), ("shaft", 1.2, 0.0, 0.035), ("fin", 0.6, 0.5, 0.08),
)  # fmt: skip


@pytest.mark.parametrize(("kind", "length_m", "height_m", "thickness_m"), KINDS, ids=[kind for kind, *_ in KINDS])
@pytest.mark.parametrize(("count", "side"), [(1, "centre"), (2, "centre"), (3, "centre"), (1, "port")])
def test_every_kind_of_gear_is_drawn_in_size_and_on_its_side(
    kind: AppendageKind, length_m: float, height_m: float, *, thickness_m: float, count: int, side: Side
) -> None:
    one = Appendage(
        name="gear", kind=kind, length_m=length_m, height_m=height_m, thickness_m=thickness_m, count=count, side=side
    )
    shell = drawn(replace(plain(), appendages=(one,)))
    own = ~np.isin(shell.mesh.part_of, [PARTS.index("hull"), PARTS.index("end")])
    assert float(shell.mesh.areas_m2[own].sum()) == pytest.approx(appendage_area(one).total_m2, rel=0.15)
    assert np.isfinite(shell.mesh.vertices_m).all()
    if side == "port":
        assert shell.mesh.vertices_m[shell.mesh.facets[own]][:, :, 1].max() < 0.0


def test_mouths_of_a_tunnel_are_shown_and_its_wall_is_not() -> None:
    tunnel = Appendage(name="bow thruster", kind="thruster_tunnel", length_m=0.8, thickness_m=0.2)
    shell = drawn(replace(plain(), appendages=(tunnel,)))
    assert [spot.kind for spot in shell.spots] == ["tunnel", "tunnel"]
    assert any("Not in the picture: running gear" in note for note in shell.notes)
