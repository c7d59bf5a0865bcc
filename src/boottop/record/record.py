"""The record: one object with all that is printed, made from the log, the sheets and the windows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from boottop.coating.cautions import cautions_for
from boottop.coating.film import coat_wet_film_um, mixture
from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.job.board import BoardTable
from boottop.job.events import Event
from boottop.job.fold import fold
from boottop.job.settle import settle
from boottop.job.state import Batch, Coat, Note, Rain, Reading, State, ZoneState
from boottop.measure.hull import Hull
from boottop.measure.inputs import Hidden
from boottop.record.bare import bare_spots
from boottop.record.conditions import Conditions, conditions_of, modelled
from boottop.record.deviations import deviations
from boottop.record.evidence import CoatFacts, Deviation, Evidence
from boottop.record.facts import BareSpot, BoatPapers, ChainEnd, Facts, Lot, PhotoFact
from boottop.record.film import ZoneFilm, film_readings, finished_coats, zone_films
from boottop.record.history import FOULING_SOURCE, Visit, Wear, wear
from boottop.record.job_rules import pot_life_h
from boottop.record.readings import FilmReading
from boottop.record.waits import Wait, waits_of

SCHEMA = "boottop.record/1"


@dataclass(frozen=True, kw_only=True)
class RecordInput:
    """All that a record is made from. `tables` newest first; `events` as the log has them; `film` readings beside the
    log; `last_time` the bare spots of the boat's job before this one; `history` of the boat's other jobs too."""

    boat: BoatPapers
    hull: Hull
    hidden: Sequence[Hidden]
    systems: Sequence[System]
    tables: Sequence[BoardTable]
    events: Sequence[Event]
    chain: ChainEnd
    made_s: int
    version: str
    film: Sequence[FilmReading] = ()
    photos: Sequence[PhotoFact] = ()
    facts: Facts = field(default_factory=Facts)
    last_time: Sequence[BareSpot] = ()
    history: Sequence[Visit] = ()


@dataclass(frozen=True, kw_only=True)
class ZoneLine:
    """A zone of the hull as the record lists it."""

    name: str
    kind: str
    side: str
    area_m2: float
    area_sd_m2: float
    substrate: str
    coated: bool


@dataclass(frozen=True, kw_only=True)
class ProductLine:
    """A product as used: from its sheet, with the lots that went into the batches."""

    name: str
    role: str
    coats: int
    dry_film_um: float
    wet_film_um: float
    solids_fraction: float
    mixed_l: float
    thrown_l: float
    invented: bool
    lots: tuple[Lot, ...]


@dataclass(frozen=True, kw_only=True)
class BatchLine:
    """A batch with its pot life by the sheet; `used_min` None while it is open."""

    number: int
    batch: Batch
    pot_life_min: float | None
    used_min: float | None


@dataclass(frozen=True, kw_only=True)
class CoatLine:
    """A coat with the conditions it went on in, the film read wet, and its litres."""

    zone: str
    product: str
    role: str
    coat: Coat
    area_m2: float
    conditions: Conditions
    wet_low_um: float | None
    wet_high_um: float | None
    wet_count: int
    litres_wet_um: float | None


@dataclass(frozen=True, kw_only=True)
class Record:
    """The coating record of one job; times are epoch seconds UTC, everything else SI."""

    boat: BoatPapers
    papers: Mapping[str, str]
    zones: tuple[ZoneLine, ...]
    area_m2: float
    area_sd_m2: float
    area_method: str
    hull_notes: tuple[str, ...]
    hauled_s: int | None
    washed_s: int | None
    launched_s: int | None
    stands: Mapping[str, int]
    preparation: tuple[ZoneState, ...]
    products: tuple[ProductLine, ...]
    batches: tuple[BatchLine, ...]
    coats: tuple[CoatLine, ...]
    waits: tuple[Wait, ...]
    films: tuple[ZoneFilm, ...]
    readings: tuple[FilmReading, ...]
    weather: tuple[Reading, ...]
    rain: tuple[Rain, ...]
    notes: tuple[Note, ...]
    photos: tuple[PhotoFact, ...]
    deviations: tuple[Deviation, ...]
    bare: tuple[BareSpot, ...]
    last_time: tuple[BareSpot, ...]
    history: tuple[Visit, ...]
    wear: tuple[Wear, ...]
    least_film_um: float
    fouling_source: str
    cautions: tuple[str, ...]
    defers_to: tuple[str, ...]
    chain: ChainEnd
    made_s: int
    version: str
    schema: str = SCHEMA


def make_record(given: RecordInput) -> Record:
    """The record of a job."""
    state, settled = fold(given.events), settle(given.events).events
    readings = film_readings(state, given.film)
    coats = _coats(given, state, readings)
    films = zone_films(given.hull, given.systems, state=state, readings=readings)
    waits = waits_of(state, given.tables, events=settled)
    order = {zone.name: number for number, zone in enumerate(given.hull.zones)}
    evidence = Evidence(
        hull=given.hull,
        systems=given.systems,
        tables=given.tables,
        state=state,
        events=settled,
        coats=_coat_facts(given, coats),
        waits=waits,
        films=films,
        photos=given.photos,
        facts=given.facts,
        zone_name=given.boat.zone_name,
    )
    least_um = least_film_um(given)
    cautions = cautions_for("plan")
    return Record(
        boat=given.boat,
        papers=given.facts.papers,
        zones=tuple(_zone_line(given, number) for number in range(len(given.hull.zones))),
        area_m2=given.hull.total_m2,
        area_sd_m2=given.hull.total_sd_m2,
        area_method=given.hull.method,
        hull_notes=given.hull.notes,
        hauled_s=state.hauled_s,
        washed_s=state.washed_s,
        launched_s=state.launched_s,
        stands={str(one.stand_set): one.at_s for one in state.stands},
        preparation=tuple(sorted(state.zones, key=lambda one: order.get(one.zone, 99))),
        products=tuple(_product(given, system, state) for system in given.systems),
        batches=tuple(_batch(given, number, one) for number, one in enumerate(state.batches, start=1)),
        coats=coats,
        waits=tuple(sorted(waits, key=lambda one: (order.get(one.zone, 99), one.finished_s, one.came_s))),
        films=films,
        readings=readings,
        weather=state.readings,
        rain=state.rain,
        notes=state.notes,
        photos=tuple(given.photos),
        deviations=deviations(evidence),
        bare=bare_spots(given.hull, given.hidden, systems=given.systems, state=state, facts=given.facts),
        last_time=tuple(given.last_time),
        history=tuple(sorted(given.history, key=lambda one: (one.at_s, one.zone or "", one.kind))),
        wear=_wear(given, least_um),
        least_film_um=least_um,
        fouling_source=FOULING_SOURCE,
        cautions=tuple(one.text for one in cautions),
        defers_to=tuple(dict.fromkeys(name for one in cautions for name in one.defers_to)),
        chain=given.chain,
        made_s=given.made_s,
        version=given.version,
    )


def least_film_um(given: RecordInput) -> float:
    """Film at which the bottom is due: as typed, else one coat of the antifouling (common practice, no source)."""
    if given.facts.least_film_um is not None:
        return given.facts.least_film_um
    return next((one.sheet.dry_film_um for one in given.systems if one.role == "antifouling"), 0.0)


def _zone_line(given: RecordInput, number: int) -> ZoneLine:
    zone = given.hull.zones[number]
    return ZoneLine(
        name=zone.name,
        kind=zone.kind,
        side=zone.side,
        area_m2=zone.area_m2,
        area_sd_m2=zone.area_sd_m2,
        substrate=zone.substrate,
        coated=zone.coated,
    )


def _product(given: RecordInput, system: System, state: State) -> ProductLine:
    sheet = system.sheet
    used = dict.fromkeys(
        (part, lot) for batch in state.batches if batch.product == sheet.name for part, lot in batch.lots.items()
    )
    dates = {(one.part, one.lot): one.best_before for one in given.facts.lots if one.product == sheet.name}
    material = next((one for one in state.materials if one.product == sheet.name), None)
    return ProductLine(
        name=sheet.name,
        role=system.role,
        coats=system.coats,
        dry_film_um=sheet.dry_film_um,
        wet_film_um=coat_wet_film_um(sheet),
        solids_fraction=mixture(sheet).solids_fraction,
        mixed_l=material.mixed_l if material else 0.0,
        thrown_l=material.thrown_l if material else 0.0,
        invented=sheet.invented,
        lots=tuple(
            Lot(product=sheet.name, part=part, lot=lot, best_before=dates.get((part, lot))) for part, lot in used
        ),
    )


def _batch(given: RecordInput, number: int, batch: Batch) -> BatchLine:
    sheet = next((one.sheet for one in given.systems if one.sheet.name == batch.product), None)
    return BatchLine(
        number=number,
        batch=batch,
        pot_life_min=None if sheet is None else 60.0 * pot_life_h(sheet, batch),
        used_min=None if batch.done_s is None else (batch.done_s - batch.mixed_s) / 60.0,
    )


def _coats(given: RecordInput, state: State, readings: Sequence[FilmReading]) -> tuple[CoatLine, ...]:
    found = [
        _coat_line(given, state, readings, where=(zone.name, zone.area_m2), system=system, coat=coat)
        for system in given.systems
        for zone in zones_for(system, given.hull)
        for coat in finished_coats(state, zone.name, system.sheet.name)
    ]
    return tuple(sorted(found, key=lambda one: (one.coat.finished_s or 0, one.zone)))


def _coat_line(
    given: RecordInput,
    state: State,
    readings: Sequence[FilmReading],
    *,
    where: tuple[str, float],
    system: System,
    coat: Coat,
) -> CoatLine:
    zone, area_m2 = where
    finish_s = coat.finished_s or 0
    table = modelled(given.tables, zone, product=coat.product, at_s=coat.started_s or finish_s)
    wet = [
        one
        for one in readings
        if one.layer == "wet" and one.zone == zone and one.coat == coat.coat and one.product in (coat.product, None)
    ]
    rolled_um = None
    if coat.litres:
        rolled_um = 1000.0 * coat.litres * (1.0 - system.loss_fraction) / area_m2
    return CoatLine(
        zone=zone,
        product=coat.product,
        role=system.role,
        coat=coat,
        area_m2=area_m2,
        conditions=conditions_of(state.readings, table, zone=zone, start_s=coat.started_s, finish_s=finish_s),
        wet_low_um=min((one.low_um for one in wet), default=None),
        wet_high_um=max((one.high_um for one in wet), default=None),
        wet_count=len(wet),
        litres_wet_um=rolled_um,
    )


def _coat_facts(given: RecordInput, coats: Sequence[CoatLine]) -> list[CoatFacts]:
    zones = {zone.name: zone for zone in given.hull.zones}
    systems = {system.sheet.name: system for system in given.systems}
    seen: set[str] = set()
    found = []
    for one in coats:
        found.append(
            CoatFacts(
                zone=zones[one.zone],
                system=systems[one.product],
                coat=one.coat,
                conditions=one.conditions,
                first=one.zone not in seen,
            )
        )
        seen.add(one.zone)
    return found


def _wear(given: RecordInput, least_um: float) -> tuple[Wear, ...]:
    names = [zone.name for zone in given.hull.zones if zone.coated]
    found = (wear(given.history, zone=name, least_um=least_um, now_s=given.made_s) for name in names)
    return tuple(one for one in found if one is not None)
