"""Where pads, blocks, slings and fittings touch the hull: as somebody wrote it down, or at the usual places."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np

from boottop.measure.hull import Side
from boottop.measure.inputs import Hidden, HullMeasure
from boottop.measure.mesh import HullMesh
from boottop.measure.shell_lines import POINTS, Lines
from boottop.measure.spots import Spot, footprint

FootprintKind = Literal["pads", "blocks", "slings", "anode", "transducer", "tunnel", "other", "bare"]
PADS_FROM, PADS_TO = 0.2, 0.84
USUAL_GIRTH_SHARE = {"pads": 0.45, "anode": 0.45, "transducer": 0.22, "tunnel": 0.6, "other": 0.5}
USUAL_SLINGS = (0.22, 0.76)
USUAL_STATION = {"anode": 0.78, "transducer": 0.38, "tunnel": 0.1, "other": 0.6, "blocks": 0.5}
"""Usual places as shares of the half-girth from the centreline and of the waterline from forward: for the picture of
what was counted and not placed; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Footprint:
    """One patch of skin that something covers. `station_m`, `girth_m` (from the centreline along the skin, always
    positive): its middle; `length_m` fore and aft, `width_m` along the girth. `written_down` False: its place is a
    guess, its size is not. `side` "centre": on the centreline or the keel sole; slings go right round."""

    kind: FootprintKind
    name: str
    side: Side
    station_m: float
    girth_m: float
    length_m: float
    width_m: float
    stand_set: int = 1
    written_down: bool = False

    @property
    def ends_m(self) -> tuple[float, float]:
        return self.station_m - 0.5 * self.length_m, self.station_m + 0.5 * self.length_m

    @property
    def edges_m(self) -> tuple[float, float]:
        return self.girth_m - 0.5 * self.width_m, self.girth_m + 0.5 * self.width_m


def footprints_of(measure: HullMeasure, lines: Lines) -> tuple[Footprint, ...]:
    """Everything that the sheet counts as hidden, where it was measured or else at the usual places, and the mouths of
    thruster tunnels.

    Sizes are the sheet's own. Pads without a place stand evenly along both sides, each later set between the pads of
    the one before; blocks under the keel, or under the centreline of a boat without one; slings fore and aft.
    """
    made: list[Footprint] = []
    for hidden in measure.hidden:
        if hidden.spots:
            made += [_measured(spot, measure, lines) for spot in hidden.spots]
        else:
            made += _spots_of(hidden, measure, lines)
    for appendage in measure.appendages:
        if appendage.kind == "thruster_tunnel":
            mouth = Hidden(
                name=appendage.name, kind="other", area_each_m2=0.25 * 3.1416 * appendage.thickness_m**2, count=2
            )
            made += [_placed(mouth, "tunnel", lines, at=USUAL_STATION["tunnel"], side=side) for side in _SIDES]
    return tuple(made)


_SIDES: tuple[Literal["port", "starboard"], ...] = ("port", "starboard")


def _measured(spot: Spot, measure: HullMeasure, lines: Lines) -> Footprint:
    """A place by station and height above the keel sole, as a place on the drawn skin by station and girth."""
    low = float(lines.bottom_m(lines.stations_m).min()) - keel_depth_m(measure)
    curve = lines.at(np.asarray([spot.station_m]), np.linspace(0.0, 1.0, POINTS))[0]
    share = float(np.interp(low + spot.height_m, curve[:, 1], np.linspace(0.0, 1.0, POINTS)))
    under = spot.kind in ("blocks", "slings")
    return Footprint(
        kind=spot.kind,
        name=spot.name,
        side=spot.side,
        station_m=spot.station_m,
        girth_m=0.0 if under else share * lines.half_girth_m(spot.station_m),
        length_m=spot.length_m,
        width_m=spot.width_m,
        stand_set=spot.stand_set,
        written_down=True,
    )


