"""Hull climates, a zone and plain-Python clocks made up for the windows tests."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import Grid
from boottop.climate.climate import Climate
from boottop.coating.sheet import Times
from boottop.coating.times import time_at
from boottop.measure.hull import Layer, Patch, Zone

Floats = NDArray[np.float64]
START = datetime(2023, 5, 8, tzinfo=UTC)
GRP = (Layer(material="grp", thickness_m=0.012),)


def zone(*names: str, layers: tuple[Layer, ...] = GRP) -> Zone:
    """One port side with the named patches (one called "bilge" if none is named)."""
    patches = tuple(
        Patch(name=name, area_m2=5.0, from_bow_deg=270.0, tilt_deg=145.0, view="bilge", layers=layers)
        for name in names or ("bilge",)
    )
    return Zone(
        name="port",
        kind="side",
        side="port",
        area_m2=5.0 * len(patches),
        area_sd_m2=0.1,
        substrate="grp",
        patches=patches,
    )


def climate(
    surface_c: Floats,
    *,
    air_c: Floats | None = None,
    dew_c: Floats | float = 4.0,
    rain_mm: Floats | None = None,
    wind_m_s: float = 2.0,
    doubt: tuple[Floats, Floats] | None = None,
) -> Climate:
    """Climate of zone "port" from its surface (patch, lane, slot); air as warm as the first patch if not given.

    `doubt` is (time factor, energy shift) by lane. The surface is wet in slots with rain and one hour after; the sun
    is up all day.
    """
    patches, lanes, count = surface_c.shape
    air = np.asarray(surface_c[0] if air_c is None else air_c, dtype=np.float64)
    dew = np.broadcast_to(np.asarray(dew_c, dtype=np.float64), (lanes, count))
    rain = np.zeros(count) if rain_mm is None else rain_mm
    wet = np.array([rain[max(slot - 4, 0) : slot + 1].sum() > 0.0 for slot in range(count)])
    factor, shift = doubt if doubt is not None else (np.ones(lanes), np.zeros(lanes))
    return Climate(
        grid=Grid(start=START, count=count),
        patches=tuple(("port", name) for name in ("bilge", "topsides", "bottom")[:patches]),
        surface_c=surface_c.astype(np.float32),
        air_c=air.astype(np.float32),
        dew_c=dew.astype(np.float32),
        wind_m_s=np.full((lanes, count), wind_m_s, dtype=np.float32),
        absorbed_w_m2=np.zeros((patches, lanes, count), dtype=np.float32),
        rain_mm=rain,
        rh=np.exp(17.625 * dew[0] / (243.04 + dew[0]) - 17.625 * air[0] / (243.04 + air[0])),
        wet=np.tile(wet, (patches, 1)),
        dry_after=np.tile(np.minimum(np.arange(count + 1) + 4, count + 1).astype(np.int32), (patches, 1)),
        sun_elevation_deg=np.full(count, 30.0),
        time_factor=factor,
        energy_shift_j_mol=shift,
        convection_factor=np.ones(lanes),
        estimated=np.zeros(count, dtype=np.bool_),
    )


def steady(temperature_c: float, *, hours: int = 240, lanes: int = 1, patches: int = 1) -> Floats:
    """A surface at one temperature, (patch, lane, slot)."""
    return np.full((patches, lanes, 4 * hours), temperature_c)


def daily(*, days: int = 7, lanes: int = 1, patches: int = 1, seed: int = 1) -> Floats:
    """A surface that warms by day and cools by night, with its own noise in every lane, (patch, lane, slot)."""
    rng = np.random.default_rng(seed)
    slot = np.arange(96 * days)
    swing = 15.0 + 7.0 * np.sin(2.0 * np.pi * (slot / 96.0 - 0.4))
    lane_k = rng.normal(0.0, 1.5, (1, lanes, 1)) + rng.normal(0.0, 0.3, (1, lanes, slot.size))
    return np.asarray(swing + lane_k + 2.0 * np.arange(patches)[:, None, None])


def naive_marks(surface_c: Floats, times: Times, *, not_after: bool = False) -> list[int]:
    """Cure marks of one patch and lane by a plain loop from every finishing mark, straight from the sheet."""
    rates = 1.0 / time_at(times, np.asarray(surface_c, dtype=np.float32).astype(np.float64))[0]
    count, marks = rates.size, []
    for finish in range(count + 1):
        done, slot = 0.0, finish
        while slot < count and done + 0.25 * rates[slot] < 1.0 - 1e-9:
            done += 0.25 * rates[slot]
            slot += 1
        if slot == count:
            marks.append(count + 1)
        else:
            just = abs(done + 0.25 * rates[slot] - 1.0) < 1e-9
            marks.append(slot + 1 if not not_after or just else slot)
    return marks
