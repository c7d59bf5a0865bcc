"""A coating's product sheet in SI, as its maker would print it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from boottop.base.errors import InputError, Problem

CoatingKind = Literal["copper_epoxy", "barrier_epoxy", "eroding_antifouling", "primer"]
Role = Literal["antifouling", "barrier", "primer"]


@dataclass(frozen=True, kw_only=True)
class Part:
    """One part of the mix. `volume_parts` counts bulk volume as poured (powder: with its air).

    `density_kg_l` is that of the liquid, or of the solid grain for a powder; `bulk_density_kg_l` is the powder as
    poured (None for a liquid). `solids_fraction` is the volume share of the part that stays in the film.
    """

    name: str
    volume_parts: float
    density_kg_l: float
    solids_fraction: float
    bulk_density_kg_l: float | None = None


@dataclass(frozen=True, kw_only=True)
class Times:
    """A time that depends on temperature: `temperature_c` ascending, `hours` at each, same length, one or more.

    Read it with coating.times.time_at, never by hand.
    """

    temperature_c: tuple[float, ...]
    hours: tuple[float, ...]

    def __post_init__(self) -> None:
        pairs = zip(self.temperature_c, self.temperature_c[1:], strict=False)
        sound = (
            len(self.temperature_c) == len(self.hours) > 0
            and self.temperature_c[0] > -273.15
            and all(low < high for low, high in pairs)
            and all(hours > 0.0 for hours in self.hours)
        )
        if not sound:
            raise InputError(
                Problem(
                    where="table of times",
                    found=f"temperatures {self.temperature_c} degC with hours {self.hours}",
                    allowed="one time above zero for each temperature, temperatures ascending, at least one",
                    advice="Copy the table from the data sheet again, coldest first.",
                )
            )


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Between which conditions the sheet lets the coating be applied; humidity as a fraction."""

    surface_min_c: float
    surface_max_c: float
    air_min_c: float
    air_max_c: float
    humidity_max: float
    dew_margin_k: float = 3.0


@dataclass(frozen=True, kw_only=True)
class ProductSheet:
    """One product. Times are hours from the end of a coat; `times_humidity` is the RH they were printed for.

    `dry_film_um` is that of one coat. `kit_volume_l` is the kit once mixed: a powder counts with its grain, not with
    its air. `kit_mass_kg` is what is in the tins, without tins and carton. `pot_life` counts from mixing.

    `tacky`: from when the next coat may go on. `overcoat_max`: until when, without sanding. `rain_safe`: rain may
    fall. `stands_safe`: stands may be moved onto it. `immersion`: may be launched. `pot_life` at `pot_life_mass_kg`.
    `one_day`: all coats of a zone belong in one working day. `activation_grit` None: nothing to lay bare.
    `needs_primer`: material families that must carry a barrier or primer first. `forbidden`: families it must not
    touch. `part_kits`: a part of a kit may be mixed by mass.
    """

    name: str
    kind: CoatingKind
    parts: tuple[Part, ...]
    dry_film_um: float
    coats: int
    pot_life: Times
    pot_life_mass_kg: float
    tacky: Times
    overcoat_max: Times
    rain_safe: Times
    stands_safe: Times
    immersion: Times
    times_humidity: float
    limits: Limits
    grit: tuple[int, int]
    cleaner: str
    forbidden_cleaners: tuple[str, ...]
    kit_volume_l: float
    kit_mass_kg: float
    allowed_substrates: tuple[str, ...]
    needs_primer: tuple[str, ...]
    forbidden: tuple[str, ...]
    water_based: bool
    one_day: bool
    part_kits: bool
    grain_um: float | None = None
    viscosity_pa_s: float | None = None
    activation_grit: int | None = None
    activation_before_launch_h: float | None = None
    activation_energy_j_mol: float | None = None
    invented: bool = False


@dataclass(frozen=True, kw_only=True)
class System:
    """One product as used on this job: its role, coats, expected loss and the price of a kit.

    `zones` names the zones it goes on; empty: see coating.scope.zones_for.
    """

    sheet: ProductSheet
    role: Role
    coats: int
    loss_fraction: float
    kit_price_minor: int | None = None
    zones: tuple[str, ...] = ()
