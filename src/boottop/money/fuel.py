"""From roughness to litres an hour: added resistance, power and fuel at the boat's own speeds; carbon dioxide."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boottop.money.fouling import CONDITIONS_UM, Growth, roughness_um
from boottop.money.friction import (
    SEAWATER_KG_M3,
    Line,
    friction_n,
    in_range,
    reynolds_number,
    rough_friction,
)

Floats = NDArray[np.float64]
FuelName = Literal["diesel", "petrol"]
FUEL_NAMES: tuple[FuelName, ...] = get_args(FuelName)
GRAVITY_M_S2 = 9.81
DISPLACEMENT_FROUDE = 0.45
PROPULSION_FACTOR = 0.5
DRIVE_SPAN = (0.75, 1.0, 1.35)
"""Doubt of litres for a towing kilowatt-hour: propulsive efficiency 0.42 to 0.6 and the engine's own, no source."""
OLD_SPEED_SHARE = (0.5, 1.15)
QUADRATURE = 64


@dataclass(frozen=True, kw_only=True)
class Fuel:
    """A fuel: litres an engine burns for a kilowatt-hour at the shaft (common practice, no source: 240 g/kWh diesel,
    320 g/kWh petrol at part load), and the carbon dioxide of a litre burnt (engine to air, not from the well)."""

    name: FuelName
    litres_kwh: float
    co2_kg_l: float


FUELS: Mapping[FuelName, Fuel] = {
    "diesel": Fuel(name="diesel", litres_kwh=0.24 / 0.84, co2_kg_l=10.180 / 3.785412),
    "petrol": Fuel(name="petrol", litres_kwh=0.32 / 0.745, co2_kg_l=8.887 / 3.785412),
}
CO2_SOURCE = (
    "US EPA, Greenhouse Gas Emissions from a Typical Passenger Vehicle: 10 180 g CO2 a US gallon of diesel, 8 887 g of "
    "petrol (read)"
)


@dataclass(frozen=True, kw_only=True)
class Drive:
    """What moves the boat. `curve`: litres an hour at rising speeds (m/s, L/h) where she has one, else cruise alone.

    `measured_um`: roughness of the bottom when the burn was taken. `planing`: she planes at cruise.
    """

    length_m: float
    wetted_m2: float
    cruise_m_s: float
    burn_l_h: float
    fuel: Fuel
    curve: tuple[tuple[float, float], ...] = ()
    measured_um: float = CONDITIONS_UM["as applied"]
    propulsion_factor: float = PROPULSION_FACTOR
    planing: bool = False
    line: Line = "karman-schoenherr"


def added_resistance_n(drive: Drive, speed_m_s: ArrayLike, ks_um: ArrayLike) -> Floats:
    """Resistance that a rough bottom adds to a smooth one at the same speed, N, shapes that broadcast.

    All of the wetted area as a plate of the waterline's length; no form factor, which understates it by a tenth or two.
    Source: Granville as in `friction.rough_friction`. Friction only: trim, waves and spray are taken as unchanged.
    """
    reynolds = reynolds_number(speed_m_s, drive.length_m)
    ratio = np.asarray(ks_um, dtype=np.float64) * 1e-6 / drive.length_m
    smooth, rough = (rough_friction(reynolds, one, line=drive.line) for one in (0.0, ratio))
    return friction_n(speed_m_s, drive.wetted_m2, rough - smooth, density_kg_m3=SEAWATER_KG_M3)


def added_litres_h(drive: Drive, speed_m_s: ArrayLike, ks_um: ArrayLike) -> Floats:
    """Litres an hour that a rough bottom adds at the same speed, L/h, shapes that broadcast.

    Added resistance times speed over the propulsive efficiency (0.5: common practice, no source) and the engine's
    litres for a kilowatt-hour.
    """
    towing_kw = added_resistance_n(drive, speed_m_s, ks_um) * np.asarray(speed_m_s) / 1000.0
    return np.asarray(towing_kw / drive.propulsion_factor * drive.fuel.litres_kwh)


def smooth_litres_h(drive: Drive, speed_m_s: ArrayLike) -> Floats:
    """Litres an hour with a hydraulically smooth bottom, L/h: what was measured less what its roughness added.

    Along her curve, straight between its points, where she has one; else the burn at cruise by the cube of the speed
    (common practice, no source), to be trusted from half her cruising speed to a little above it.
    """
    return np.asarray(measured_litres_h(drive, speed_m_s) - added_litres_h(drive, speed_m_s, drive.measured_um))


def measured_litres_h(drive: Drive, speed_m_s: ArrayLike) -> Floats:
    """Litres an hour as she burnt them when they were measured, L/h, by curve or cube as `smooth_litres_h` says."""
    speed = np.asarray(speed_m_s, dtype=np.float64)
    if not drive.curve:
        return np.asarray(drive.burn_l_h * (speed / drive.cruise_m_s) ** 3)
    at, litres = (np.array(column) for column in zip(*drive.curve, strict=True))
    return np.asarray(np.interp(speed, at, litres))


