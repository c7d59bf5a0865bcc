"""Everything wrong with the measures is told, all at once, with its place."""

from __future__ import annotations

from dataclasses import replace
from math import nan

import pytest

from boottop.base.errors import InputError
from boottop.measure.build import build_hull
from boottop.measure.checks import problems_of
from boottop.measure.hull import Layer
from boottop.measure.inputs import Girth, Girths, HullMeasure, Offsets
from tests.measure.boats import BOOT_TOP, FIN, PADS, RUDDER, by_dimensions, girths, plain, sloop


def wrong(measure: HullMeasure) -> list[str]:
    return [str(problem) for problem in problems_of(measure)]


def with_readings(*rows: tuple[float, float, float | None]) -> HullMeasure:
    readings = tuple(Girth(station_m=x, half_girth_m=g, half_beam_m=b) for x, g, b in rows)
    return replace(plain(), girths=Girths(waterline_length_m=9.2, readings=readings))


def test_good_measures_pass() -> None:
    assert wrong(plain()) == wrong(sloop()) == wrong(by_dimensions()) == []


def test_exactly_one_way() -> None:
    both = replace(by_dimensions(), girths=girths())
    assert "found girths and dimensions; allowed: exactly one" in wrong(both)[0]
    assert "found none of girths" in wrong(replace(plain(), girths=None))[0]


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        (((0.0, 1.0, None), (4.0, 1.0, None)), "found 2 stations; allowed: three stations or more"),
        (((0.0, 0.0, None), (4.0, 0.0, None), (9.0, 0.0, None)), "found no girth above zero"),
        (((0.0, 1.0, None), (5.0, 1.0, None), (4.0, 1.0, None)), "found 4 m after 5 m"),
        (
            ((0.0, 1.0, None), (5.0, 1.0, None), (9.9, 1.0, None)),
            r"readings[3].station: found 9.9 m; allowed: 0 to 9.2",
        ),
        (((0.0, 1.0, None), (5.0, 1.0, 1.2), (9.0, 1.0, None)), "shorter than the half-beam of 1.2 m"),
        (((0.0, nan, None), (5.0, 1.0, None), (9.0, 1.0, None)), "readings[1].half_girth: found nan m"),
        (((0.0, 1.0, -1.0), (5.0, 1.0, None), (9.0, 1.0, None)), "readings[1].half_beam: found -1 m"),
    ],
)
def test_girths(rows: tuple[tuple[float, float, float | None], ...], says: str) -> None:
    assert any(says in text for text in wrong(with_readings(*rows)))


def test_all_at_once() -> None:
    bad = replace(
        with_readings((0.0, 1.0, 2.0), (5.0, 1.0, None), (4.0, 1.0, 3.0)),
        substrate="cheese",
        deadrise_deg=80.0,
        appendages=(replace(RUDDER, length_m=0.0, zone="nowhere", count=0), replace(FIN, thickness_m=3.0)),
        hidden=(replace(PADS, area_each_m2=-1.0, stand_set=0, zone="nowhere"),),
        named_zones=(BOOT_TOP, BOOT_TOP, replace(BOOT_TOP, name="running gear", area_m2=0.0, tilt_deg=200.0)),
    )
    with pytest.raises(InputError, match="cheese") as caught:
        build_hull(bad)
    places = [problem.where for problem in caught.value.problems]
    assert len(places) == 16
    assert "measure.appendages[1] (rudder).length" in places
    assert "measure.appendages[2] (fin keel).thickness" in places
    assert "measure.hidden[1] (stand pads).stand_set" in places
    assert "measure.named_zones[3] (running gear)" in places


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"displaced_m3": 0.0}, "measure.dimensions.displaced: found 0"),
        ({"displaced_m3": 17.0}, "less than 13.04 m3"),
        ({"midship_coefficient": 1.4}, "midship_coefficient: found 1.4"),
        ({"body_draft_m": nan}, "measure.dimensions.body_draft: found nan"),
    ],
)
def test_dimensions(changes: dict[str, float], says: str) -> None:
    assert any(says in text for text in wrong(by_dimensions(**changes)))


def offsets(**changes: object) -> HullMeasure:
    table = Offsets(
        stations_m=(0.0, 4.0, 8.0),
        waterlines_m=(0.0, 0.5, 1.0),
        half_breadths_m=((0.5, 1.0, 1.0),) * 3,
        draft_m=0.8,
    )
    return replace(plain(), girths=None, offsets=replace(table, **changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"draft_m": 1.2}, "measure.offsets.draft: found 1.2 m; allowed: above 0 m and up to 1 m"),
        ({"draft_m": 0.0}, "measure.offsets.draft"),
        ({"half_breadths_m": ((0.5, 1.0, 1.0),) * 2}, "found 2 rows of [3] values; allowed: 3 rows of 3"),
        ({"half_breadths_m": ((0.5, -1.0, 1.0),) * 3}, "a negative value"),
        ({"half_breadths_m": ((None, None, None),) * 3}, "0 stations with hull under the draft"),
        ({"stations_m": (0.0, 4.0, 4.0)}, "measure.offsets.stations[3]: found 4 m after 4 m"),
        ({"waterlines_m": (0.0, 1.0, 0.5)}, "measure.offsets.waterlines[3]: found 0.5 m after 1 m"),
        ({"stations_m": (0.0, 4.0), "half_breadths_m": ((0.5, 1.0, 1.0),) * 2}, "too small a table"),
    ],
)
def test_offsets(changes: dict[str, object], says: str) -> None:
    assert any(says in text for text in wrong(offsets(**changes)))


def test_good_offsets_pass() -> None:
    assert wrong(offsets()) == []


def test_laminate() -> None:
    assert any("measure.laminate: found no layer" in text for text in wrong(replace(plain(), laminate=())))
    thin = (Layer(material="grp", thickness_m=0.0),)
    assert any("measure.laminate[1].thickness: found 0" in text for text in wrong(replace(plain(), laminate=thin)))
