"""Conditions at a coat: which readings count, and the margin against the plain search for the nearest air."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from boottop.climate.moist import dew_point_c
from boottop.job.state import Reading
from boottop.record.conditions import TOGETHER_S, conditions_of, margins


def reading(
    at_s: int, *, air_c: float | None = None, surface_c: float | None = None, zone: str | None = None
) -> Reading:
    """A reading; air comes with 60 % of humidity."""
    return Reading(
        at_s=at_s,
        zone=zone,
        air_c=air_c,
        humidity=None if air_c is None else 0.6,
        surface_c=surface_c,
        wet_film_um=None,
    )


@given(st.lists(st.tuples(st.integers(0, 20_000), st.booleans()), max_size=30))
def test_the_nearest_air_is_found_as_by_looking_at_all(rows: list[tuple[int, bool]]) -> None:
    readings = [
        reading(at_s, air_c=10.0 + at_s / 1000) if air else reading(at_s, surface_c=12.0)
        for at_s, air in dict(rows).items()
    ]
    airs = [one for one in readings if one.air_c is not None]
    wanted = {}
    for one in readings:
        if one.surface_c is not None and airs:
            near = min(abs(air.at_s - one.at_s) for air in airs)
            if near <= TOGETHER_S:
                wanted[one.at_s] = {
                    round(12.0 - float(dew_point_c(air.air_c, 0.6)), 9)
                    for air in airs
                    if abs(air.at_s - one.at_s) == near and air.air_c is not None
                }
    found = margins(readings, None)
    assert {one[0] for one in found} == set(wanted)
    assert all(round(margin_k, 9) in wanted[at_s] for at_s, _, _, margin_k in found)


def test_readings_at_the_coat_count_and_older_ones_only_without_them() -> None:
    own = reading(10_000, air_c=15.0, surface_c=14.0)
    old = reading(1_000, air_c=25.0, surface_c=24.0)
    both = conditions_of([old, own], None, zone="side", start_s=10_500, finish_s=14_000)
    assert both.air_c is not None
    assert both.air_c.span == (15.0, 15.0)
    alone = conditions_of([old], None, zone="side", start_s=10_500, finish_s=14_000)
    assert alone.air_c is not None
    assert alone.air_c.span == (25.0, 25.0)
    assert conditions_of([old], None, zone="side", start_s=20_000, finish_s=24_000).air_c is None


def test_the_surface_of_another_zone_is_not_this_ones() -> None:
    readings = [reading(10_000, air_c=15.0), reading(10_010, surface_c=14.0, zone="other side")]
    found = conditions_of(readings, None, zone="side", start_s=10_500, finish_s=14_000)
    assert (found.surface_c, found.margin_k) == (None, None)
    assert found.air_c is not None
