"""The film of every zone: what the sheet wants, what went on, what was read, and where it is thin."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from boottop.coating.film import coat_wet_film_um, mixture
from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.job.state import Coat, State
from boottop.measure.hull import Hull, Zone
from boottop.record.acceptance import Verdict, iso19840_verdict, pa2_verdict
from boottop.record.balance import Balance, Estimate, balance, combined
from boottop.record.readings import FilmReading, Mean, comb_reading, mean_of, spot_um, spots

SINGLE_VALUE = 0.2
"""Where a sheet gives one thickness and no range, PA 2 takes 20 % to either side (from memory)."""
THIN = 0.8
STILL_WET_S = 900


@dataclass(frozen=True, kw_only=True)
class ThinPlace:
    """A spot read below 80 % of nominal; `film_share` is what it has of nominal."""

    zone: str
    area: str
    spot: str
    film_um: float
    film_share: float
    station_m: float | None
    girth_m: float | None


@dataclass(frozen=True, kw_only=True)
class ZoneFilm:
    """One product on one zone. `nominal_um`: the sheet's dry film times the coats planned; `wet_um` of one coat.

    `material`: from the litres; `wet_read`: whole dry film from notch-gauge readings times the solids; `dry_read`: of
    gauges; `estimate`: the material balance with the dry readings, or with the wet ones where there are no dry ones.
    """

    zone: str
    product: str
    role: str
    area_m2: float
    area_sd_m2: float
    coats: int
    coats_done: int
    nominal_um: float
    wet_um: float
    solids_fraction: float
    litres: float | None
    material: Balance | None
    wet_read: Mean | None
    dry_read: Mean | None
    estimate: Estimate | None
    verdicts: tuple[Verdict, ...]
    thin: tuple[ThinPlace, ...]

    @property
    def share(self) -> float | None:
        """What the best estimate has of nominal; None without one."""
        return None if self.estimate is None else self.estimate.dry_um / self.nominal_um


def film_readings(state: State, typed: Iterable[FilmReading]) -> tuple[FilmReading, ...]:
    """All readings, in order: those of the log first (its wet film is the last wetted tooth of a notch gauge), each
    wet one with the coat that was wet on its zone at the time."""
    logged = [
        comb_reading(one.wet_film_um, zone=one.zone or "", at_s=one.at_s, as_written=f"{one.wet_film_um:g} um")
        for one in state.readings
        if one.wet_film_um is not None
    ]
    return tuple(_with_coat(one, state) for one in (*logged, *typed))


def _with_coat(reading: FilmReading, state: State) -> FilmReading:
    zone = state.zone(reading.zone)
    if reading.layer == "dry" or reading.coat or reading.at_s is None or zone is None:
        return reading
    for coat in zone.coats:
        begin_s = begun_s(coat)
        if begin_s is not None and begin_s <= reading.at_s <= (coat.finished_s or reading.at_s) + STILL_WET_S:
            return replace(reading, coat=coat.coat, product=coat.product)
    return reading


def zone_films(
    hull: Hull, systems: Sequence[System], *, state: State, readings: Sequence[FilmReading]
) -> tuple[ZoneFilm, ...]:
    """Film of every product on every zone that it goes on, in the hull's order."""
    return tuple(_films(hull, systems, state=state, readings=readings))


def _films(
    hull: Hull, systems: Sequence[System], *, state: State, readings: Sequence[FilmReading]
) -> Iterator[ZoneFilm]:
    for zone in hull.zones:
        for system in systems:
            if zone in zones_for(system, hull):
                yield _film(zone, system, hull, state=state, readings=readings)


