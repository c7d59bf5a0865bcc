"""The record's places on the unrolled bottom: what the sheet measured, what was read, what stayed bare."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from math import sqrt

from boottop.measure.inputs import Hidden, HullMeasure
from boottop.record.readings import spots
from boottop.record.record import Record
from boottop.report.record_words import Words
from boottop.report.unrolled import Face, Film, Mark, MarkKind, Unrolled, film_of

FLAT = ("fin_keel", "skeg", "rudder", "fin")
PAD_DEPTH = 0.55
"""Where a pad is drawn of which the sheet knows only that it is there: a little past half the girth."""
BOTTOM_M = 99.0
"""So far down that it is the centreline."""
MARKS: Mapping[str, MarkKind] = {"pads": "pad", "blocks": "block"}
FULLNESS = ((0.0, 0.0), (0.1, 0.42), (0.25, 0.78), (0.5, 1.0), (0.75, 0.92), (0.9, 0.68), (1.0, 0.45))
"""Half girths along the waterline, as shares of the largest, where none were taped (a small craft's; ours)."""


def unrolled_of(record: Record, measure: HullMeasure, words: Words) -> Unrolled:
    """The drawing of a record: zones by the share of nominal that the best estimate has."""
    outline = outline_of(record, measure)
    share = {film.zone: film.share for film in record.films if film.role == "antifouling"}
    bare = {zone.name for zone in record.zones if not zone.coated}

    def film(zone: str) -> Film:
        if zone == "sides":
            known = [one for one in (share.get("port side"), share.get("starboard side")) if one is not None]
            return film_of(min(known, default=None))
        return "bare" if zone in bare else film_of(share.get(zone))

    taped = measure.girths is not None
    return Unrolled(
        outline=outline,
        port=film("port side"),
        starboard=film("starboard side"),
        marks=tuple(_marks(record, measure, outline, words=words)),
        faces=tuple(
            Face(
                name=one.name,
                length_m=one.length_m,
                height_m=one.height_m,
                film=film(one.zone),
            )
            for one in measure.appendages
            if one.kind in FLAT and one.height_m > 0.0
        ),
        feet=words.system == "us",
        note="" if taped else "The outline is a usual one, made to the area of the sides: no girths were taped.",
    )


def outline_of(record: Record, measure: HullMeasure) -> list[tuple[float, float]]:
    """(station, half girth) as taped; else a usual outline scaled to the area of one side."""
    if measure.girths is not None:
        return [(one.station_m, one.half_girth_m) for one in measure.girths.readings]
    length_m = record.boat.waterline_m
    side_m2 = max((zone.area_m2 for zone in record.zones if zone.kind == "side"), default=0.5 * record.area_m2)
    shares = itertools.pairwise(FULLNESS)
    mean = sum((high[0] - low[0]) * (high[1] + low[1]) / 2.0 for low, high in shares)
    most_m = side_m2 / (length_m * mean)
    return [(share * length_m, fullness * most_m) for share, fullness in FULLNESS]


def _marks(
    record: Record, measure: HullMeasure, outline: Sequence[tuple[float, float]], *, words: Words
) -> Iterator[Mark]:
    yield from _hidden(measure, outline)
    for one in record.bare:
        if one.station_m is not None and one.girth_m is not None:
            size_m = sqrt(one.area_m2) if one.area_m2 else 0.3
            yield Mark(
                kind="bare", station_m=one.station_m, girth_m=one.girth_m, side=one.side, text=one.kind, size_m=size_m
            )
    yield from _read(record, words)


def _hidden(measure: HullMeasure, outline: Sequence[tuple[float, float]]) -> Iterator[Mark]:
    """Pads and blocks, dashed: where their stations were measured, there, else evenly spread; how far down the skin
    they reach is not known without a mesh."""
    length_m = outline[-1][0]
    for one in measure.hidden:
        kind = MARKS.get(one.kind)
        if kind is None:
            continue
        places = [(spot.station_m, spot.side) for spot in one.spots] or _spread(one, length_m)
        for station_m, side in places:
            girth_m = PAD_DEPTH * _half_girth(outline, station_m) if kind == "pad" else BOTTOM_M
            yield Mark(
                kind=kind,
                station_m=station_m,
                girth_m=girth_m,
                side=side if kind == "pad" else "centre",
                surveyed=False,
                size_m=sqrt(one.area_each_m2),
            )


def _spread(one: Hidden, length_m: float) -> list[tuple[float, str]]:
    """Places of which only the number is known: pads in pairs over the middle of her, blocks under the keel."""
    if one.kind == "blocks":
        return [(length_m * (0.4 + 0.2 * (number + 0.5) / one.count), "centre") for number in range(one.count)]
    a_side = max(1, one.count // 2)
    return [
        (length_m * (0.2 + 0.6 * (number // 2 + 0.5) / a_side), "port" if number % 2 == 0 else "starboard")
        for number in range(one.count)
    ]


def _half_girth(outline: Sequence[tuple[float, float]], station_m: float) -> float:
    return min(outline, key=lambda pair: abs(pair[0] - station_m))[1]


def _read(record: Record, words: Words) -> Iterator[Mark]:
    """Spots that were read and whose place was written down; thin ones as such."""
    thin = {(one.zone, one.area, one.spot) for film in record.films for one in film.thin}
    sides = {zone.name: zone.side for zone in record.zones}
    dry = [one for one in record.readings if one.layer == "dry" and one.coat == 0]
    for (zone, area, spot), group in spots(dry).items():
        first = group[0]
        if first.station_m is None or first.girth_m is None or zone not in sides:
            continue
        yield Mark(
            kind="thin" if (zone, area, spot) in thin else "read",
            station_m=first.station_m,
            girth_m=first.girth_m,
            side=sides[zone],
            text=words.film(sum(one.middle_um for one in group) / len(group)),
        )
