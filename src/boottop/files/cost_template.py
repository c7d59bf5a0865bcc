"""The cost document that boottop writes when there is none: filled in from the job sheet, guesses marked."""

from __future__ import annotations

from dataclasses import dataclass

from boottop.base.money import minor_digits, plain_money
from boottop.base.quantities import format_quantity
from boottop.money.fuel import FUELS, Drive, friction_share

SCALE_MAJOR = 450
FRICTION_SHARE = 0.3
CRUISE_FROUDE = 0.32


@dataclass(frozen=True, kw_only=True)
class Known:
    """What the job sheet knows: minor units; `system` names the coating, `hard` whether it is one for ten years."""

    currency: str
    lift_minor: int
    day_minor: int
    wage_minor: int
    system: str
    hard: bool
    has_plan_prices: bool
    length_m: float
    wetted_m2: float


def cost_text(known: Known) -> str:
    """The document as text, every quantity with its unit, remarks where a guess stands."""
    return "\n".join([*_head(known), *_prices(known), *_fuel(known), *_soft(known), *_hard(known), *_end(known), ""])


def _money(known: Known, *majors: float) -> str:
    """Amounts to two figures, as a list of three or one alone."""
    texts = [f'"{_amount(known, one)}"' for one in majors]
    return texts[0] if len(texts) == 1 else f"[{', '.join(texts)}]"


def _amount(known: Known, major: float) -> str:
    digits = minor_digits(known.currency)
    rounded = float(f"{major:.2g}")
    return plain_money(round(rounded * 10**digits), known.currency)


def _scale(known: Known) -> float:
    """A lift out and in, in major units: what guesses are scaled by, so that they fit any currency."""
    lift = known.lift_minor / 10 ** minor_digits(known.currency)
    return lift or float(SCALE_MAJOR)


def _around(known: Known, minor: int) -> str:
    major = minor / 10 ** minor_digits(known.currency)
    return _money(known, 0.9 * major, major, 1.25 * major) if minor else f'"{plain_money(0, known.currency)}"'


def _head(known: Known) -> list[str]:
    return [
        "# Does it pay: what is compared and what it costs. Made by boottop; every key is explained in docs/cost.md.",
        "# A value may be one, or [low, likely, high]: the lowest, likeliest and highest that you would believe.",
        "# Lines marked GUESS are nobody's prices: put your yard's in, then set checked = true.",
        "format = 1",
        "checked = false",
        'horizon = "10 years"',
        'discount = ["1 %", "2 %", "4 %"]',
        'discount_is = "real"               # above inflation; or "nominal"',
        'inflation = "2.5 %"',
        'hauled_anyway = "2 years"          # haul-outs that happen whatever is on the bottom; or "never"',
        "count_unused_life = true",
        f'compare_with = "{SOFT}"',
    ]


def _prices(known: Known) -> list[str]:
    scale = _scale(known)
    return [
        "",
        "[prices]",
        f"lift = {_around(known, known.lift_minor)}   # out and in again, from the job sheet",
        f"day_ashore = {_around(known, known.day_minor)}   # from the job sheet",
        f"wash = {_money(known, 0.15 * scale, 0.2 * scale, 0.3 * scale)}   # GUESS",
        f'wage = "{plain_money(known.wage_minor, known.currency)}"   # an hour of your own work, from the job sheet',
        f"dive = {_money(known, 0.15 * scale, 0.22 * scale, 0.35 * scale)}   # GUESS: one visit of a diver",
    ]