def known_speed(drive: Drive, speed_m_s: float) -> bool:
    """Whether her burn is known there: within the curve, or near enough to the cruise."""
    low, high = (drive.curve[0][0], drive.curve[-1][0]) if drive.curve else (
        OLD_SPEED_SHARE[0] * drive.cruise_m_s, OLD_SPEED_SHARE[1] * drive.cruise_m_s,
    )  # fmt: skip
    return low - 1e-9 <= speed_m_s <= high + 1e-9


@dataclass(frozen=True, kw_only=True)
class Burn:
    """One speed and condition: litres an hour with a smooth bottom, and what is added to them, to the resistance and to
    the power at the shaft. `added_share` of the smooth burn; `slower_m_s`: how much slower she is with the throttle
    where it was; CO2 of the added litres."""

    condition: str
    ks_um: float
    speed_m_s: float
    smooth_l_h: float
    added_l_h: float
    added_n: float
    added_kw: float
    added_share: float
    slower_m_s: float
    co2_kg_h: float
    trusted: bool


def burn_table(drive: Drive, speeds_m_s: Sequence[float], conditions: Mapping[str, float]) -> tuple[Burn, ...]:
    """Burn at each speed in each condition (names with um). Slower: power held, power by the cube of the speed."""
    rows = []
    for speed in speeds_m_s:
        smooth = float(smooth_litres_h(drive, speed))
        for name, ks_um in conditions.items():
            added = float(added_litres_h(drive, speed, ks_um))
            share = added / smooth if smooth > 0.0 else 0.0
            rows.append(
                Burn(
                    condition=name,
                    ks_um=ks_um,
                    speed_m_s=speed,
                    smooth_l_h=smooth,
                    added_l_h=added,
                    added_n=float(added_resistance_n(drive, speed, ks_um)),
                    added_kw=added / drive.fuel.litres_kwh,
                    added_share=share,
                    slower_m_s=speed * (1.0 - (1.0 + share) ** (-1.0 / 3.0)),
                    co2_kg_h=added * drive.fuel.co2_kg_l,
                    trusted=_trusted(drive, speed, ks_um) and smooth > 0.0,
                )
            )
    return tuple(rows)


def _trusted(drive: Drive, speed_m_s: float, ks_um: float) -> bool:
    ratio = ks_um * 1e-6 / drive.length_m
    return known_speed(drive, speed_m_s) and bool(in_range(reynolds_number(speed_m_s, drive.length_m), ratio))


def mean_added_litres_h(drive: Drive, growth: Growth, interval_h: float, *, pace: ArrayLike) -> Floats:
    """Litres an hour added at cruise on average over the time between two cleanings, L/h, shape of `pace`.

    As if she were used evenly over that time.
    """
    middles = (np.arange(QUADRATURE) + 0.5) / QUADRATURE * interval_h
    ks_um = roughness_um(growth, middles, np.asarray(pace, dtype=np.float64)[..., None])
    return np.asarray(added_litres_h(drive, drive.cruise_m_s, ks_um).mean(axis=-1))


def friction_share(drive: Drive) -> float:
    """Share of the burn at cruise that the friction of a smooth bottom alone explains; above 1 something is wrong."""
    smooth = rough_friction(reynolds_number(drive.cruise_m_s, drive.length_m), 0.0, line=drive.line)
    newton = float(friction_n(drive.cruise_m_s, drive.wetted_m2, smooth, density_kg_m3=SEAWATER_KG_M3))
    litres = newton * drive.cruise_m_s / 1000.0 / drive.propulsion_factor * drive.fuel.litres_kwh
    return litres / float(measured_litres_h(drive, drive.cruise_m_s))


def drive_notes(drive: Drive) -> tuple[str, ...]:
    """What must be said about the fuel of this boat."""
    froude, share = drive.cruise_m_s / np.sqrt(GRAVITY_M_S2 * drive.length_m), friction_share(drive)
    notes = ["The added resistance is friction alone, over the whole wetted area."]
    if drive.planing or froude > DISPLACEMENT_FROUDE:
        notes.append(
            f"Planing or half planing (Froude number {froude:.2f}): only the frictional part is reckoned, on the area "
            "wetted at rest, which is more than she wets on the plane; what a foul bottom costs in trim, and whether "
            "she still gets over the hump, is not in it."
        )
    if share > 1.0:
        notes.append(
            f"The burn at cruise is less than smooth friction alone would take ({share:.0%}): speed, burn and area do "
            "not belong together, or the drive is better than assumed. Check the three."
        )
    else:
        notes.append(f"Smooth friction explains {share:.0%} of the burn at cruise.")
    if not drive.curve:
        notes.append("Other speeds by the cube of the speed: give a curve of speed and litres to do better.")
    return tuple(notes)
