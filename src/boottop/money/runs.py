"""The owner's log cut into steady runs: wind and manoeuvres filtered out, the current met by the log's own impeller."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Phase = Literal["before", "after"]
WIND_MAX_M_S = 7.9
GAP_S = 600.0
STEADY_SHARE = 0.03
RUN_MIN_S = 300.0
BY_HAND_S = 1800.0
DAY_S = 86400.0


@dataclass(frozen=True, kw_only=True)
class LogTable:
    """What was logged, one value a moment, shape (moment,), rising in time; NaN where nothing was logged.

    `time_s` since 1970 UTC, `water_m_s` speed through the water, `ground_m_s` over the ground, `rev_s` engine
    revolutions a second, `fuel_l_h`, `wind_m_s` true wind where known (or apparent, see `wind_is_apparent`),
    `wind_deg` its angle from the bow, 0 to 360. `notes`: what the reader had to say.
    """

    time_s: Floats
    water_m_s: Floats
    ground_m_s: Floats
    rev_s: Floats
    fuel_l_h: Floats
    wind_m_s: Floats
    wind_deg: Floats
    wind_is_apparent: bool = False
    notes: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        return int(self.time_s.size)


@dataclass(frozen=True, kw_only=True)
class Filters:
    """What a moment must meet. Source: in the spirit of ISO 19030-2:2016 (its numbers from memory: true wind up to
    7.9 m/s; scatter of speed and revolutions tested); durations are ours. Small boats are logged by hand: a run is five
    minutes and more, not the standard's ten-minute blocks of a ship's system."""

    wind_max_m_s: float = WIND_MAX_M_S
    gap_s: float = GAP_S
    steady_share: float = STEADY_SHARE
    run_min_s: float = RUN_MIN_S
    speed_min_m_s: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Run:
    """One steady run: means over it. `day` counts local days: runs of one day share wind, load and tide.

    `head_m_s`: wind from ahead (negative from astern), NaN where no wind was logged. `by_water`: `speed_m_s` is through
    the water, else over the ground; `ground_m_s` beside it, NaN where it was not logged.
    """

    phase: Phase
    day: int
    start_s: float
    lasted_s: float
    speed_m_s: float
    ground_m_s: float
    rev_s: float
    fuel_l_h: float
    head_m_s: float
    by_water: bool
    moments: int


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Runs kept, and how many moments each filter took out. `by_hand`: each line was taken as a run of its own."""

    runs: tuple[Run, ...]
    dropped: tuple[tuple[str, int], ...]
    moments: int
    by_hand: bool


def cut_runs(
    table: LogTable, *, hauled_s: float, launched_s: float, filters: Filters | None = None, utc_offset_s: float = 0.0
) -> Cut:
    """Steady runs before the haul-out and after the launch.

    Moments without speed, in more wind than the filter allows, hardly moving, or ashore are left out; what remains is
    cut at gaps and wherever the revolutions (without them: the speed) leave a band about the run's own mean. A log with
    half an hour and more between its lines was kept by hand: there each line is a run.
    """
    rules = filters or Filters()
    by_hand = table.count > 1 and float(np.median(np.diff(table.time_s))) >= BY_HAND_S
    if by_hand:
        rules = replace(rules, gap_s=0.0, run_min_s=0.0)
    speed, by_water = _speed(table)
    reasons = _reasons(table, speed, (hauled_s, launched_s), rules=rules)
    kept = np.ones(table.count, dtype=np.bool_)
    dropped = []
    for words, bad in reasons:
        dropped.append((words, int(np.count_nonzero(kept & bad))))
        kept &= ~bad
    where = np.flatnonzero(kept)
    runs, short = [], 0
    for part in _parts(table, where, speed, rules=rules):
        run = _run(table, part, speed, by_water=by_water, hauled_s=hauled_s, utc_offset_s=utc_offset_s)
        if run.lasted_s >= rules.run_min_s:
            runs.append(run)
        else:
            short += part.size
    dropped.append((f"steady for less than {rules.run_min_s / 60:.0f} min", short))
    return Cut(runs=tuple(runs), dropped=tuple(one for one in dropped if one[1]), moments=table.count, by_hand=by_hand)


