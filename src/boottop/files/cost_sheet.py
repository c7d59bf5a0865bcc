"""The cost document `cost.toml`: what its owner typed, read into ranges; unknown keys refused with advice."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np

from boottop.base.clock import zone_info
from boottop.base.quantities import shown
from boottop.files.cost_log import LogSheet
from boottop.files.cost_log_csv import COLUMNS
from boottop.files.cost_words import (
    Triple,
    burn,
    condition,
    days,
    fuel_price,
    hours,
    money_reader,
    number,
    share,
    triple,
    triple_of,
    whole_years,
    years,
)
from boottop.files.jobsheet_table import REQUIRED, Sheet, Span, Table, in_span, nearest
from boottop.files.jobsheet_text import TomlFile, parse_toml, read_toml
from boottop.files.product import check_format
from boottop.money.case import HORIZON_MAX, WHENS, Correlation, When
from boottop.money.fouling import CONDITIONS_UM, Growth
from boottop.money.friction import LINES, Line
from boottop.money.fuel import DRIVE_SPAN, FUEL_NAMES, PROPULSION_FACTOR, FuelName

COST_FILE = "cost.toml"
NONE: Triple = (0.0, 0.0, 0.0)
CURVE_SHARE = 0.2
PRICES = ("lift", "day_ashore", "wash", "wage", "dive")
DiscountKind = Literal["real", "nominal"]
_RATE = Span(low=-0.05, high=0.5)
_COUNT = Span(low=0.0, high=60.0)
_SPEED = Span(low=0.5, high=35.0)


@dataclass(frozen=True, kw_only=True)
class FuelSheet:
    """[fuel]: what she burns and what it costs. `price` minor units a litre; `pace` how fast she fouls, 1 as typed."""

    kind: FuelName
    price: Triple
    growth: Triple
    engine_hours: Triple
    cruise_m_s: float
    burn_l_h: float
    curve: tuple[tuple[float, float], ...]
    taken_with_um: float
    planing: bool
    propulsion_factor: float
    drive: Triple
    pace: Triple
    afloat_h_year: float
    line: Line


@dataclass(frozen=True, kw_only=True)
class ExtraCost:
    """A line of the owner's own."""

    what: str
    when: When
    cost: Triple


@dataclass(frozen=True, kw_only=True)
class Way:
    """[[alternatives]]: one way to keep the bottom. None stands for "plan" or "order"; `life` NONE for "never"."""

    name: str
    life: Triple
    hauled_every: int
    choice: bool
    days_renewing: Triple | None
    days_washing: Triple
    materials: Triple | None
    consumables: Triple
    work_hours: Triple | None
    first_time: Triple
    visit_materials: Triple
    visit_hours: Triple
    dives: Triple
    rises: Triple
    fouling: Growth
    resale: Triple
    extras: tuple[ExtraCost, ...]


@dataclass(frozen=True, kw_only=True)
class CostSheet:
    """The document as read, money in minor units, times in years, days and hours as each name says."""

    source: Path
    checked: bool
    horizon_years: int
    discount: Triple
    discount_is: DiscountKind
    inflation_fraction: float
    hauled_anyway: int
    count_unused: bool
    compare_with: str
    prices: dict[str, Triple]
    fuel: FuelSheet | None
    ways: tuple[Way, ...]
    correlations: tuple[Correlation, ...]
    log: LogSheet


def load_cost(path: Path, *, currency: str) -> CostSheet:
    """The cost document in a file; InputError that carries every problem, each with line and key."""
    return read_cost(read_toml(path, label=path.name), currency=currency)


def parse_cost(text: str, *, currency: str, label: str = COST_FILE) -> CostSheet:
    """The same from a text at hand."""
    return read_cost(parse_toml(text, path=Path(label), label=label), currency=currency)


def read_cost(file: TomlFile, *, currency: str) -> CostSheet:
    """The same from TOML already read."""
    sheet = Sheet(file=file)
    found = _read(sheet.root(), currency)
    sheet.raise_if_bad()
    return found


