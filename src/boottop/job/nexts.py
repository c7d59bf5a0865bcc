"""What the board says: per zone the one next step, per batch its clock, per product its litres."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class WhyNot:
    """Why a step must wait. `rule`: a name of windows.Rule in small letters, or a key of WHY_TEXT. `needed` and `had`
    in `unit`, None where the rule has no number or the table does not hold it."""

    rule: str
    text: str
    needed: float | None
    had: float | None
    unit: str


@dataclass(frozen=True, kw_only=True)
class Countdown:
    """A moment that is counted down to, or up from. `name`: a key of COUNTDOWN_TEXT."""

    name: str
    at_s: int


@dataclass(frozen=True, kw_only=True)
class NextStep:
    """The one next step of a zone. `kind`: a key of STEP_TEXT; `product` and `coat` where it is about one.

    `may_from_s`: the first moment from now on at which it may start, `may_now` when that is now; None where the
    weather that is known holds no such moment. `until_s`: the last moment to start before it closes. `because`: a key
    of BECAUSE_TEXT where the step is there for a reason that must be said. `touch_first`: ask for the touch test
    before; `touch`: the last verdict on the coat under. `planned_s`: when the plan has it. `margin_k`: surface above
    dew point now, `margin_from` "reading" or "weather"; `margin_fails_s`: the first later slot in which it is less
    than the sheet wants. `rained_on`: the log has rain on a film that was not rain-safe, and its spots are not sanded
    yet.
    """

    zone: str
    kind: str
    product: str | None
    coat: int | None
    may_now: bool
    may_from_s: int | None
    until_s: int | None
    why_not: WhyNot | None
    because: str | None
    touch_first: bool
    touch: str | None
    planned_s: int | None
    countdowns: tuple[Countdown, ...]
    margin_k: float | None
    margin_from: str
    margin_fails_s: int | None
    rained_on: bool


@dataclass(frozen=True, kw_only=True)
class BatchClock:
    """An open batch: to be used up by `use_by_s`, gone at `gone_s`; `stir_s`: when to stir next, None where nothing
    settles. `batch_c`: the temperature it was reckoned with, `measured` or assumed."""

    batch: str
    product: str
    litres: float
    mixed_s: int
    use_by_s: int
    gone_s: int
    stir_s: int | None
    batch_c: float
    measured: bool


@dataclass(frozen=True, kw_only=True)
class Litres:
    """Litres of a product: bought, mixed, in open pots, left in the tins, still needed. `used_ratio`: litres used a
    coat against litres planned, from the coats that say so; `needed_l` counts with it. `enough`: tins and pots hold
    what is needed."""

    product: str
    bought_l: float
    mixed_l: float
    in_pots_l: float
    left_l: float
    needed_l: float
    used_ratio: float
    enough: bool


@dataclass(frozen=True, kw_only=True)
class Board:
    """All that the board shows at `now_s`. `rain_at_s`: when the table next has rain, `now_s` when it has it now;
    `launch_from_s`: when every zone is cured for the water, None while one is not coated or it is not known.
    `table_ends_s`: where the known weather ends."""

    now_s: int
    steps: tuple[NextStep, ...]
    batches: tuple[BatchClock, ...]
    litres: tuple[Litres, ...]
    raining: bool
    rain_at_s: int | None
    launch_from_s: int | None
    table_ends_s: int


STEP_TEXT: Mapping[str, str] = {
    "haul_out": "Haul out",
    "wash": "Pressure wash",
    "move_stands": "The yard moves the stands",
    "strip": "Strip the old antifouling",
    "abrade": "Abrade",
    "mask": "Mask",
    "wipe": "Dust off and wipe",
    "coat": "Roll the coat",
    "finish": "Finish the coat",
    "sand": "Let it cure, then sand it",
    "activate": "Sand to bare copper",
    "launch": "Launch",
    "done": "Afloat",
}

BECAUSE_TEXT: Mapping[str, str] = {
    "past_tacky": "the last coat was past tacky by touch: it must cure and be sanded",
    "overcoat_missed": "the time for the next coat has passed: the last must cure and be sanded",
    "rained_on": "rain fell on the last coat before it was rain-safe: it must cure, and its spots be sanded",
    "spots_with_it": "the spots that rain left on the last coat are sanded out with it",
    "next_product": "the last coat of this product is let cure and sanded before the next product",
    "wiped_too_long": "it was wiped too long ago",
}

WHY_TEXT: Mapping[str, str] = {
    "not_tacky": "the coat under it is not tacky yet by the clock",
    "wet_by_touch": "the coat under it was wet by touch; touch it again",
    "one_day": "the coats would not all fit into this day",
    "closes_before": "the weather opens only after the last moment for this coat",
    "no_wipe": "if wiped now, the coats could not all follow in time",
    "laminate_dry": "the laminate is still to dry",
    "stands": "the film does not bear a stand yet",
    "too_soft_to_sand": "the film is too soft to sand",
    "too_early_bare": "bare copper would wait too long for the launch",
    "not_cured": "the film is not cured for the water yet",
    "not_all_coated": "other zones are not ready for the water",
    "planned_later": "the plan has it later",
}

COUNTDOWN_TEXT: Mapping[str, str] = {
    "overcoat_from": "next coat from",
    "overcoat_until": "next coat until",
    "rain_safe": "rain-safe at",
    "stands_from": "stands may move from",
    "activate_from": "bare copper not before",
    "launch_from": "launch not before",
}
