"""A likeness of the hull in facets for boats that nobody scanned: drawn from the tape, never used for the area."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from boottop.measure.checks import SLINGS
from boottop.measure.hull import Hull
from boottop.measure.inputs import HullMeasure, NamedZone
from boottop.measure.mesh import PARTS, Array, Facets, HullMesh
from boottop.measure.shell_gear import GAP_SHARE, Gear, Sheet
from boottop.measure.shell_lines import Lines, lines_of
from boottop.measure.shell_spots import Footprint, footprints_of

STATIONS, STRINGS = 56, 15
DRAWN_NOTE = (
    "Drawn from the tape, not a scan: girths and breadths are yours at the stations you taped, the shape between them "
    "and the places of keel, rudder and fittings are a likeness."
)
DRAWN_FROM_DIMENSIONS = (
    "Drawn from the main dimensions alone: length, beam, draft and displacement are yours, the shape is a likeness."
)
SPOTS_NOTE = "Where pads, blocks and fittings sit was not written down: they are drawn at the usual places, in size."


@dataclass(frozen=True, kw_only=True)
class Panel:
    """A surface laid beside the flat hull: its name, the middle of where it lies (length and girth), and how
    long and wide it is."""

    name: str
    station_m: float
    girth_m: float
    length_m: float
    width_m: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Shell:
    """The drawn hull. `drawn_m2` by zone is what the likeness happens to have, `reckoned_m2` what counts (the hull's
    own areas); nothing may be ordered or reckoned by the first. `spots` are the pads, blocks and fittings shown,
    `panels` the gear and end faces beside the flat hull."""

    mesh: HullMesh
    spots: tuple[Footprint, ...]
    panels: tuple[Panel, ...]
    drawn_m2: Mapping[str, float]
    reckoned_m2: Mapping[str, float]
    notes: tuple[str, ...]

    def factor(self, zone: str) -> float:
        """Reckoned over drawn area of a zone, dimensionless; 1 where nothing of it is drawn."""
        drawn = self.drawn_m2.get(zone, 0.0)
        return self.reckoned_m2[zone] / drawn if drawn > 0.0 and zone in self.reckoned_m2 else 1.0


def draw_shell(measure: HullMeasure, hull: Hull, spots: Sequence[Footprint] | None = None) -> Shell:
    """A likeness of the hull on the contract of measure.mesh, facets sorted into the zones of `hull`.

    `spots`: where pads, blocks, slings and fittings sit, if that was written down; None draws what the sheet counts at
    the usual places. Valid for measures that `build_hull` takes. Not closed: keel and gear stand against the skin.
    """
    lines = lines_of(measure)
    found = footprints_of(measure, lines) if spots is None else tuple(spots)
    names = tuple(zone.name for zone in hull.zones)
    sole = next((zone.name for zone in hull.zones if zone.kind == "sole"), "")
    blocks = [spot for spot in found if spot.kind == "blocks"]
    gear = Gear(measure=measure, lines=lines, zones=names, blocks=blocks, sole_zone=sole)
    skin = _Skin(lines=lines, measure=measure, names=names, spots=found, sole=sole)
    sheets = [*skin.sheets(), *gear.sheets()]
    mesh = _mesh(sheets, names)
    drawn = {name: mesh.zone_area_m2(name) for name in names}
    reckoned = {zone.name: zone.area_m2 for zone in hull.zones}
    return Shell(
        mesh=mesh,
        spots=found,
        panels=tuple(_panel(sheet) for sheet in sheets if sheet.name),
        drawn_m2=drawn,
        reckoned_m2=reckoned,
        notes=_notes(measure, found, drawn),
    )


def _panel(sheet: Sheet) -> Panel:
    flat = sheet.flat_m.reshape(-1, 2)
    low, high = flat.min(axis=0), flat.max(axis=0)
    length, width = (high - low).tolist()
    station, girth = (0.5 * (low + high)).tolist()
    return Panel(name=sheet.name, station_m=station, girth_m=girth, length_m=length, width_m=width)


def _notes(measure: HullMeasure, spots: Sequence[Footprint], drawn: Mapping[str, float]) -> tuple[str, ...]:
    notes = [DRAWN_FROM_DIMENSIONS if measure.dimensions is not None else DRAWN_NOTE]
    if any(not spot.written_down for spot in spots):
        notes.append(SPOTS_NOTE)
    missing = [name for name, area in drawn.items() if area == 0.0]
    if missing:
        notes.append(f"Not in the picture: {', '.join(missing)}.")
    return tuple(notes)


def _mesh(sheets: Sequence[Sheet], names: tuple[str, ...]) -> HullMesh:
    """Sheets put together: corners that lie together in space and flat made one, facets without area left out."""
    points, flat, facets, zones, parts, start = [], [], [], [], [], 0
    for sheet in sheets:
        triangles, cells = sheet.triangles()
        points.append(sheet.points_m.reshape(-1, 3))
        flat.append(sheet.flat_m.reshape(-1, 2))
        facets.append(triangles + np.int32(start))
        zones += cells
        parts += [PARTS.index(sheet.part)] * len(triangles)
        start += len(points[-1])
    places = np.column_stack((np.concatenate(points), np.concatenate(flat)[:, ::-1])) + 0.0
    _, first, welded = np.unique(np.round(places, 7), axis=0, return_index=True, return_inverse=True)
    corners = welded.ravel().astype(np.int32)[np.concatenate(facets)]
    surface = Facets(vertices_m=places[first, :3], facets=corners)
    keep = surface.areas_m2 > 1e-9
    number = {name: index for index, name in enumerate(names)}
    zone_of = np.asarray([number.get(name, 0) for name in zones], dtype=np.int16)[keep]
    whole = Facets(vertices_m=surface.vertices_m, facets=surface.facets[keep])
    return HullMesh(
        surface=whole,
        zone_names=names,
        zone_of=zone_of,
        part_of=np.asarray(parts, dtype=np.int8)[keep],
        unrolled_m=places[first, 3:][corners[keep]],
        closed=False,
    )


@dataclass(frozen=True, kw_only=True)
class _Skin:
    """The bare hull, both sides, its cells sorted into zones, and the flat faces at its ends."""

    lines: Lines
    measure: HullMeasure
    names: tuple[str, ...]
    spots: tuple[Footprint, ...]
    sole: str

    def sheets(self) -> Iterator[Sheet]:
        x = self._stations()
        for side, sign in (("port", -1.0), ("starboard", 1.0)):
            bands = self._bands(side)
            shares = self._shares(side, [band[1] for band in bands])
            curves = self.lines.at(x, shares)
            points = np.concatenate(
                (np.broadcast_to(x[:, None, None], (*curves.shape[:2], 1)), curves * np.array([sign, 1.0])), axis=2
            )
            girths = np.asarray([self.lines.half_girth_m(float(station)) for station in x])
            flat = np.stack(
                (np.broadcast_to(x[:, None], points.shape[:2]), sign * girths[:, None] * shares[None, :]), axis=-1
            )
            yield Sheet(
                points_m=points,
                flat_m=flat,
                outward=(0.0, sign, -1.0),
                zone=f"{side} side",
                part="hull",
                zone_of_cell=self._cells(side, x, girths=girths, shares=shares, bands=bands),
            )
        yield from self._ends()

    def _stations(self) -> Array:
        length = self.lines.length_m
        even = 0.5 * length * (1.0 - np.cos(np.linspace(0.0, np.pi, STATIONS)))
        x = 0.5 * (even + np.linspace(0.0, length, STATIONS))
        ends = [end for spot in self.spots for end in spot.ends_m if spot.kind in ("pads", "blocks", "slings")]
        return np.union1d(x, np.clip(ends, 0.0, length))

    def _of_side(self, side: str) -> list[Footprint]:
        """Slings, then pads of a side; blocks too where there is no keel to stand on."""
        on_skin = not any(one.kind == "fin_keel" for one in self.measure.appendages)
        slings = [spot for spot in self.spots if spot.kind == "slings"]
        pads = [spot for spot in self.spots if spot.kind == "pads" and spot.side == side]
        return [*slings, *pads, *(spot for spot in self.spots if spot.kind == "blocks" and on_skin)]

    def _shares(self, side: str, cuts: Sequence[float]) -> Array:
        shares = [*np.linspace(0.0, 1.0, STRINGS), *cuts]
        for spot in self._of_side(side):
            girth = self.lines.half_girth_m(spot.station_m)
            shares += [edge / girth for edge in spot.edges_m if 0.0 < edge < girth]
        return np.unique(np.round(np.clip(shares, 0.0, 1.0), 5))

    def _bands(self, side: str) -> list[tuple[str, float, float]]:
        """Zones of the sheet's own on a side as (name, from share, to share): strips under the waterline."""
        found, top = [], 1.0
        for named in self.measure.named_zones:
            if named.name in self.names and named.side in (side, "centre"):
                low = self._cut(named, top)
                found.append((named.name, low, top))
                top = low
        return found

    def _cut(self, named: NamedZone, top: float) -> float:
        """Share of the girth down to which a strip has the area of a zone."""
        wanted = named.area_m2 * (0.5 if named.side == "centre" else 1.0)
        x = np.linspace(0.0, self.lines.length_m, 41)
        girths = np.asarray([self.lines.half_girth_m(float(station)) for station in x])
        side_m2 = float(np.trapezoid(girths, x))
        return max(top - wanted / side_m2, 0.02)

    def _cells(
        self, side: str, x: Array, *, girths: Array, shares: Array, bands: Sequence[tuple[str, float, float]]
    ) -> list[list[str]]:
        station, share = 0.5 * (x[1:] + x[:-1]), 0.5 * (shares[1:] + shares[:-1])
        plain = f"{side} side" if f"{side} side" in self.names else self.names[0]
        row = [next((name for name, low, high in bands if low < s < high), plain) for s in share]
        cells = [list(row) for _ in station]
        for spot in self._of_side(side):
            name = {"blocks": self.sole, "slings": SLINGS}.get(spot.kind, f"pads {spot.stand_set}")
            if name not in self.names:
                continue
            girth = self.lines.half_girth_m(spot.station_m)
            low, high = (edge / girth for edge in spot.edges_m)
            for i in np.flatnonzero((station > spot.ends_m[0]) & (station < spot.ends_m[1])):
                for j in np.flatnonzero((share > low) & (share < high)):
                    cells[i][j] = name
        return cells

    def _ends(self) -> Iterator[Sheet]:
        """The flat faces of a transom and of a pram bow, laid flat fore and aft of the hull."""
        shares = np.linspace(0.0, 1.0, STRINGS)
        gap = GAP_SHARE * self.lines.half_girth_m(0.5 * self.lines.length_m)
        for name, x, way in (("bow face", 0.0, -1.0), ("transom", self.lines.length_m, 1.0)):
            curve = self.lines.at(np.asarray([x]), shares)[0]
            if float(curve[:, 0].max()) < 0.05 or float(-curve[:, 1].min()) < 0.02:
                continue
            for side, sign in (("port", -1.0), ("starboard", 1.0)):
                rim = np.stack((np.full(len(curve), x), sign * curve[:, 0], curve[:, 1]), axis=1)
                top = rim * np.array([1.0, 1.0, 0.0])
                points = np.stack((rim, top))
                flat = np.stack((x + way * (gap + points[:, :, 2] - rim[0, 2]), points[:, :, 1]), axis=-1)
                yield Sheet(
                    points_m=points, flat_m=flat, outward=(way, 0.0, 0.0), zone=f"{side} side", part="end", name=name
                )
