"""Areas of facets: kept by cutting, turning and mirroring; they scale with the square; more water wets more hull."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.measure.mesh import Facets
from boottop.measure.mesh_bottom import bottom_of
from boottop.measure.mesh_cut import cut
from boottop.measure.mesh_frame import AXES, Pose, Waterline, upright
from boottop.measure.mesh_repair import Repair
from boottop.measure.mesh_weld import edges_of, turned_alike, welded
from boottop.measure.mesh_zones import ZoneCut, Zoning, zoned
from tests.measure.meshes import box, sloop, wigley_half

HULL = Repair(surface=wigley_half(41, 21)).whole_hull()
SLOOP = bottom_of(Repair(surface=welded(sloop())).whole_hull(), Waterline(fore_m=0.0, aft_m=0.0))
SOON = settings(max_examples=40, deadline=3000)
SHARE = st.floats(0.02, 0.98)
PLACE = st.floats(0.0, 9.5)


@SOON
@given(normal=st.tuples(*[st.floats(-1.0, 1.0)] * 3), offset=st.floats(-1.0, 1.0))
def test_a_cut_keeps_area_and_direction(normal: tuple[float, float, float], offset: float) -> None:
    distance = (HULL.vertices_m - HULL.vertices_m.mean(axis=0)) @ np.asarray(normal) - offset
    made = cut(HULL, distance)
    assert made.surface.area_m2() == pytest.approx(HULL.area_m2(), rel=1e-9)
    both = made.surface.kept(made.under).area_m2() + made.surface.kept(~made.under).area_m2()
    assert both == pytest.approx(HULL.area_m2(), rel=1e-9)
    thick = made.surface.areas_m2 > 1e-8
    assert ((made.surface.normals * HULL.normals[made.parent]).sum(axis=1)[thick] > 0.999).all()


@SOON
@given(turned=st.integers(0, 2**32 - 1))
def test_facets_turned_at_random_are_turned_alike_again(turned: int) -> None:
    over = np.random.default_rng(turned).random(HULL.count) < 0.4
    facets = HULL.facets.copy()
    facets[over] = facets[over][:, ::-1]
    mixed = Facets(vertices_m=HULL.vertices_m, facets=facets)
    again, count, possible = turned_alike(mixed, edges_of(mixed))
    assert possible
    assert count == min(over.sum(), HULL.count - over.sum()) or count in (over.sum(), HULL.count - over.sum())
    assert abs(again.doubled_normals_m2[:, 2].sum()) == pytest.approx(abs(HULL.doubled_normals_m2[:, 2].sum()))


@SOON
@given(bow=st.sampled_from(AXES), up=st.sampled_from(AXES), scale=st.floats(0.5, 3.0))
def test_upright_is_a_turn_and_a_unit(bow: str, up: str, scale: float) -> None:
    if bow[1] == up[1]:
        return
    surface = box((0.0, -scale, 0.0), (5.0 * scale, scale, 1.5 * scale))
    made = upright(surface, Pose(unit="ft", bow=bow, up=up))  # type: ignore[arg-type]
    assert made.area_m2() == pytest.approx(0.3048**2 * surface.area_m2(), rel=1e-9)
    assert made.signed_volume_m3() == pytest.approx(0.3048**3 * 15.0 * scale**3, rel=1e-9)


@SOON
@given(low=SHARE, high=SHARE)
def test_more_water_wets_more_hull(low: float, high: float) -> None:
    depths = sorted((0.625 * low, 0.625 * high))
    less, more = (bottom_of(HULL, Waterline(fore_m=z, aft_m=z)) for z in depths)
    assert less.area_m2 <= more.area_m2 + 1e-9
    assert less.volume_m3 <= more.volume_m3 + 1e-9
    assert 0.0 < more.sd_m2 < more.area_m2


@settings(max_examples=8, deadline=6000)
@given(ends=st.tuples(PLACE, PLACE), above=st.floats(-1.5, -0.01), side=st.sampled_from(("port", "centre")))
def test_zones_share_the_hull_out(ends: tuple[float, float], above: float, side: str) -> None:
    drawn = ZoneCut(name="own", side=side, from_m=min(ends), to_m=max(ends), above_m=above)  # type: ignore[arg-type]
    mesh = zoned(SLOOP, Zoning(cuts=(drawn,)))
    assert sum(mesh.zone_area_m2(name) for name in mesh.zone_names) == pytest.approx(SLOOP.area_m2, rel=1e-9)
    assert np.isfinite(mesh.unrolled_m).all()