def _read(root: Table, currency: str) -> CostSheet:
    check_format(root)
    prices = root.table("prices")
    money = money_reader(currency)
    found = CostSheet(
        source=root.sheet.file.path,
        checked=root.flag("checked", default=False),
        horizon_years=round(_years(root, "horizon")),
        discount=triple(root, "discount", share(_RATE)),
        discount_is=root.choice("discount_is", get_args(DiscountKind)),
        inflation_fraction=root.read("inflation", share(_RATE), REQUIRED, fallback=0.0),
        hauled_anyway=root.read("hauled_anyway", whole_years, REQUIRED, fallback=0),
        count_unused=root.flag("count_unused_life", default=True),
        compare_with=root.text("compare_with"),
        prices={f"prices.{key}": triple(prices, key, money) for key in PRICES},
        fuel=_fuel(root, currency),
        ways=tuple(_way(table, currency) for table in root.tables("alternatives")),
        correlations=tuple(_correlation(table) for table in root.tables("correlations")),
        log=_log(root),
    )
    prices.close()
    _check_names(root, found)
    root.close()
    return found


def _years(table: Table, key: str) -> float:
    span = Span(low=1.0, high=float(HORIZON_MAX))

    def read(value: Any, where: str) -> float:
        return number(span)(years(value, where), where)

    found: float = table.read(key, read, REQUIRED, fallback=10.0)
    return found


def _fuel(root: Table, currency: str) -> FuelSheet | None:
    table = root.table_or_none("fuel")
    if table is None:
        return None
    found = FuelSheet(
        kind=table.choice("kind", FUEL_NAMES),
        price=triple(table, "price", lambda value, where: fuel_price(value, where, currency)),
        growth=triple(table, "price_growth", share(_RATE), default=NONE),
        engine_hours=triple(table, "engine_hours_a_year", hours),
        cruise_m_s=table.quantity("cruise", "speed", _SPEED),
        burn_l_h=table.read("burn", burn, REQUIRED, fallback=1.0),
        curve=tuple(table.each("curve", table.data.get("curve", []) if table.has("curve") else [], _point)),
        taken_with_um=table.read("taken_with", condition, CONDITIONS_UM["as applied"], fallback=0.0),
        planing=table.flag("planing", default=False),
        propulsion_factor=table.quantity(
            "propulsive_efficiency", "fraction", Span(low=0.2, high=0.8), default=PROPULSION_FACTOR
        ),
        drive=triple(table, "drive", number(Span(low=0.3, high=3.0)), default=DRIVE_SPAN),
        pace=triple(table, "fouling_pace", number(Span(low=0.05, high=20.0)), default=(0.5, 1.0, 2.0)),
        afloat_h_year=table.read("afloat_a_year", hours, 8766.0, fallback=8766.0),
        line=table.choice("friction_line", LINES, default="karman-schoenherr"),
    )
    speeds = [speed for speed, _ in found.curve]
    if speeds != sorted(set(speeds)) or len(speeds) == 1:
        table.note(
            "curve",
            found="speeds that do not rise, or a single one",
            allowed="two points and more, the slowest first",
            advice='Write curve = [["5 kn", "4 L/h"], ["7 kn", "11 L/h"]].',
        )
    _check_burn(table, found)
    table.close()
    return found


def _check_burn(table: Table, found: FuelSheet) -> None:
    """Burn at cruise and curve tell the same story."""
    if not found.curve or not table.ok("curve", "burn", "cruise"):
        return
    speeds, litres = zip(*found.curve, strict=True)
    if not speeds[0] <= found.cruise_m_s <= speeds[-1]:
        allowed = "a speed within the curve"
        table.note("cruise", found=shown(table.data["cruise"]), allowed=allowed, advice="Lengthen the curve.")
        return
    there = float(np.interp(found.cruise_m_s, speeds, litres))
    if abs(found.burn_l_h / there - 1.0) > CURVE_SHARE:
        allowed = f"what the curve has at that speed, {there:.3g} L/h, within {CURVE_SHARE:.0%}"
        table.note("burn", found=shown(table.data["burn"]), allowed=allowed, advice="Correct one of the two.")


def _point(value: Any, where: str) -> tuple[float, float]:
    speed, litres = value if isinstance(value, list) and len(value) == 2 else (value, value)
    return in_span(speed, "speed", _SPEED, where=where), burn(litres, where)


