"""What acts on the hull, by slot and lane: air, wind, sky, ground, cabin and light, each with its drawn doubts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOT_S
from boottop.climate.cover import Shelter
from boottop.climate.draws import Draws
from boottop.climate.light import Light
from boottop.climate.sky import KELVIN, SIGMA_W_M2K4, cloud_on, longwave_given, sky_w_m2
from boottop.climate.slots import Span
from boottop.climate.sun import Sun
from boottop.climate.weather import Ground, Site

Floats = NDArray[np.float64]

ALBEDOS: dict[Ground, float] = {"gravel": 0.2, "concrete": 0.3, "grass": 0.2}
GRASS_DRY_HEAT_FRACTION = 0.5
FULL_SUN_W_M2 = 800.0
CABIN_GAIN_K, CABIN_LAG_S = 8.0, 6 * 3600.0
OPEN_CABIN_GAIN_K, OPEN_CABIN_LAG_S = 2.0, 3600.0
MEASURED_SUN_SHARE = 0.4
MEASURED_SKY_SHARE = 0.4


@dataclass(frozen=True, kw_only=True)
class Around:
    """Surroundings of the hull, each shape (slot, lane): air and dew point in degC, wind at the hull in m/s, long-wave
    from above, global, diffuse and (normal) direct irradiance in W/m2; `absorptance`, `albedo` (lane,)."""

    air_c: Floats
    dew_c: Floats
    wind_m_s: Floats
    sky_w_m2: Floats
    global_w_m2: Floats
    diffuse_w_m2: Floats
    direct_w_m2: Floats
    hull_absorptance: Floats
    ground_albedo: Floats
    notes: tuple[str, ...]


def around(span: Span, site: Site, draws: Draws, *, light: Light, sun: Sun, shelter: Shelter) -> Around:
    """Lay members and draws out as lanes: lane i takes member i modulo their number, so lane 0 is the first member."""
    member = np.arange(draws.lanes) % span.weather.members
    total, diffuse, direct, outdoors = _light_lanes(light, member, draws, sun=sun, shelter=shelter)
    air = _lanes(span.at_stamps(span.weather.air_c), member) + draws.air_shift_k
    air += shelter.air_gain_k * outdoors / FULL_SUN_W_M2
    dew = np.minimum(_lanes(span.at_stamps(span.weather.dew_c), member) + draws.dew_shift_k, air)
    notes: tuple[str, ...] = ()
    sky = SIGMA_W_M2K4 * (air + KELVIN) ** 4
    if not shelter.roofed:
        sky, notes = _open_sky(span, (air, dew), draws, light=light, sun=sun, member=member)
    reach = np.clip(site.shelter * shelter.wind_factor * draws.shelter_factor, 0.02, 1.2)
    return Around(
        air_c=air,
        dew_c=dew,
        wind_m_s=_lanes(span.at_stamps(span.weather.wind_m_s), member) * reach,
        sky_w_m2=sky,
        global_w_m2=total,
        diffuse_w_m2=diffuse,
        direct_w_m2=direct,
        hull_absorptance=np.clip(site.hull_absorptance + draws.absorptance_shift, 0.15, 0.98),
        ground_albedo=np.clip(ALBEDOS[site.ground] * draws.albedo_factor, 0.05, 0.6),
        notes=notes,
    )


def _lanes(values: Floats, member: NDArray[np.int64]) -> Floats:
    return np.ascontiguousarray(values[member].T)


def _light_lanes(
    light: Light, member: NDArray[np.int64], draws: Draws, *, sun: Sun, shelter: Shelter
) -> tuple[Floats, Floats, Floats, Floats]:
    """Global, diffuse and direct under the cover, and global outdoors. Measured sun carries 0.4 of the drawn doubt."""
    doubt = np.where(light.guessed, 1.0, MEASURED_SUN_SHARE)[:, None]
    factor = 1.0 + doubt * (draws.irradiance_factor - 1.0)
    outdoors = _lanes(light.global_w_m2, member) * factor
    if shelter.roofed:
        inside = outdoors * shelter.daylight_fraction
        return inside, inside, np.zeros_like(inside), outdoors
    seen = (sun.elevation_deg > shelter.horizon_deg)[:, None]
    direct = np.where(seen, _lanes(light.direct_w_m2, member) * factor, 0.0)
    diffuse = _lanes(light.diffuse_w_m2, member) * factor
    return diffuse + direct * sun.height[:, None], diffuse, direct, outdoors


def _open_sky(
    span: Span, moist: tuple[Floats, Floats], draws: Draws, *, light: Light, sun: Sun, member: NDArray[np.int64]
) -> tuple[Floats, tuple[str, ...]]:
    """Long-wave of the sky from the file, else from air and dew point; measured it carries 0.4 of the drawn doubt."""
    given = _lanes(longwave_given(span), member)
    unknown = np.isnan(given)
    doubt = draws.sky_shift_w_m2 * np.where(unknown, 1.0, MEASURED_SKY_SHARE)
    if not unknown.any():
        return given + doubt, ()
    cloud, note = cloud_on(span, light, sun)
    notes = ("long-wave radiation of the sky: from dew point and cloud (Clark & Allen 1978, Walton 1983)",)
    estimated = sky_w_m2(*moist, _lanes(cloud, member))
    return np.where(unknown, estimated, given) + doubt, notes + ((note,) if note else ())


def cabin_c(near: Around, draws: Draws, *, closed: bool) -> Floats:
    """Air inside the boat, which warms the laminate from behind; degC, shape (slot, lane).

    Follows outdoor air with a lag of 6 h, plus 8 K in full sun (800 W/m2), when closed; 1 h and 2 K when hatches stand
    open. Common practice, no source: on thin laminates the cabin matters as much for night dew as the sky does.
    """
    gain_k, lag_s = (CABIN_GAIN_K, CABIN_LAG_S) if closed else (OPEN_CABIN_GAIN_K, OPEN_CABIN_LAG_S)
    target = near.air_c + gain_k * draws.cabin_factor * near.global_w_m2 / FULL_SUN_W_M2
    result = np.empty_like(target)
    inside = target[:96].mean(axis=0)
    keep = float(np.exp(-SLOT_S / lag_s))
    for slot, aim in enumerate(target):
        inside = keep * inside + (1.0 - keep) * aim
        result[slot] = inside
    return result