def _fuel(known: Known) -> list[str]:
    cruise = CRUISE_FROUDE * (9.81 * known.length_m) ** 0.5
    drive = Drive(
        length_m=known.length_m, wetted_m2=known.wetted_m2, cruise_m_s=cruise, burn_l_h=1.0, fuel=FUELS["diesel"]
    )
    litres = max(friction_share(drive) / FRICTION_SHARE, 0.1)
    price = 3.2e-3 * _scale(known)
    unit = f"{known.currency}/L"
    return [
        "",
        "[fuel]                             # take the section out to leave fuel out",
        'kind = "diesel"                    # or "petrol"',
        f'price = ["{0.8 * price:.3g} {unit}", "{price:.3g} {unit}", "{1.5 * price:.3g} {unit}"]   # GUESS',
        'price_growth = ["-1 %", "0 %", "2 %"]   # a year, above inflation; GUESS',
        'engine_hours_a_year = ["40 h", "80 h", "150 h"]   # GUESS',
        f'cruise = "{format_quantity(cruise, "speed", "us", digits=2)}"   # GUESS from her waterline',
        f'burn = "{litres:.2g} L/h"   # GUESS: what she burns at that speed',
        '# curve = [["5 kn", "1.8 L/h"], ["6 kn", "3.1 L/h"]]   # better, where you have it',
        'taken_with = "as applied"          # the state of the bottom when that was measured',
        "planing = false",
        "fouling_pace = [0.5, 1, 2]         # how sure you are of fouls_in below",
    ]


SOFT = "soft paint every two years"
LEAVE = "leave it as it is"


def hard_name(known: Known) -> str:
    """Name of the way that the job sheet describes."""
    return f"{known.system}, as on the job sheet"


def _soft(known: Known) -> list[str]:
    scale = _scale(known)
    return [
        "",
        "[[alternatives]]",
        f'name = "{SOFT}"',
        'renewed_every = "2 years"          # your own choice, so no range',
        'days_renewing = ["3 days", "4 days", "7 days"]   # GUESS',
        'days_washing = "1 day"',
        f"materials = {_money(known, 0.7 * scale, 1.0 * scale, 1.5 * scale)}   # GUESS",
        f"consumables = {_money(known, 0.15 * scale, 0.2 * scale, 0.35 * scale)}   # GUESS",
        'work = ["10 h", "14 h", "22 h"]   # GUESS: person hours',
        "dives_a_year = [1, 2, 4]   # GUESS: the same for both, for a guess should not decide",
        f"upkeep_rises = {_money(known, 0.1 * scale, 0.2 * scale, 0.4 * scale)}   # GUESS: each year of its age",
        'fouls_to = "heavy slime"',
        'fouls_in = "10 weeks"',
    ]


def _hard(known: Known) -> list[str]:
    life = '["8 years", "10 years", "14 years"]' if known.hard else '["1.5 years", "2 years", "3 years"]'
    scale = _scale(known)
    materials = '"order"' if known.has_plan_prices else f"{_money(known, 3 * scale, 4 * scale, 5 * scale)}   # GUESS"
    return [
        "",
        "[[alternatives]]",
        f'name = "{hard_name(known)}"',
        f"renewed_every = {life}",
        'days_renewing = "plan"             # the days ashore that boottop plans, or the spread of the odds',
        'days_washing = "1 day"',
        f"materials = {materials}",
        f"consumables = {_money(known, 0.3 * scale, 0.4 * scale, 0.6 * scale)}   # GUESS",
        'work = "plan"',
        f"visit_materials = {_money(known, 0.03 * scale, 0.05 * scale, 0.1 * scale)}   # GUESS: abrasive pads",
        'visit_work = ["2 h", "4 h", "6 h"]   # waking the copper at a wash; GUESS',
        "dives_a_year = [1, 2, 4]   # GUESS",
        f"upkeep_rises = {_money(known, 0.0, 0.01 * scale, 0.03 * scale)}   # GUESS",
        'fouls_to = "heavy slime"',
        'fouls_in = "10 weeks"',
    ]


def _end(known: Known) -> list[str]:
    return [
        "",
        "[[alternatives]]",
        f'name = "{LEAVE}"',
        "choice = false                     # shown for comparison, never advised",
        'renewed_every = "never"',
        'days_washing = "1 day"',
        'fouls_to = "small calcareous or weed"',
        'fouls_in = "10 weeks"',
        'at_worst = "heavy calcareous"',
        "",
        "[[correlations]]                   # yards that are dear are dear in everything; no source",
        'between = ["prices.lift", "prices.day_ashore", "prices.wash"]',
        'of = "60 %"',
    ]
