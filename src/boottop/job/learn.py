"""What touch tests teach of the film, and infrared readings of the surface. Both with a stated gain."""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

from boottop.job.board import BoardSystem, BoardTable
from boottop.job.learned import FilmClock, Learned, SurfaceBias, bias_at
from boottop.job.slots import slot_at, time_after
from boottop.job.state import Coat, State

FACTOR_BOUNDS = (0.5, 2.0)
SURFACE_GAIN = 0.8
"""Share of a new difference that is taken over: a reading is good to about 1 K, the worked-out surface to about 2 K,
so 4 / (4 + 1) (both from memory)."""
BIAS_MAX_K = 10.0


class _Seen(NamedTuple):
    finished_s: int
    zone: str
    least_share: float
    most_share: float | None


def learn(state: State, table: BoardTable) -> Learned:
    """All that the log teaches so far."""
    return Learned(clocks=_clocks(state, table), surfaces=_surfaces(state, table))


def _clocks(state: State, table: BoardTable) -> tuple[FilmClock, ...]:
    """Clock of every product that was touched, in the order in which the table names them.

    A touch test says only "not yet" or "already": a wet one sets the least, a tacky one the most that the film took
    against the time worked out without caution. Where the factor believed so far lies outside, half of the way is
    gone there in the logarithm, factor = sqrt(factor * nearest bound); where both bounds are known, towards their
    geometric mean. Coats in order of their finish, factors from 0.5 to 2. The gain of a half: one thumb is one thumb
    (common practice, no source).
    """
    touched: dict[str, list[_Seen]] = {}
    for zone in table.zones:
        done = state.zone(zone.name)
        for system in zone.systems:
            touched.setdefault(system.product, [])
            for coat in done.coats if done else ():
                if coat.product == system.product and (bounds := _bounds(table, system, coat)) is not None:
                    touched[system.product].append(_Seen(coat.finished_s or 0, zone.name, *bounds))
    found = []
    for product, coats in touched.items():
        factor = 1.0
        for seen in sorted(coats, key=lambda seen: (seen.finished_s, seen.zone)):
            factor = _updated(factor, seen.least_share, seen.most_share)
        if coats:
            found.append(FilmClock(product=product, factor=factor, tests=len(coats), text=_film_text(factor)))
    return tuple(found)


def _bounds(table: BoardTable, system: BoardSystem, coat: Coat) -> tuple[float, float | None] | None:
    """Least and most (None: open) that the film took until tacky, as shares of the time worked out; None without a
    touch test after the finish or without that time."""
    if coat.finished_s is None:
        return None
    worked_out_s = time_after(table, system.ready_middle or system.ready, coat.finished_s, factor=1.0)
    lags_s = [(touch.at_s - coat.finished_s, touch.verdict) for touch in coat.touch if touch.at_s >= coat.finished_s]
    if worked_out_s is None or worked_out_s <= coat.finished_s or not lags_s:
        return None
    tacky_s = min((lag_s for lag_s, verdict in lags_s if verdict != "wet"), default=None)
    wet_s = max((lag_s for lag_s, verdict in lags_s if verdict == "wet" and (tacky_s is None or lag_s < tacky_s)),
                default=0)  # fmt: skip
    span_s = worked_out_s - coat.finished_s
    return wet_s / span_s, None if tacky_s is None else tacky_s / span_s


def _updated(factor: float, least: float, most: float | None) -> float:
    if most is not None and factor > most:
        nearest = sqrt(least * most) if least > 0.0 else most
    elif factor < least:
        nearest = least if most is None else sqrt(least * most)
    else:
        return factor
    return min(max(sqrt(factor * nearest), FACTOR_BOUNDS[0]), FACTOR_BOUNDS[1])


def _film_text(factor: float) -> str:
    percent = int(abs(factor - 1.0) * 100.0 + 0.5)
    if percent == 0:
        return "your film keeps the sheet's time today"
    return f"your film is {percent} % {'slower' if factor > 1.0 else 'faster'} than the sheet today"


def _surfaces(state: State, table: BoardTable) -> tuple[SurfaceBias, ...]:
    """Bias of every zone whose surface was read, in the order of the table.

    Reading by reading: what is left of the bias by then plus SURFACE_GAIN of what the reading still differs by.
    """
    found = []
    for zone in table.zones:
        bias_k, at_s, count = 0.0, 0, 0
        for reading in state.readings:
            slot = slot_at(table, reading.at_s)
            if reading.zone != zone.name or reading.surface_c is None or slot is None:
                continue
            left_k = bias_at(bias_k, reading.at_s - at_s) if count else 0.0
            bias_k = left_k + SURFACE_GAIN * (reading.surface_c - zone.systems[0].surface_c[slot] - left_k)
            bias_k = min(max(bias_k, -BIAS_MAX_K), BIAS_MAX_K)
            at_s, count = reading.at_s, count + 1
        if count:
            text = _surface_text(zone.name, bias_k)
            found.append(SurfaceBias(zone=zone.name, bias_k=bias_k, at_s=at_s, readings=count, text=text))
    return tuple(found)


def _surface_text(zone: str, bias_k: float) -> str:
    tenths = int(abs(bias_k) * 10.0 + 0.5)
    if tenths == 0:
        return f"{zone} is as warm as worked out"
    side = "warmer" if bias_k > 0.0 else "colder"
    return f"{zone} is {tenths // 10}.{tenths % 10} K {side} than worked out"
