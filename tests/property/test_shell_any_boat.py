"""Whatever was taped, a likeness can be drawn: finite, on its zones, and not far from the area that counts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boottop.measure.build import build_hull
from boottop.measure.inputs import Girth, Girths, HullMeasure
from boottop.measure.shell import draw_shell
from tests.measure.boats import plain


@st.composite
def taped(draw: st.DrawFn) -> HullMeasure:
    """Smooth girths along 4 to 20 m, blunt or fine ends, half-beams taped or not, any deadrise."""
    length = draw(st.floats(4.0, 20.0))
    count = draw(st.integers(5, 13))
    widest, power = draw(st.floats(0.35, 0.65)), draw(st.floats(1.3, 3.5))
    stern, most = draw(st.floats(0.0, 0.9)), draw(st.floats(0.1, 0.28)) * length
    slack = draw(st.floats(1.01, 1.9))
    beams = draw(st.booleans())
    u = np.linspace(0.0, 1.0, count)
    fore, aft = np.clip((widest - u) / widest, 0, 1) ** power, np.clip((u - widest) / (1 - widest), 0, 1) ** power
    girths = most * (1.0 - fore - (1.0 - stern) * aft)
    readings = tuple(
        Girth(station_m=float(x * length), half_girth_m=float(g), half_beam_m=float(g / slack) if beams else None)
        for x, g in zip(u, girths, strict=True)
    )
    made = Girths(waterline_length_m=length, readings=readings)
    return replace(plain(), girths=made, deadrise_deg=draw(st.floats(0.0, 45.0)))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(taped())
def test_any_taped_boat_can_be_drawn(measure: HullMeasure) -> None:
    shell = draw_shell(measure, build_hull(measure))
    assert np.isfinite(shell.mesh.vertices_m).all()
    assert np.isfinite(shell.mesh.unrolled_m).all()
    assert shell.mesh.vertices_m[:, 2].max() <= 1e-9
    assert set(shell.mesh.zone_of.tolist()) <= set(range(len(shell.mesh.zone_names)))
    drawn, counts = sum(shell.drawn_m2.values()), sum(shell.reckoned_m2.values())
    assert abs(drawn - counts) < 0.12 * counts