def mesh_footprints(measure: HullMeasure, mesh: HullMesh) -> tuple[Footprint, ...]:
    """What was placed on a measured hull, as places in her flat view; what was only counted has no place there."""
    made = []
    for spot in (spot for hidden in measure.hidden for spot in hidden.spots):
        away = np.linalg.norm(mesh.surface.centres_m - footprint(mesh.surface, spot).centre_m, axis=1)
        girth_m = abs(float(mesh.unrolled_m[int(np.argmin(away)), :, 0].mean()))
        made.append(
            Footprint(
                kind=spot.kind,
                name=spot.name,
                side=spot.side,
                station_m=spot.station_m,
                girth_m=0.0 if spot.kind == "slings" else girth_m,
                length_m=spot.length_m,
                width_m=spot.width_m,
                stand_set=spot.stand_set,
                written_down=True,
            )
        )
    return tuple(made)


def keel_depth_m(measure: HullMeasure) -> float:
    """How far keel and bulb reach below the hull as drawn, m."""
    return max((one.height_m for one in measure.appendages if one.kind == "fin_keel"), default=0.0)


def _spots_of(hidden: Hidden, measure: HullMeasure, lines: Lines) -> Iterator[Footprint]:
    if hidden.kind == "blocks":
        yield from _blocks(hidden, measure, lines)
        return
    if hidden.kind == "slings":
        yield from _slings(hidden, lines)
        return
    for side in _SIDES:
        count = hidden.count if hidden.side == side else 0
        if hidden.side == "centre":
            count = hidden.count // 2 + (hidden.count % 2 if side == "starboard" else 0)
        for number in range(count):
            if hidden.kind == "pads":
                shift = 0.5 * ((hidden.stand_set - 1) % 2)
                share = (number + 0.5 + shift) / (count + shift)
                at = PADS_FROM + (PADS_TO - PADS_FROM) * min(share, 1.0)
            else:
                at = USUAL_STATION[hidden.kind] + 0.05 * number
            yield _placed(hidden, hidden.kind, lines, at=min(at, 0.95), side=side)


def _placed(hidden: Hidden, kind: FootprintKind, lines: Lines, *, at: float, side: Side) -> Footprint:
    station, size = at * lines.length_m, sqrt(hidden.area_each_m2)
    girth = lines.half_girth_m(station)
    width = min(size, 0.9 * girth) if girth > 0.0 else size
    middle = min(USUAL_GIRTH_SHARE[kind] * girth, girth - 0.55 * width)
    return Footprint(
        kind=kind,
        name=hidden.name,
        side=side,
        station_m=station,
        girth_m=max(middle, 0.55 * width),
        length_m=hidden.area_each_m2 / width,
        width_m=width,
        stand_set=hidden.stand_set,
    )


def _slings(hidden: Hidden, lines: Lines) -> Iterator[Footprint]:
    """Slings right round her, each as broad as its area and her girth make it."""
    for number in range(hidden.count):
        share = USUAL_SLINGS[number] if hidden.count == 2 else (number + 0.5) / hidden.count
        station, girth = share * lines.length_m, 2.0 * lines.half_girth_m(share * lines.length_m)
        yield Footprint(
            kind="slings",
            name=hidden.name,
            side="centre",
            station_m=station,
            girth_m=0.0,
            length_m=hidden.area_each_m2 / max(girth, 0.1),
            width_m=girth,
        )


def keel_ends(measure: HullMeasure, length_m: float) -> tuple[float, float] | None:
    """Fore and aft end of the fin keel's sole, m; None without one. Its place is a guess: the middle of the boat."""
    keels = [one for one in measure.appendages if one.kind == "fin_keel"]
    if not keels:
        return None
    middle = USUAL_STATION["blocks"] * length_m
    return middle - 0.5 * keels[0].length_m, middle + 0.5 * keels[0].length_m


def _blocks(hidden: Hidden, measure: HullMeasure, lines: Lines) -> Iterator[Footprint]:
    fore, aft = keel_ends(measure, lines.length_m) or (0.3 * lines.length_m, 0.7 * lines.length_m)
    keel = next((one for one in measure.appendages if one.kind == "fin_keel"), None)
    size = sqrt(hidden.area_each_m2)
    width = size if keel is None else min(size, max(0.85 * keel.thickness_m, 0.02))
    length = min(hidden.area_each_m2 / width, 0.9 * (aft - fore) / max(hidden.count, 1))
    for number in range(hidden.count):
        yield Footprint(
            kind="blocks",
            name=hidden.name,
            side="centre",
            station_m=fore + (aft - fore) * (number + 0.5) / hidden.count,
            girth_m=0.0,
            length_m=length,
            width_m=width,
        )
