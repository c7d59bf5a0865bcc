"""The board table: all that a phone needs to know what may be done now, small enough to send and to keep.

It is made from the plan and its windows once, and read by the same rule in Python and in TypeScript.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class BoardSystem:
    """One coating on one zone. Lists by finishing mark (count + 1 entries) hold marks, `beyond` = past the weather;
    lists by slot (count entries) hold what is named. All times are the cautious edge of the plan.

    `rule` by slot: windows.Rule that closes it for applying. `margin_k`, `surface_c` by slot.
    `ready_middle`: as `ready`, without the caution: what a touch test is held against. `sheltered`: (first mark, end
    mark) of the tent in which rain does not reach the zone, empty without one. `pot_life_min`: (temperature degC,
    minutes) pairs, coldest first. `stir_every_min`: 0 where nothing settles.
    """

    product: str
    role: str
    coats: int
    coat_slots: int
    one_day: bool
    litres_per_coat: float
    ready: tuple[int, ...]
    overcoat_until: tuple[int, ...]
    rain_safe: tuple[int, ...]
    stands_safe: tuple[int, ...]
    immersion: tuple[int, ...]
    rule: tuple[int, ...]
    margin_k: tuple[float, ...]
    surface_c: tuple[float, ...]
    dew_margin_k: float
    pot_life_min: tuple[tuple[float, float], ...]
    usable_pot_life: float
    stir_every_min: float
    activation: bool
    activation_before_launch_h: float | None
    ready_middle: tuple[int, ...] = ()
    sheltered: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class BoardZone:
    """One zone; its systems in the order in which they go on. `waits_for_stands`: the set of stands that hides it.

    `steps`: the preparation it gets, in order, out of strip, abrade, mask, wipe. `dry_h`: hours the laminate is to
    dry after stripping.
    """

    name: str
    kind: str
    side: str
    area_m2: float
    waits_for_stands: int | None
    systems: tuple[BoardSystem, ...]
    steps: tuple[str, ...] = ("abrade", "mask", "wipe")
    dry_h: float = 0.0


@dataclass(frozen=True, kw_only=True)
class BoardTask:
    """One task of the plan, for "what comes next" (epoch seconds UTC)."""

    key: str
    kind: str
    label: str
    zone: str | None
    coat: int | None
    start_s: int
    end_s: int


@dataclass(frozen=True, kw_only=True)
class BoardStock:
    """Litres of a product that were bought (whole kits); `parts`: names of the parts of its mix, A first."""

    product: str
    litres: float
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class BoardTable:
    """The whole board. `start_s`: epoch seconds of mark 0; `rain_mm` by slot; `made_s`: when it was made;
    `weather_age_h`: age of the weather then, None for a file of observations. `zone_name`: the yard's time zone.

    `rules`: windows.RULE_TEXT by number. `midnights`: the marks at which a new day begins in the yard's time.
    `wipe_holds_h`: a wiped surface is coated within so many hours or wiped again. `cost_minor`: what the plan costs, in
    minor units of `currency`; None without a plan.
    """

    job: str
    boat: str
    made_s: int
    start_s: int
    slot_s: int
    count: int
    zone_name: str
    weather: str
    weather_age_h: float | None
    rain_mm: tuple[float, ...]
    zones: tuple[BoardZone, ...]
    tasks: tuple[BoardTask, ...]
    stock: tuple[BoardStock, ...]
    rules: tuple[str, ...]
    midnights: tuple[int, ...] = ()
    wipe_holds_h: float = 6.0
    cost_minor: int | None = None
    currency: str = ""

    @property
    def beyond(self) -> int:
        return self.count + 1