def _film(zone: Zone, system: System, hull: Hull, *, state: State, readings: Sequence[FilmReading]) -> ZoneFilm:
    sheet = system.sheet
    solids = mixture(sheet).solids_fraction
    nominal_um = sheet.dry_film_um * system.coats
    coats = finished_coats(state, zone.name, sheet.name)
    litres, from_pot = litres_on(state, hull, system, zone=zone)
    material = None
    if litres is not None and litres > 0.0:
        material = balance(
            litres,
            area_m2=zone.area_m2,
            area_sd_m2=zone.area_sd_m2,
            loss_fraction=system.loss_fraction,
            solids_fraction=solids,
            from_pot=from_pot,
        )
    own = [one for one in readings if one.zone == zone.name]
    dry = [one for one in own if one.layer == "dry" and one.coat == 0 and _of(one, system)]
    wet = [one for one in own if one.layer == "wet" and _of(one, system)]
    whole = [_whole_film(one, solids * len(coats)) for one in wet] if coats else []
    dry_read, wet_read = mean_of(dry), mean_of(whole)
    pair = None if material is None else (material.dry_um, material.dry_sd_um)
    return ZoneFilm(
        zone=zone.name,
        product=sheet.name,
        role=system.role,
        area_m2=zone.area_m2,
        area_sd_m2=zone.area_sd_m2,
        coats=system.coats,
        coats_done=len(coats),
        nominal_um=nominal_um,
        wet_um=coat_wet_film_um(sheet),
        solids_fraction=solids,
        litres=litres,
        material=material,
        wet_read=wet_read,
        dry_read=dry_read,
        estimate=combined(pair, dry_read or wet_read),
        verdicts=_verdicts(dry, zone.area_m2, nominal_um),
        thin=tuple(_thin(dry, nominal_um)),
    )


def _of(reading: FilmReading, system: System) -> bool:
    """A reading that names no product is of the antifouling: the last film is what a gauge stands on."""
    return reading.product == system.sheet.name if reading.product else system.role == "antifouling"


def _whole_film(reading: FilmReading, factor: float) -> FilmReading:
    return replace(reading, low_um=reading.low_um * factor, high_um=reading.high_um * factor)


def _verdicts(dry: Sequence[FilmReading], area_m2: float, nominal_um: float) -> tuple[Verdict, ...]:
    if not dry:
        return ()
    low_um, high_um = (1.0 - SINGLE_VALUE) * nominal_um, (1.0 + SINGLE_VALUE) * nominal_um
    return (
        pa2_verdict(dry, area_m2=area_m2, low_um=low_um, high_um=high_um),
        iso19840_verdict(dry, area_m2=area_m2, nominal_um=nominal_um),
    )


def _thin(dry: Sequence[FilmReading], nominal_um: float) -> Iterator[ThinPlace]:
    for (zone, area, spot), group in spots(dry).items():
        film_um = spot_um(group)
        if film_um < THIN * nominal_um:
            yield ThinPlace(
                zone=zone,
                area=area,
                spot=spot,
                film_um=film_um,
                film_share=film_um / nominal_um,
                station_m=group[0].station_m,
                girth_m=group[0].girth_m,
            )


def begun_s(coat: Coat) -> int | None:
    """When a coat was begun: its start, else its end, where only that was written down."""
    return coat.started_s if coat.started_s is not None else coat.finished_s


def finished_coats(state: State, zone: str, product: str) -> list[Coat]:
    """Finished coats of a product on a zone, in order of their number."""
    found = state.zone(zone)
    coats = [] if found is None else [one for one in found.coats if one.product == product]
    return sorted((one for one in coats if one.finished_s is not None), key=lambda one: one.coat)


def litres_on(state: State, hull: Hull, system: System, *, zone: Zone) -> tuple[float | None, bool]:
    """Litres of a product on a zone, and whether any of them are a share of the batches.

    Coats with litres of their own count as written down. The coats without share what the batches have left (mixed,
    less thrown away, less what other coats wrote down), by area. None where nothing is known.
    """
    product = system.sheet.name
    areas = {one.name: one.area_m2 for one in zones_for(system, hull)}
    every = [(name, coat) for name in areas for coat in finished_coats(state, name, product)]
    written = sum(coat.litres for _, coat in every if coat.litres is not None)
    silent_m2 = sum(areas[name] for name, coat in every if coat.litres is None)
    mixed = sum(one.mixed_l - one.thrown_l for one in state.materials if one.product == product)
    share_l_m2 = max(0.0, mixed - written) / silent_m2 if silent_m2 > 0.0 else 0.0
    own = [coat for name, coat in every if name == zone.name]
    if not own:
        return None, False
    silent = sum(coat.litres is None for coat in own)
    litres = sum(coat.litres or 0.0 for coat in own) + silent * share_l_m2 * zone.area_m2
    return (litres if litres > 0.0 else None), silent > 0
