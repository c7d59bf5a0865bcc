"""Two small invented board tables for the conformance cases: three days of fair weather, three of mixed."""

from __future__ import annotations

from datetime import UTC, datetime

from boottop.job.board import BoardStock, BoardSystem, BoardTable, BoardTask, BoardZone
from boottop.windows.windows import RULE_TEXT, Rule

START = datetime(2026, 6, 1, 22, 0, tzinfo=UTC)
"""Midnight in the yard's time (UTC + 2)."""
SLOT_S, DAYS, A_DAY = 900, 3, 96
COUNT = DAYS * A_DAY


def tables() -> tuple[BoardTable, ...]:
    """Fair weather with one tent, and weather that closes often."""
    return _table(fair=True), _table(fair=False)


def _table(*, fair: bool) -> BoardTable:
    rain = {} if fair else {slot: 0.4 for first in (20, 130, 214) for slot in range(first, first + 9)}
    rain_mm = tuple(rain.get(slot, 0.0) for slot in range(COUNT))
    start_s = int(START.timestamp())
    return BoardTable(
        job="invented job",
        boat="Nobody",
        made_s=start_s - 3600,
        start_s=start_s,
        slot_s=SLOT_S,
        count=COUNT,
        zone_name="Europe/Berlin",
        weather="invented",
        weather_age_h=1.5,
        rain_mm=rain_mm,
        zones=_zones(rain_mm, fair=fair),
        tasks=_tasks(start_s),
        stock=(
            BoardStock(product="hull copper", litres=14.0, parts=("resin", "hardener", "copper")),
            BoardStock(product="undercoat", litres=1.0),
        ),
        rules=tuple(RULE_TEXT[rule] for rule in Rule),
        midnights=tuple(range(A_DAY, COUNT + 1, A_DAY)),
        wipe_holds_h=6.0,
        cost_minor=319_500 if fair else None,
        currency="USD",
    )


def _zones(rain_mm: tuple[float, ...], *, fair: bool) -> tuple[BoardZone, ...]:
    def zone(
        name: str, kind: str, *, side: str, area_m2: float, products: tuple[str, ...], stands: int | None = None
    ) -> BoardZone:
        systems = tuple(_system(product, rain_mm, area_m2=area_m2, fair=fair) for product in products)
        steps = ("strip", "abrade", "mask", "wipe") if kind == "side" else ("abrade", "wipe")
        return BoardZone(
            name=name, kind=kind, side=side, area_m2=area_m2, waits_for_stands=stands, systems=systems, steps=steps,
            dry_h=2.0 if kind == "side" else 0.0,
        )  # fmt: skip

    return (
        zone("port side", "side", side="port", area_m2=12.0, products=("hull copper",)),
        zone("running gear", "gear", side="centre", area_m2=1.5, products=("undercoat", "hull copper")),
        zone("pads 1", "pads", side="centre", area_m2=0.6, products=("hull copper",), stands=1),
    )


def _tasks(start_s: int) -> tuple[BoardTask, ...]:
    """A plan of a few lines, by hours from midnight of the first day."""
    lines = (
        ("haul_out", "haul_out", None, None, 8.0, 9.0),
        ("abrade/port side", "abrade", "port side", None, 9.0, 9.75),
        ("mask/port", "mask", "port side", None, 10.0, 10.5),
        ("wipe/port side", "wipe", "port side", None, 10.5, 10.75),
        ("coat/port side/1", "coat", "port side", 1, 11.0, 11.75),
        ("coat/port side/2", "coat", "port side", 2, 13.0, 13.75),
        ("primer_coat/running gear/1", "primer_coat", "running gear", 1, 9.5, 9.75),
        ("abrade/running gear", "abrade", "running gear", None, 9.0, 9.25),
        ("wipe/running gear/primer", "wipe", "running gear", None, 9.25, 9.5),
        ("abrade/running gear/primer", "abrade", "running gear", None, 32.0, 32.5),
        ("wipe/running gear", "wipe", "running gear", None, 33.75, 34.0),
        ("coat/running gear/1", "coat", "running gear", 1, 34.0, 34.25),
        ("extra/anodes", "extra", None, None, 40.0, 41.0),
        ("extra/service seacocks", "extra", None, None, 41.0, 43.0),
        ("activate/port side", "activate", "port side", None, 62.0, 63.0),
        ("launch", "launch", None, None, 66.0, 67.0),
    )
    return tuple(
        BoardTask(
            key=key,
            kind=kind,
            label=key,
            zone=zone,
            coat=coat,
            start_s=start_s + int(first_h * 3600),
            end_s=start_s + int(last_h * 3600),
        )
        for key, kind, zone, coat, first_h, last_h in lines
    )


def _system(product: str, rain_mm: tuple[float, ...], *, area_m2: float, fair: bool) -> BoardSystem:
    copper = product == "hull copper"
    hour = [slot % A_DAY / 4 for slot in range(COUNT)]
    surface_c = tuple(round(12.0 + 10.0 * max(0.0, 1.0 - abs(at_h - 14.0) / 8.0), 1) for at_h in hour)
    margin_k = tuple(round(one - (9.0 if fair else 11.0), 1) for one in surface_c)
    slow = 1.0 if copper else 2.0
    return BoardSystem(
        product=product,
        role="antifouling" if copper else "primer",
        coats=3 if copper else 1,
        coat_slots=3 if area_m2 > 5.0 else 1,
        one_day=copper,
        litres_per_coat=round(area_m2 / 9.0, 3),
        ready=_marks(1.25 * slow, surface_c),
        ready_middle=_marks(1.0 * slow, surface_c),
        overcoat_until=_marks(5.0 * slow, surface_c, down=True),
        rain_safe=_marks(2.0 * slow, surface_c),
        stands_safe=_marks(20.0, surface_c),
        immersion=_marks(26.0 * slow, surface_c),
        rule=tuple(_rule(slot, rain_mm, margin_k=margin_k) for slot in range(COUNT)),
        margin_k=margin_k,
        surface_c=surface_c,
        dew_margin_k=3.0,
        pot_life_min=((10.0, 90.0), (20.0, 55.0), (30.0, 30.0)),
        usable_pot_life=0.75,
        stir_every_min=10.0 if copper else 0.0,
        activation=copper and (fair or area_m2 > 1.0),
        activation_before_launch_h=48.0 if copper else None,
        sheltered=(100, 170) if fair else (),
    )


def _rule(slot: int, rain_mm: tuple[float, ...], *, margin_k: tuple[float, ...]) -> int:
    if rain_mm[slot] > 0.0:
        return int(Rule.RAIN)
    if any(mm > 0.0 for mm in rain_mm[max(0, slot - 4) : slot]):
        return int(Rule.WET_SURFACE)
    if margin_k[slot] < 3.0:
        return int(Rule.DEW_MARGIN)
    return int(Rule.DARK) if slot % A_DAY < 20 or slot % A_DAY >= 88 else 0


def _marks(hours: float, surface_c: tuple[float, ...], *, down: bool = False) -> tuple[int, ...]:
    """Marks at which a clock that runs faster on a warm surface has gone round, by finishing mark."""
    rates = [1.0 + (one - 17.0) / 20.0 for one in surface_c]
    found = []
    for mark in range(COUNT + 1):
        left, at = hours * 4.0, mark
        while left > 0.0 and at < COUNT:
            left -= rates[at]
            at += 1
        found.append(COUNT + 1 if left > 0.0 else at - (1 if down and left < 0.0 else 0))
    return tuple(found)
