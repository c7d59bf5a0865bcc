"""Meshes as they come: holes, doubles, turned and inside-out facets, halves, second skins; mended or refused."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.measure.mesh import Facets
from boottop.measure.mesh_bottom import bottom_of
from boottop.measure.mesh_frame import Waterline
from boottop.measure.mesh_repair import Repair, lopsided
from boottop.measure.mesh_weld import edges_of, shells, turned_alike, welded
from tests.measure.meshes import box, sloop, together, wigley_half

AT = Waterline(fore_m=0.625, aft_m=0.625)
HALF = wigley_half(61, 31)
WHOLE = HALF.with_mirror_image()
AREA = bottom_of(Repair(surface=WHOLE).whole_hull(), AT).area_m2


def mended(surface: Facets) -> tuple[float, list[str]]:
    repair = Repair(surface=surface)
    bottom = bottom_of(repair.whole_hull(), AT)
    return bottom.area_m2, repair.notes


def soup(surface: Facets) -> Facets:
    """The same facets, each with corners of its own, as an STL has them."""
    corners = surface.vertices_m[surface.facets].reshape(-1, 3)
    return Facets(vertices_m=corners, facets=np.arange(len(corners), dtype=np.int32).reshape(-1, 3))


def test_corners_of_an_stl_are_joined() -> None:
    again = welded(soup(WHOLE))
    assert len(again.vertices_m) == len(WHOLE.vertices_m)
    assert again.area_m2() == pytest.approx(WHOLE.area_m2(), rel=1e-12)
    assert int(shells(again, edges_of(again)).max()) == 0


def test_half_hulls_are_told_and_mirrored() -> None:
    assert lopsided(HALF)
    assert not lopsided(WHOLE)
    area, notes = mended(HALF)
    assert area == pytest.approx(AREA, rel=1e-9)
    assert any(note.startswith("Half a hull, mirrored about y = 0.000 m") for note in notes)


def test_half_with_a_wall_off_centre_and_on_the_port_side() -> None:
    """Closed on its centreplane, moved sideways, and the other half: the wall is dropped and the plane found."""
    port = Facets(vertices_m=HALF.vertices_m * np.array([1.0, -1.0, 1.0]), facets=HALF.facets[:, ::-1].copy())
    wall = port.moved(port.vertices_m * np.array([1.0, 0.0, 1.0]))
    closed = together(port, Facets(vertices_m=wall.vertices_m, facets=wall.facets[:, ::-1].copy()))
    shifted = welded(closed).moved(welded(closed).vertices_m + np.array([0.0, 3.0, 0.0]))
    area, notes = mended(shifted)
    assert area == pytest.approx(AREA, rel=1e-3)
    assert any("A wall of" in note for note in notes)


def test_inside_out_and_mixed_facets_are_turned() -> None:
    area, notes = mended(Facets(vertices_m=WHOLE.vertices_m, facets=WHOLE.facets[:, ::-1].copy()))
    assert area == pytest.approx(AREA, rel=1e-9)
    assert any("inside out" in note for note in notes)
    mixed = WHOLE.facets.copy()
    mixed[::7] = mixed[::7, ::-1]
    repair = Repair(surface=Facets(vertices_m=WHOLE.vertices_m, facets=mixed))
    hull = repair.whole_hull()
    assert bottom_of(hull, AT).area_m2 == pytest.approx(AREA, rel=1e-9)
    assert hull.doubled_normals_m2[:, 2].sum() < 0.0
    assert any("turned over to face as their neighbours do" in note for note in repair.notes)


def test_the_same_half_twice_is_told_and_kept_once() -> None:
    area, notes = mended(welded(together(HALF, HALF)))
    assert area == pytest.approx(AREA, rel=1e-9)
    assert any("the same half or hull twice" in note for note in notes)


def test_a_second_skin_is_refused() -> None:
    inner = WHOLE.moved(WHOLE.vertices_m * np.array([0.98, 0.9, 0.97]) + np.array([0.1, 0.0, 0.02]))
    with pytest.raises(InputError, match=r"two skins over each other.*Take the inside of the shell"):
        mended(together(WHOLE, inner))


def test_a_second_copy_of_one_half_is_refused() -> None:
    other = wigley_half(53, 27)
    with pytest.raises(InputError, match=r"2 skins to port and|2 skins to port|and 2 to starboard"):
        Repair(surface=together(WHOLE, other)).whole_hull("whole")


def test_bulkheads_are_refused_as_not_manifold() -> None:
    frames = [box((x, -0.4, 0.1), (x + 0.4, 0.4, 0.5)) for x in np.arange(2.0, 8.0, 0.4)]
    with pytest.raises(InputError, match=r"not manifold.*outer skin alone"):
        Repair(surface=welded(together(box((0, -1, 0), (10, 1, 1)), *frames))).whole_hull()


def test_a_one_sided_surface_is_refused() -> None:
    turns = np.linspace(0.0, 2.0 * np.pi, 25)[:-1]
    rim = np.stack([np.cos(turns), np.sin(turns), np.zeros_like(turns)], axis=1)
    out = np.stack([np.cos(turns) * np.cos(turns / 2), np.sin(turns) * np.cos(turns / 2), np.sin(turns / 2)], axis=1)
    points = np.concatenate((rim * 3 + 0.5 * out, rim * 3 - 0.5 * out))
    n = len(turns)
    a = np.arange(n)
    b = (a + 1) % n
    up, down = np.where(b == 0, n, 0) + b, np.where(b == 0, 0, n) + b  # the last strip goes over to the other edge
    facets = np.concatenate((np.stack((a, up, down), axis=1), np.stack((a, down, a + n), axis=1))).astype(np.int32)
    band = Facets(vertices_m=points, facets=facets)
    assert not turned_alike(band, edges_of(band))[2]
    with pytest.raises(InputError, match="one-sided surface"):
        Repair(surface=band).whole_hull()


def test_hair_gaps_are_closed_and_large_holes_refused() -> None:
    apart = soup(WHOLE)
    shaken = apart.moved(np.round(apart.vertices_m + 2e-5 * np.sin(np.arange(len(apart.vertices_m)))[:, None], 7))
    repair = Repair(surface=welded(shaken))
    hull = repair.whole_hull("whole")
    assert any("Hair gaps" in note for note in repair.notes)
    assert bottom_of(hull, AT).area_m2 == pytest.approx(AREA, rel=2e-3)
    x, z = WHOLE.centres_m[:, 0], WHOLE.centres_m[:, 2]
    torn = WHOLE.kept(~((x > 3.0) & (x < 6.0) & (z < 0.4)))
    with pytest.raises(InputError, match=r"hole.*in the skin.*\(open\)"):
        mended(torn)


def test_a_small_hole_is_noted_and_doubted() -> None:
    x, y, z = WHOLE.centres_m.T
    hole = WHOLE.kept(~((x > 4.0) & (x < 4.3) & (y > 0.0) & (z > 0.3) & (z < 0.4)))
    bottom = bottom_of(Repair(surface=hole).whole_hull("whole"), AT)
    assert not bottom.closed
    assert 0.0 < bottom.holes_sd_m2 < 0.05
    assert any("1 hole in the skin" in note for note in bottom.notes)


def test_waterlines_off_the_hull_are_refused() -> None:
    hull = Repair(surface=WHOLE).whole_hull()
    with pytest.raises(InputError, match=r"waterline .* under the hull's lowest point"):
        bottom_of(hull, Waterline(fore_m=-0.5, aft_m=-0.5))
    with pytest.raises(InputError, match=r"boot top 0\.38 m above the highest point"):
        bottom_of(hull, Waterline(fore_m=1.0, aft_m=1.0))


def test_trim_is_turned_out_and_area_stays() -> None:
    """A hull drawn bow-up by one in twenty, with her waterline said by two heights, is the level hull again."""
    slope = 0.05
    v = WHOLE.vertices_m
    turned = np.stack((v[:, 0], v[:, 1], v[:, 2] + slope * (10.0 - v[:, 0]) * -1.0), axis=1)
    hull = Repair(surface=WHOLE.moved(turned)).whole_hull()
    bottom = bottom_of(hull, Waterline(fore_m=0.625 - 0.5, aft_m=0.625))
    assert bottom.waterline_length_m == pytest.approx(10.0 * np.hypot(1.0, slope), rel=1e-3)
    assert bottom.area_m2 == pytest.approx(AREA, rel=5e-3)


def test_sloop_with_keel_and_rudder_as_shells_of_their_own() -> None:
    hull = Repair(surface=welded(sloop())).whole_hull()
    assert int(shells(hull, edges_of(hull)).max()) == 2
    bottom = bottom_of(hull, Waterline(fore_m=0.0, aft_m=0.0))
    assert bottom.draft_m == pytest.approx(1.9)
    assert bottom.area_m2 == pytest.approx(31.8, abs=0.3)  # 25.21 hull, 5.0 keel, 1.6 rudder
    assert bottom.closed
    assert any("Parts pass through each other" in note for note in bottom.notes)