def _speed(table: LogTable) -> tuple[Floats, bool]:
    """Through the water where the log has it at all; over the ground otherwise, with the current in it."""
    by_water = bool(np.isfinite(table.water_m_s).mean() >= 0.5) if table.count else True
    return (table.water_m_s if by_water else table.ground_m_s), by_water


def _reasons(
    table: LogTable, speed: Floats, ashore_s: tuple[float, float], *, rules: Filters
) -> list[tuple[str, NDArray[np.bool_]]]:
    moving = np.nan_to_num(speed, nan=-1.0)
    wind = _true_wind(table, speed)
    return [
        ("between haul-out and launch", (table.time_s >= ashore_s[0]) & (table.time_s <= ashore_s[1])),
        ("no speed logged", ~np.isfinite(speed)),
        (f"slower than {rules.speed_min_m_s:g} m/s", moving < rules.speed_min_m_s),
        ("neither fuel nor revolutions logged", ~(np.isfinite(table.fuel_l_h) | (table.rev_s > 0.0))),
        (f"true wind above {rules.wind_max_m_s:g} m/s", np.nan_to_num(wind, nan=0.0) > rules.wind_max_m_s),
    ]


def _true_wind(table: LogTable, speed: Floats) -> Floats:
    """True wind speed, m/s, with the apparent one's triangle solved where that is what was logged."""
    if not table.wind_is_apparent:
        return table.wind_m_s
    angle = np.deg2rad(table.wind_deg)
    return np.asarray(np.hypot(table.wind_m_s * np.cos(angle) - speed, table.wind_m_s * np.sin(angle)))


def _head_wind(table: LogTable, speed: Floats) -> Floats:
    """True wind from ahead, m/s."""
    ahead = table.wind_m_s * np.cos(np.deg2rad(table.wind_deg))
    return np.asarray(ahead - speed if table.wind_is_apparent else ahead)


def _parts(table: LogTable, where: NDArray[np.int64], speed: Floats, *, rules: Filters) -> list[NDArray[np.int64]]:
    """Indices of each steady stretch: a new one after a gap, at the haul-out, and where the setting changes."""
    if where.size == 0:
        return []
    steady = table.rev_s if np.isfinite(table.rev_s[where]).mean() >= 0.5 else speed
    share = rules.steady_share if steady is table.rev_s else 2.0 * rules.steady_share
    parts, begin, total = [], 0, float(steady[where[0]])
    for number in range(1, where.size):
        here, before = where[number], where[number - 1]
        mean = total / (number - begin)
        apart = table.time_s[here] - table.time_s[before] > rules.gap_s
        if apart or not abs(steady[here] - mean) <= share * abs(mean):
            parts.append(where[begin:number])
            begin, total = number, 0.0
        total += float(steady[here])
    return [*parts, where[begin:]]


def _run(
    table: LogTable, part: NDArray[np.int64], speed: Floats, *, by_water: bool, hauled_s: float, utc_offset_s: float
) -> Run:
    start = float(table.time_s[part[0]])
    return Run(
        phase="before" if start < hauled_s else "after",
        day=int((start + utc_offset_s) // DAY_S),
        start_s=start,
        lasted_s=float(table.time_s[part[-1]] - start),
        speed_m_s=_mean(speed[part]),
        ground_m_s=_mean(table.ground_m_s[part]),
        rev_s=_mean(table.rev_s[part]),
        fuel_l_h=_mean(table.fuel_l_h[part]),
        head_m_s=_mean(_head_wind(table, speed)[part]),
        by_water=by_water,
        moments=int(part.size),
    )


def _mean(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if known.size else float("nan")
