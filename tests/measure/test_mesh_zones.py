"""Zones, parts, pads, flat coordinates and facing of a small cruiser with her keel, and the books that follow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.measure.build import build_hull
from boottop.measure.hull import Hull
from boottop.measure.inputs import Hidden
from boottop.measure.mesh import PARTS, HullMesh, MeshHull
from boottop.measure.mesh_bottom import bottom_of
from boottop.measure.mesh_facing import facing_pieces, from_bow_deg, tilt_deg
from boottop.measure.mesh_frame import Told, Waterline, guess_pose, upright
from boottop.measure.mesh_repair import Repair
from boottop.measure.mesh_weld import welded
from boottop.measure.mesh_zones import ZoneCut, Zoning, keel_root, parts_area_m2, zoned
from boottop.measure.spots import Spot, clashes, other_places
from tests.measure.boats import plain, zone
from tests.measure.meshes import revolved, sloop, wigley_half

BOTTOM = bottom_of(Repair(surface=welded(sloop())).whole_hull(), Waterline(fore_m=0.0, aft_m=0.0))
PLAIN = zoned(BOTTOM, Zoning())


def pad(side: str, station_m: float, height_m: float = 1.6) -> Spot:
    return Spot(
        name="pad", kind="pads", side=side, station_m=station_m, height_m=height_m, length_m=0.3, width_m=0.3,  # type: ignore[arg-type]
    )  # fmt: skip


def measured(mesh: HullMesh, hidden: tuple[Hidden, ...] = (), placed: frozenset[int] = frozenset()) -> Hull:
    hull = MeshHull(mesh=mesh, area_sd_m2=0.4, method="a mesh", placed=placed)
    return build_hull(replace(plain(), girths=None, mesh=hull, hidden=hidden))


def test_sides_keel_sole_and_rudder_are_told_apart() -> None:
    assert keel_root(BOTTOM) == pytest.approx(-0.5, abs=0.06)
    assert PLAIN.zone_names == ("port side", "starboard side", "running gear")
    port, starboard = parts_area_m2(PLAIN, "port side"), parts_area_m2(PLAIN, "starboard side")
    assert port["keel"] == pytest.approx(1.6 * 1.43 + 0.18 * 1.43, rel=0.05)
    assert port["sole"] == pytest.approx(0.5 * 1.6 * 0.18, rel=1e-6)
    assert parts_area_m2(PLAIN, "running gear")["gear"] == pytest.approx(2 * 0.58 * 1.04, rel=0.1)
    for part in PARTS:
        assert port[part] == pytest.approx(starboard[part], rel=0.02, abs=0.02)
    assert sum(PLAIN.zone_area_m2(name) for name in PLAIN.zone_names) == pytest.approx(BOTTOM.area_m2, rel=1e-9)


def test_a_hull_without_a_keel_has_none() -> None:
    hull = Repair(surface=wigley_half(61, 31)).whole_hull()
    bottom = bottom_of(hull, Waterline(fore_m=0.625, aft_m=0.625))
    assert keel_root(bottom) is None
    assert zoned(bottom, Zoning()).zone_names == ("port side", "starboard side")


def test_cuts_take_their_facets_and_nothing_is_lost() -> None:
    cut = ZoneCut(name="bow, port", side="port", from_m=0.0, to_m=2.0, above_m=-0.3, below_m=-0.02)
    steep = ZoneCut(name="steep", tilt_to_deg=100.0, from_m=3.0, to_m=4.0)
    mesh = zoned(BOTTOM, Zoning(cuts=(cut, steep)))
    assert {"bow, port", "steep"} <= set(mesh.zone_names)
    chosen = mesh.chosen("bow, port")
    x, y, z = mesh.surface.centres_m[chosen].T
    assert (y < 0).all()
    assert ((x > 0) & (x < 2) & (z > -0.3) & (z < -0.02)).all()
    corners = mesh.vertices_m[mesh.facets[chosen]]
    assert corners[:, :, 0].max() <= 2.0 + 1e-9
    assert mesh.areas_m2.sum() == pytest.approx(BOTTOM.area_m2, rel=1e-9)
    assert tilt_deg(mesh.normals[mesh.chosen("steep")]).max() <= 100.0


def test_pads_blocks_and_slings_are_cut_out_of_the_skin() -> None:
    block = Spot(name="block", kind="blocks", side="centre", station_m=5.0, height_m=0.0, length_m=0.2, width_m=0.15)
    sling = Spot(name="sling", kind="slings", side="centre", station_m=2.0, height_m=1.4, length_m=0.2, width_m=3.0)
    spots = (
        *(("pads 1", pad(side, x)) for side in ("port", "starboard") for x in (2.5, 7.0)),
        ("keel sole", block),
        ("under the slings", sling),
    )
    mesh = zoned(BOTTOM, Zoning(spots=spots))
    assert mesh.zone_area_m2("pads 1") == pytest.approx(4 * 0.09, rel=0.03)
    assert mesh.zone_area_m2("keel sole") == pytest.approx(0.2 * 0.15, rel=1e-3)
    assert 0.2 < mesh.zone_area_m2("under the slings") < 0.8
    assert mesh.areas_m2.sum() == pytest.approx(BOTTOM.area_m2, rel=1e-9)
    with pytest.raises(InputError, match=r"where she has no skin.*Stations count aft"):
        zoned(BOTTOM, Zoning(spots=(("pads 1", pad("port", 14.0)),)))


def test_the_flat_view_keeps_area_and_sides() -> None:
    flat = PLAIN.unrolled_m
    assert flat.shape == (PLAIN.surface.count, 3, 2)
    starboard = PLAIN.surface.centres_m[:, 1] > 0
    assert (flat[starboard][:, :, 0] >= 0).all()
    assert (flat[~starboard][:, :, 0] <= 0).all()
    sphere = bottom_of(
        Repair(surface=revolved(lambda x: 0.5 + 0 * x, 6.0)).whole_hull("whole"), Waterline(fore_m=0.0, aft_m=0.0)
    )
    tube = zoned(sphere, Zoning())
    a, b = tube.unrolled_m[:, 1] - tube.unrolled_m[:, 0], tube.unrolled_m[:, 2] - tube.unrolled_m[:, 0]
    assert 0.5 * np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() == pytest.approx(0.5 * np.pi * 6.0, rel=5e-3)
    assert tube.unrolled_m[:, :, 0].max() == pytest.approx(0.25 * np.pi, rel=5e-3)


def test_facing_follows_the_facets() -> None:
    pieces = facing_pieces(PLAIN, "starboard side", laminate=plain().laminate, keel_material="lead")
    by_name = {piece.patch.name: piece.patch for piece in pieces}
    assert sum(patch.area_m2 for patch in by_name.values()) == pytest.approx(PLAIN.zone_area_m2("starboard side"))
    assert all(0.0 <= patch.from_bow_deg <= 180.0 for name, patch in by_name.items() if name.startswith("bilge"))
    assert {"topsides, facing abeam", "bilge, facing abeam", "bottom"} <= set(by_name)
    assert by_name["bottom"].tilt_deg > 156.0 > by_name["bilge, facing abeam"].tilt_deg > 119.0
    assert by_name["keel, starboard"].view == "keel"
    assert by_name["keel, starboard"].layers[0].material == "lead"
    assert by_name["keel, starboard"].tilt_deg == pytest.approx(90.0, abs=1.0)
    assert by_name["keel sole, starboard"].tilt_deg == pytest.approx(180.0, abs=0.1)
    blunt = revolved(lambda x: 2.0 * np.sqrt(np.maximum(1.0 - (x - 2.0) ** 2 / 4.0, 0.0)), 4.0)
    ball = zoned(bottom_of(Repair(surface=blunt).whole_hull("whole"), Waterline(fore_m=0.0, aft_m=0.0)), Zoning())
    names = {
        p.patch.name: p.patch for p in facing_pieces(ball, "port side", laminate=plain().laminate, keel_material="lead")
    }
    assert 270.0 < names["bilge, facing forward"].from_bow_deg < 345.0
    assert 195.0 < names["bilge, facing aft"].from_bow_deg < 270.0
    assert from_bow_deg(np.array([[0.0, 1.0, -0.2]])).tolist() == [90.0]


def test_the_books_hold_what_the_mesh_holds() -> None:
    spots = (pad("port", 2.5), pad("starboard", 2.5))
    mesh = zoned(BOTTOM, Zoning(cuts=(ZoneCut(name="bow", to_m=1.5),), spots=tuple(("pads 1", s) for s in spots)))
    hidden = (
        Hidden(name="pads", kind="pads", area_each_m2=0.09, count=2, spots=spots),
        Hidden(name="anode", kind="anode", area_each_m2=0.05),
    )
    hull = measured(mesh, hidden, frozenset({0}))
    assert hull.total_m2 == pytest.approx(BOTTOM.area_m2 - 0.05, rel=1e-9)
    assert zone(hull, "pads 1").area_m2 == pytest.approx(mesh.zone_area_m2("pads 1"), rel=1e-9)
    assert zone(hull, "bow").kind == "named"
    assert zone(hull, "running gear").area_m2 == pytest.approx(mesh.zone_area_m2("running gear"), rel=1e-9)
    assert hull.total_sd_m2 == pytest.approx(0.4, rel=0.1)
    assert sum(z.area_m2 for z in hull.zones) == pytest.approx(hull.total_m2)


def test_places_alternate_and_clashes_are_told() -> None:
    stood = [pad(side, x) for side in ("port", "starboard") for x in (2.0, 4.5, 7.0)]
    assert len(clashes(stood, stood)) == len(stood)
    ask = other_places(stood, length_m=10.0)
    assert not clashes(ask, stood)
    by_side = {side: [s.station_m for s in ask if s.side == side] for side in ("port", "starboard")}
    assert by_side["port"] == by_side["starboard"]
    assert max(abs(a.station_m - b.station_m) for a, b in zip(ask, stood, strict=True)) <= 0.45
    again = other_places(ask, length_m=10.0)
    assert not clashes(again, ask)


@pytest.mark.parametrize(("unit", "scale"), [("mm", 1000.0), ("m", 1.0), ("in", 1 / 0.0254)])
def test_unit_and_axes_are_guessed(unit: str, scale: float) -> None:
    surface = welded(sloop())
    turned = surface.moved(scale * surface.vertices_m[:, [1, 2, 0]] * np.array([1.0, 1.0, -1.0]))
    guess = guess_pose(turned, Told(length_m=10.2))
    assert (guess.pose.unit, guess.pose.bow, guess.pose.up) == (unit, "+z", "+y")
    assert guess.guessed == ("unit", "bow", "up")
    back = upright(turned, guess.pose)
    assert np.ptp(back.vertices_m[:, 0]) == pytest.approx(10.0)
    assert back.vertices_m[:, 2].min() == pytest.approx(-1.9)
    assert guess_pose(turned, Told(unit="m", bow="+z", up="+y")).guessed == ()


def test_a_length_that_may_be_two_units_is_told() -> None:
    surface = welded(sloop())
    said = guess_pose(surface.moved(surface.vertices_m * 3.0), Told()).because
    assert any("30.00 m in m" in sentence or "9.14 m in ft" in sentence for sentence in said)
