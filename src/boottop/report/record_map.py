"""The record's drawings of the bottom: film, readings and bare spots on the flat hull, and which kit went where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from boottop.job.state import Batch, ZoneState
from boottop.record.facts import BARE_WORDS
from boottop.record.film import THIN
from boottop.record.readings import FilmReading, spot_um, spots
from boottop.record.record import Record
from boottop.report.flat_map import Mark, Shape, flat_map, legend_of
from boottop.report.hull_looks import Look, definitions
from boottop.report.hull_shape import from_centreline_m, side_of, with_bare_spots
from boottop.report.kit_map import SPREAD_NOTE, KitUse, kit_hatches, kit_maps, kit_uses, unplaced
from boottop.report.record_words import NONE, Block, Words, heading, table, text

BOTTOM, KITS = "bottom.svg", "kits-{}.svg"
Film = Literal["full", "less", "thin", "unknown", "bare"]
LOOKS: Mapping[Film, Look] = {
    "full": Look(key="r-full", words="film at nominal or more", pattern="plain"),
    "less": Look(key="r-less", words="80 to 100 % of nominal", pattern="rise"),
    "thin": Look(key="r-thin", words="under 80 % of nominal", pattern="cross"),
    "unknown": Look(key="r-unknown", words="film not known", pattern="dots"),
    "bare": Look(key="r-bare", words="stays bare", pattern="boxes"),
}


def hatches() -> str:
    """Every hatch that the record's drawings of the bottom are filled with."""
    return definitions(LOOKS.values()) + kit_hatches()


def film_of(share: float | None) -> Film:
    """How a film with this share of nominal is drawn.

    >>> film_of(1.02), film_of(0.9), film_of(0.7), film_of(None)
    ('full', 'less', 'thin', 'unknown')
    """
    if share is None:
        return "unknown"
    return "full" if share >= 1.0 else "less" if share >= THIN else "thin"


def zone_looks(record: Record) -> dict[str, Look]:
    """Each zone by the share of nominal antifouling that the best estimate has."""
    share = {film.zone: film.share for film in record.films if film.role == "antifouling"}
    return {zone.name: LOOKS[film_of(share.get(zone.name)) if zone.coated else "bare"] for zone in record.zones}


def bottom_map(record: Record, shape: Shape, words: Words, *, drawings: dict[str, str]) -> Iterator[Block]:
    """The bottom unrolled: film by zone, readings, thin places and bare spots where they were measured."""
    placed = with_bare_spots(shape, record.bare)
    fills = zone_looks(record)
    marks = [*_read(record, shape, words), *_bare(record, shape)]
    shown = [fills[name] for name in shape.mesh.zone_names if name in fills and _drawn(shape, name)]
    title = "The bottom unrolled flat, girth against length: port above, starboard below, bow to the left"
    drawings[BOTTOM] = flat_map(
        placed,
        fills,
        units=words.system,
        title=title,
        marks=marks,
        legend=legend_of(placed, shown, marks),
    )
    yield heading("The bottom unrolled")
    yield Block(kind="drawing", text=BOTTOM, rows=((title,),))
    yield text(" ".join([*_told(record, words, marks), *shape.notes]))


def _told(record: Record, words: Words, marks: Sequence[Mark]) -> Iterator[str]:
    """What the numbers on the drawing are, and what has no place on it."""
    if any(mark.kind in ("read", "thin") for mark in marks):
        yield f"Numbers beside dots and triangles: dry film, {words.film_unit}, the mean of a spot."
    readings = len(_dry(record)) - sum(mark.kind in ("read", "thin") for mark in marks)
    loose = sum(one.station_m is None or one.girth_m is None for one in record.bare)
    lost = [
        f"{count} {what}" for count, what in ((readings, "spots read"), (loose, "of the bare spots below")) if count
    ]
    if lost:
        yield f"Not on it, for nobody wrote down where: {' and '.join(lost)}."


