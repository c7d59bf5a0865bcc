"""What stands between the boat and the weather: open yard, sheltered corner, shed, or a tent over her."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from boottop.climate.weather import Cover, Site


@dataclass(frozen=True, kw_only=True)
class Shelter:
    """How much of the weather comes through.

    `wind_factor` on the wind at the hull; `daylight_fraction` of the global irradiance that arrives, all of it
    diffuse when `roofed`; `roofed` also keeps off rain and replaces the sky by a skin at the temperature of the air
    inside; `air_gain_k` warms that air in proportion to global irradiance (at 800 W/m2); direct sun lower than
    `horizon_deg` does not arrive.
    """

    wind_factor: float
    daylight_fraction: float
    roofed: bool
    air_gain_k: float
    horizon_deg: float
    note: str


SHELTERS: Mapping[Cover, Shelter] = {
    "open": Shelter(
        wind_factor=1.0, daylight_fraction=1.0, roofed=False, air_gain_k=0.0, horizon_deg=0.0,
        note="",
    ),
    "sheltered": Shelter(
        wind_factor=0.5, daylight_fraction=1.0, roofed=False, air_gain_k=0.0, horizon_deg=15.0,
        note="sheltered yard: half the wind, no direct sun below 15 deg (assumed)",
    ),
    "shed": Shelter(
        wind_factor=0.1, daylight_fraction=0.05, roofed=True, air_gain_k=0.0, horizon_deg=90.0,
        note="shed: no rain, a tenth of the wind, 5 % of the daylight, roof and walls as warm as the outdoor air "
        "(assumed)",
    ),
}  # fmt: skip
TENT = Shelter(
    wind_factor=0.1, daylight_fraction=0.15, roofed=True, air_gain_k=4.0, horizon_deg=90.0,
    note="tent: no rain, a tenth of the wind, no direct sun, 15 % of the daylight, skin and air inside 4 K warmer than "
    "outdoors in full sun, same dew point (assumed)",
)  # fmt: skip


def shelter_of(site: Site, *, tent: bool) -> Shelter:
    """What covers the boat. A tent inside a shed adds nothing to the shed; common practice, no source."""
    return TENT if tent and site.cover != "shed" else SHELTERS[site.cover]