def _way(table: Table, currency: str) -> Way:
    money = money_reader(currency)
    found = Way(
        name=table.text("name"),
        life=_or_word(table, "renewed_every", years, word="never", default=REQUIRED) or NONE,
        hauled_every=table.read("hauled_every", whole_years, 0, fallback=0),
        choice=table.flag("choice", default=True),
        days_renewing=_or_word(table, "days_renewing", days, word="plan", default=NONE),
        days_washing=triple(table, "days_washing", days, default=NONE),
        materials=_or_word(table, "materials", money, word="order", default=NONE),
        consumables=triple(table, "consumables", money, default=NONE),
        work_hours=_or_word(table, "work", hours, word="plan", default=NONE),
        first_time=triple(table, "first_time", money, default=NONE),
        visit_materials=triple(table, "visit_materials", money, default=NONE),
        visit_hours=triple(table, "visit_work", hours, default=NONE),
        dives=triple(table, "dives_a_year", number(_COUNT), default=NONE),
        rises=triple(table, "upkeep_rises", money, default=NONE),
        fouling=Growth(
            clean_um=table.read("clean", condition, CONDITIONS_UM["as applied"], fallback=0.0),
            foul_um=table.read("fouls_to", condition, CONDITIONS_UM["heavy slime"], fallback=0.0),
            after_h=table.quantity("fouls_in", "duration", Span(low=24.0, high=87_660.0), default=2000.0),
            worst_um=table.read("at_worst", condition, CONDITIONS_UM["medium calcareous"], fallback=0.0),
        ),
        resale=triple(table, "resale", money, default=NONE),
        extras=tuple(_extra(part, currency) for part in table.tables("extra")),
    )
    table.close()
    return found


def _or_word(table: Table, key: str, reader: Any, *, word: str, default: Any) -> Triple | None:
    """A range, or None for the one word that sends to what boottop has reckoned itself."""

    def read(value: Any, where: str) -> Triple | None:
        return None if value == word else triple_of(value, where, reader)

    found: Triple | None = table.read(key, read, default, fallback=(1.0, 1.0, 1.0))
    return found


def _extra(table: Table, currency: str) -> ExtraCost:
    found = ExtraCost(
        what=table.text("what"),
        when=table.choice("when", WHENS),
        cost=triple(table, "cost", money_reader(currency)),
    )
    table.close()
    return found


def _correlation(table: Table) -> Correlation:
    found = Correlation(
        between=table.names("between"),
        of_factor=table.read("of", share(Span(low=-0.95, high=0.95)), REQUIRED, fallback=0.0),
    )
    if table.ok("between") and len(found.between) < 2:
        allowed = "two inputs and more that go together"
        table.note("between", found=f"{len(found.between)} of them", allowed=allowed, advice="List them by their keys.")
    table.close()
    return found


def _log(root: Table) -> LogSheet:
    """[log] and [log.columns]: header in the file and unit of each quantity, as `["STW", "kn"]`."""
    table = root.table_or_none("log")
    if table is None:
        return LogSheet()
    columns = table.table_or_none("columns")
    found: dict[str, tuple[str, str]] = {}
    for name in ("time", *COLUMNS):
        if columns is not None and columns.has(name):
            head, *unit = columns.names(name) or ("",)
            units = COLUMNS[name].units if name != "time" else {"": ""}
            if not head or "".join(unit) not in units or len(unit) > 1:
                allowed = '["header in the file", "unit"], unit one of ' + ", ".join(units)
                columns.note(name, found=shown(columns.data[name]), allowed=allowed, advice="Copy the header exactly.")
            found[name] = (head, "".join(unit))
    if columns is not None:
        columns.close()
    zone_name = table.text("time_zone", default="")
    if zone_name:
        table.read("time_zone", lambda value, where: zone_info(value, where=where), REQUIRED, fallback=None)
    apparent = table.choice("wind", ("true", "apparent"), default="true") == "apparent"
    table.close()
    return LogSheet(zone_name=zone_name, wind_is_apparent=apparent, columns=found)


def _check_names(root: Table, found: CostSheet) -> None:
    """Names that point at something point at what is there."""
    names = [one.name for one in found.ways]
    if len(names) < 2:
        allowed = "two or more [[alternatives]] to compare"
        root.note("alternatives", found=f"{len(names)} of them", allowed=allowed, advice="Add one.")
    for name in sorted({name for name in names if names.count(name) > 1}):
        root.note("alternatives", found=f"{name!r} twice", allowed="a name of its own each", advice="Rename one.")
    if root.ok("compare_with", "alternatives") and found.compare_with not in names:
        hint = nearest(found.compare_with, names) or "Copy the name of one of the alternatives."
        root.note("compare_with", found=repr(found.compare_with), allowed=", ".join(map(repr, names)), advice=hint)
