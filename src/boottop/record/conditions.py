"""What the air and the surface were like while a coat went on: as measured, and as worked out."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from boottop.climate.moist import dew_point_c
from boottop.job.board import BoardSystem, BoardTable
from boottop.job.slots import slot_at
from boottop.job.state import Reading

AT_IT_S, AFTER_S, EVERY_S = 3600, 1800, 4 * 3600
"""Readings of the hour before a coat until half an hour after it are its own; without any, the last one counts that is
no older than four hours, for so often readings are asked for (UFC 3-190-06 9.6.6, read)."""
TOGETHER_S = 3600
"""Air and surface read within an hour of each other give a margin (common practice, no source)."""
READING_RULE = "readings about every 4 h, at the work: UFC 3-190-06 9.6.6 (read)"


@dataclass(frozen=True, kw_only=True)
class Range:
    """Least and most of what was read or worked out, in the unit of the field it stands in, and how many values."""

    span: tuple[float, float]
    count: int

    @property
    def least(self) -> float:
        return self.span[0]

    @property
    def most(self) -> float:
        return self.span[1]


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """Conditions over one coat; each None where nothing is known.

    `margin_*`: surface above dew point, K. `modelled_*`: of the windows that the plan was made from (the zone's worst
    patch). `closed_rules`: numbers of the rules (windows.Rule) that closed slots in which the coat went on.
    `rain_mm`: rain of the weather file from start to finish.
    """

    air_c: Range | None
    humidity: Range | None
    surface_c: Range | None
    dew_c: Range | None
    margin_k: Range | None
    modelled_surface_c: Range | None
    modelled_margin_k: Range | None
    closed_rules: tuple[int, ...] = ()
    rain_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Modelled:
    """The table that covers a time, and its coating on the zone."""

    table: BoardTable
    system: BoardSystem


def modelled(tables: Sequence[BoardTable], zone: str, *, product: str, at_s: int) -> Modelled | None:
    """The newest table that covers a time and has the coating on the zone; None without one."""
    for table in tables:
        if slot_at(table, at_s) is None:
            continue
        for board_zone in table.zones:
            if board_zone.name == zone:
                system = next((one for one in board_zone.systems if one.product == product), None)
                if system is not None:
                    return Modelled(table=table, system=system)
    return None


def margins(readings: Sequence[Reading], zone: str | None) -> list[tuple[int, float, float, float]]:
    """(time, surface, dew point, margin) of every surface reading of a zone (None: any) that has air and humidity
    within an hour of it."""
    airs = sorted((one for one in readings if one.air_c is not None and one.humidity), key=lambda one: one.at_s)
    times = [one.at_s for one in airs]
    found = []
    for one in readings:
        if one.surface_c is None or (zone is not None and one.zone not in (zone, None)) or not airs:
            continue
        place = bisect_left(times, one.at_s)
        air = min(airs[max(0, place - 1) : place + 1], key=lambda air, at_s=one.at_s: abs(air.at_s - at_s))  # type: ignore[misc]
        if abs(air.at_s - one.at_s) <= TOGETHER_S and air.air_c is not None and air.humidity:
            dew_c = float(dew_point_c(air.air_c, min(air.humidity, 1.0)))
            found.append((one.at_s, one.surface_c, dew_c, one.surface_c - dew_c))
    return found


def conditions_of(
    readings: Sequence[Reading],
    found: Modelled | None,
    *,
    zone: str,
    start_s: int | None,
    finish_s: int,
) -> Conditions:
    """Conditions as read at a coat, see AT_IT_S, and as worked out over its slots. Dew point by climate.moist; ranges,
    not means: the worst moment spoils the film."""
    begin_s = finish_s if start_s is None else start_s
    near = _near(readings, begin_s, finish_s)
    margin = margins(near, zone)
    slots: list[int] = []
    if found is not None:
        first, last = slot_at(found.table, begin_s), slot_at(found.table, max(begin_s, finish_s - 1))
        slots = [] if first is None or last is None else list(range(first, last + 1))
    system = found.system if found is not None else None
    return Conditions(
        air_c=_range(one.air_c for one in near),
        humidity=_range(one.humidity for one in near),
        surface_c=_range(one.surface_c for one in near if one.zone in (zone, None)),
        dew_c=_range(one[2] for one in margin),
        margin_k=_range(one[3] for one in margin),
        modelled_surface_c=_range(system.surface_c[slot] for slot in slots) if system else None,
        modelled_margin_k=_range(system.margin_k[slot] for slot in slots) if system else None,
        closed_rules=tuple(sorted({system.rule[slot] for slot in slots} - {0})) if system else (),
        rain_mm=sum(found.table.rain_mm[slot] for slot in slots) if found is not None and slots else None,
    )


def _near(readings: Sequence[Reading], begin_s: int, finish_s: int) -> list[Reading]:
    own = [one for one in readings if begin_s - AT_IT_S <= one.at_s <= finish_s + AFTER_S]
    if any(one.air_c is not None or one.surface_c is not None for one in own):
        return own
    before = [one for one in readings if begin_s - EVERY_S <= one.at_s < begin_s - AT_IT_S]
    last_s = max((one.at_s for one in before if one.air_c is not None), default=None)
    return own if last_s is None else own + [one for one in before if last_s - TOGETHER_S <= one.at_s]


def _range(values: Iterable[float | None]) -> Range | None:
    known = [value for value in values if value is not None]
    return Range(span=(min(known), max(known)), count=len(known)) if known else None
