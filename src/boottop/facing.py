"""What it changes to reckon the hull by groups of facets and not by side: the same weather both ways, compared."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from boottop.base.clock import SLOT_S, SLOTS_PER_HOUR
from boottop.climate.weather import Weather
from boottop.measure.hull import Hull, Zone
from boottop.measure.inputs import HullMeasure
from boottop.measure.mesh_facing import HULL_NAMES
from boottop.measure.patches import side_pieces
from boottop.windows.windows import Rule, ZoneWindows
from boottop.workflow import HORIZON_DAYS, Ashore, outlook_for


@dataclass(frozen=True)
class BySide(Ashore):
    """The same job with the plain hull of each side as two patches, bilge and bottom, told by the deadrise alone."""

    @cached_property
    def hull(self) -> Hull:
        hull = Ashore(self.job).hull
        return replace(hull, zones=tuple(_by_side(zone, self.job.hull) for zone in hull.zones))


def _by_side(zone: Zone, measure: HullMeasure) -> Zone:
    if zone.kind != "side" or zone.side == "centre":
        return zone
    plain = [patch for patch in zone.patches if patch.name.startswith(HULL_NAMES)]
    others = [patch for patch in zone.patches if patch not in plain]
    area = sum(patch.area_m2 for patch in plain)
    level = sum(patch.area_m2 * abs(np.cos(np.radians(patch.tilt_deg))) for patch in plain)
    pieces = side_pieces(
        measure, zone.side, area_m2=area, ends_m2=(0.0, 0.0), flatness_ratio=level / area if area else None
    )
    return replace(zone, patches=(*(piece.patch for piece in pieces), *others))


@dataclass(frozen=True, kw_only=True)
class FacingRow:
    """One zone and product in the open: hours in which a coat may be started by side and by facet group, hours open in
    one way only, and the median wait until the next coat, minutes, over finishes in hours open both ways (None: none).
    """

    zone: str
    product: str
    side_patches: int
    facet_patches: int
    side_open_h: float
    facet_open_h: float
    only_side_h: float
    only_facet_h: float
    side_wait_min: float | None
    facet_wait_min: float | None


def compare_facing(ashore: Ashore, weather: Weather, *, days: int = HORIZON_DAYS) -> tuple[FacingRow, ...]:
    """Windows of every zone whose patches differ, reckoned both ways from the same weather and draws."""
    by_side = BySide(ashore.job)
    sides, facets = outlook_for(by_side, weather, days=days), outlook_for(ashore, weather, days=days)
    counts = {
        zone.name: (len(plain.patches), len(zone.patches))
        for zone, plain in zip(ashore.hull.zones, by_side.hull.zones, strict=True)
        if zone.patches != plain.patches
    }
    return tuple(
        _row(sides.windows[key], windows, counts[key.zone])
        for key, windows in facets.windows.items()
        if not key.under_tent and key.zone in counts
    )


def _row(side: ZoneWindows, facet: ZoneWindows, counts: tuple[int, int]) -> FacingRow:
    open_side, open_facet = side.rule == Rule.OPEN, facet.rule == Rule.OPEN
    both = np.flatnonzero(open_side & open_facet) + 1
    return FacingRow(
        zone=facet.zone,
        product=facet.product,
        side_patches=counts[0],
        facet_patches=counts[1],
        side_open_h=_hours(open_side),
        facet_open_h=_hours(open_facet),
        only_side_h=_hours(open_side & ~open_facet),
        only_facet_h=_hours(open_facet & ~open_side),
        side_wait_min=_wait(side, both),
        facet_wait_min=_wait(facet, both),
    )


def _hours(slots: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> float:
    return int(np.count_nonzero(slots)) / SLOTS_PER_HOUR


def _wait(windows: ZoneWindows, marks: np.ndarray[tuple[int], np.dtype[np.int64]]) -> float | None:
    """Median minutes from finish to ready at the cautious edge, over finishes that become ready in the weather."""
    late = windows.ready.late[marks]
    known = late <= windows.grid.count
    return float(np.median((late - marks)[known])) * SLOT_S / 60.0 if known.any() else None