def _dry(record: Record) -> Mapping[tuple[str, str, str], Sequence[FilmReading]]:
    return spots([one for one in record.readings if one.layer == "dry" and one.coat == 0])


def _read(record: Record, shape: Shape, words: Words) -> Iterator[Mark]:
    """Spots that were read and whose place was written down; thin ones as such."""
    thin = {(one.zone, one.station_m, one.girth_m, one.film_um) for film in record.films for one in film.thin}
    sides = {zone.name: zone.side for zone in record.zones}
    for key, group in _dry(record).items():
        first = group[0]
        if first.station_m is None or first.girth_m is None or key[0] not in sides:
            continue
        side, film_um = side_of(sides[key[0]]), spot_um(group)
        is_thin = (key[0], first.station_m, first.girth_m, film_um) in thin
        yield Mark(
            kind="thin" if is_thin else "read",
            side=side,
            station_m=first.station_m,
            girth_m=from_centreline_m(shape.mesh, first.station_m, first.girth_m, side=side),
            text=words.film(film_um) + (" thin" if is_thin else ""),
        )


def _bare(record: Record, shape: Shape) -> Iterator[Mark]:
    """Beside every bare spot that has a place: what it comes from."""
    for one in record.bare:
        for spot in with_bare_spots(shape, (one,)).spots[len(shape.spots) :]:
            yield Mark(
                kind="word",
                side=spot.side,
                station_m=spot.station_m,
                girth_m=spot.girth_m,
                text=BARE_WORDS[one.kind],
                beside_m=0.5 * spot.length_m,
            )


@dataclass(frozen=True, kw_only=True)
class _Worked:
    """Zones and batches of a record, as its log had them."""

    zones: tuple[ZoneState, ...]
    batches: tuple[Batch, ...]


def batch_map(record: Record, shape: Shape, words: Words, *, drawings: dict[str, str]) -> Iterator[Block]:
    """Which kit went where: a flat hull for each coat of each product, and every use of every kit in a table."""
    worked = _Worked(zones=record.preparation, batches=tuple(one.batch for one in record.batches))
    uses = kit_uses(worked, {zone.name: zone.area_m2 for zone in record.zones})
    maps = kit_maps(shape, uses, units=words.system)
    if not maps:
        return
    yield heading("Which kit went where")
    yield text(f"{SPREAD_NOTE} A kit has the number of its batch in this record, where its lots stand.")
    for number, one in enumerate(maps, start=1):
        drawings[KITS.format(number)] = one.svg
        yield Block(kind="drawing", text=KITS.format(number), rows=((f"Which kit went where: {one.title}", one.title),))
    yield table(
        (
            "Product, coat",
            "Kit",
            "Mixed",
            f"Used here, {words.unit('volume')}",
            "Zone",
            "Part of the zone",
            "Its own mark",
        ),
        "lrlrlll",
        widths=(1.7, 0.4, 1.3, 0.9, 1.2, 1.5, 0.9),
        rows=[_use_row(one.title, use, words) for one in maps for use in one.uses],
    )
    if unseen := dict.fromkeys(use.zone for use in uses if not _drawn(shape, use.zone)):
        yield text(f"In the table and not on the maps, for the drawing does not have it: {', '.join(unseen)}.")
    if lost := unplaced(worked, uses):
        numbers = ", ".join(str(number) for number in lost)
        yield text(f"Not on the maps: batch {numbers}. No coat of its product was under way while it was in use.")


def _drawn(shape: Shape, zone: str) -> bool:
    return zone in shape.mesh.zone_names and bool(shape.mesh.chosen(zone).any())


def _use_row(title: str, use: KitUse, words: Words) -> tuple[str, ...]:
    return (
        title,
        str(use.number),
        words.time(use.batch.mixed_s),
        words.number(use.litres, "volume"),
        use.zone,
        use.place,
        use.batch.kit or NONE,
    )
