"""The cost in words and numbers, for the page of its own and for the page of the yard computer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from boottop.base.quantities import System, format_quantity
from boottop.files.cost_case import JobFacts, case_of, drive_of
from boottop.files.cost_sheet import CostSheet
from boottop.money.decide import Decision, Outcome, decide, without_fuel
from boottop.money.draws import DRAWS, SEED
from boottop.money.fouling import CONDITIONS_UM
from boottop.money.fuel import CO2_SOURCE, FUELS, Burn, burn_table
from boottop.money.interval import BestInterval, best_interval
from boottop.money.proof import Proof
from boottop.money.value import value
from boottop.report.cost_drawing import lettered
from boottop.report.cost_words import break_even_words, in_unit, money_span, round_money, span_words, turn_words
from boottop.report.typeset import typeset

SOURCES = (
    "Life-cycle cost: NIST Handbook 135 and ASTM E917; annuities and economic life: Panneerselvam, Engineering "
    "Economics, ch. 4 and 8.",
    "Roughness of each condition: Schultz, Biofouling 23(5) (2007) 331 (from memory). Drag: Granville's similarity "
    "with a Colebrook-type roughness function; smooth line Karman-Schoenherr or ITTC-57.",
    "Growth of fouling between cleanings, propulsive efficiency 50 %, litres a kilowatt-hour: common practice, no "
    "source.",
    f"Carbon dioxide: {CO2_SOURCE}.",
)


@dataclass(frozen=True, kw_only=True)
class CostView:
    """The decision and what stands around it."""

    sheet: CostSheet
    facts: JobFacts
    decision: Decision
    burns: tuple[Burn, ...]
    intervals: tuple[BestInterval, ...]
    litres: Mapping[str, float]


def view_of(sheet: CostSheet, facts: JobFacts, *, draws: int = DRAWS, seed: int = SEED) -> CostView:
    """Everything worked out from the document and the job."""
    decision = decide(case_of(sheet, facts), draws=draws, seed=seed)
    case = decision.case
    found = [best_interval(case, one, f"{one.name}: upkeep_rises") for one in case.alternatives]
    return CostView(
        sheet=sheet,
        facts=facts,
        decision=decision,
        burns=_burns(sheet, facts),
        intervals=tuple(one for one in found if one is not None),
        litres=_litres(decision),
    )


def _burns(sheet: CostSheet, facts: JobFacts) -> tuple[Burn, ...]:
    """At the points of her curve, or at three quarters and all of her cruising speed."""
    if sheet.fuel is None:
        return ()
    drive = drive_of(sheet.fuel, facts)
    speeds = [speed for speed, _ in drive.curve] or [0.75 * drive.cruise_m_s, drive.cruise_m_s]
    return burn_table(drive, sorted({*speeds, drive.cruise_m_s}), CONDITIONS_UM)


def _litres(decision: Decision) -> dict[str, float]:
    """Litres a year burnt because of the bottom, by way, likely case."""
    case, found = decision.case, {}
    for one in case.alternatives:
        item = next((item for item in one.items if item.group == "fuel"), None)
        if item is not None and item.curve is not None:
            hourly = np.interp(case.inputs[item.curve.key].span[1], item.curve.at, item.curve.values)
            hours, drive = (case.inputs[key].span[1] for key in item.factors[1:])
            found[one.name] = float(hourly) * hours * drive
    return found


def lede_of(view: CostView) -> str:
    """The answer in two sentences."""
    decision, case = view.decision, view.decision.case
    best = decision.outcome(decision.best)
    other = decision.rival if decision.best == case.reference else case.reference
    against = decision.outcome(other)
    ahead = round_money(against.likely_minor - best.likely_minor, case.currency)
    text = (
        f"Over {case.horizon_years} years {best.name} costs least: {round_money(best.likely_minor, case.currency)}, "
        f"{ahead} less than {other}. It is the cheapest choice in {best.cheapest_share:.0%} of the draws"
    )
    if other == case.reference:
        low, _, high = best.saving_spread_minor
        text += f", and saves {money_span((low, high), case.currency)} in nine draws of ten"
    text += "."
    without = without_fuel(case)
    if view.sheet.fuel is not None and decision.best != case.reference:
        apart = value(without, {key: np.array([one.span[1]]) for key, one in case.inputs.items()}).cost
        names = [one.name for one in case.alternatives]
        saved = float(apart[names.index(other), 0] - apart[names.index(decision.best), 0])
        text += f" Fuel apart it saves {round_money(round(saved), case.currency)}."
    return text


def ways_of(view: CostView) -> list[dict[str, str]]:
    """Rows of the table of ways."""
    case = view.decision.case
    rows = []
    for number, one in enumerate(view.decision.outcomes):
        low, _, high = one.spread_minor
        reference = one.name == case.reference
        rows.append(
            {
                "letter": "ABCDEFGHJK"[number % 10],
                "name": one.name,
                "cost": round_money(one.likely_minor, case.currency),
                "spread": f"{round_money(low, case.currency)} to {round_money(high, case.currency)}",
                "annual": round_money(one.annual_minor, case.currency),
                "paid": round_money(one.paid_minor, case.currency),
                "saving": "the measure" if reference else round_money(one.saving_minor, case.currency),
                "ahead": break_even_words(one, case),
                "share": f"{one.cheapest_share:.0%}" if one.choice else "compared only",
            }
        )
    return rows


def lines_of(view: CostView, one: Outcome) -> list[dict[str, str]]:
    """Rows of what carries one way."""
    currency = view.decision.case.currency
    rows = [
        {
            "what": line.what,
            "times": f"{line.times_factor:.3g}",
            "paid": round_money(line.paid_minor, currency),
            "worth": round_money(line.worth_minor, currency),
        }
        for line in one.lines
        if line.paid_minor
    ]
    if one.back_minor:
        rows.append({"what": "Unused life of the last renewal", "times": "", "paid": "",
                     "worth": round_money(one.back_minor, currency)})  # fmt: skip
    return rows


def turning_of(view: CostView) -> list[str]:
    """The two sentences on what would turn it."""
    decision = view.decision
    if not decision.turned_by:
        return ["No single input turns the choice, as far as was looked."]
    told = [turn_words(one, decision.case.currency) for one in decision.turned_by]
    return told if len(told) > 1 else [*told, "No other single input turns it, as far as was looked."]


def inputs_of(view: CostView) -> list[dict[str, str]]:
    """Every doubtful input with its range and turning value."""
    case = view.decision.case
    rows = []
    for turn in view.decision.all_turns:
        one = case.inputs[turn.key]
        rows.append(
            {
                "words": lettered(view.decision, one.words),
                "low": in_unit(min(one.sample or one.span), one.unit, case.currency),
                "likely": in_unit(one.span[1], one.unit, case.currency),
                "high": in_unit(max(one.sample or one.span), one.unit, case.currency),
                "turns": in_unit(turn.at[0], one.unit, case.currency) if turn.at else "no turning value in "
                + span_words(turn.looked, one.unit, case.currency),
                "where": "" if not turn.at else "within the range" if turn.inside else "outside the range",
            }
        )  # fmt: skip
    return rows


def burns_of(view: CostView, system: System) -> list[dict[str, str]]:
    """Rows of speed by condition."""
    return [
        {
            "condition": one.condition,
            "ks": f"{one.ks_um:.0f} um",
            "speed": knots(one.speed_m_s),
            "newton": f"{one.added_n:.0f} N",
            "power": f"{one.added_kw:.2f} kW",
            "smooth": litres_h(one.smooth_l_h, system),
            "added": litres_h(one.added_l_h, system),
            "share": f"{100.0 * one.added_share:.0f} %",
            "slower": knots(one.slower_m_s),
            "co2": f"{one.co2_kg_h:.2f} kg",
            "note": "" if one.trusted else "out of range: for orientation only",
        }
        for one in view.burns
    ]


def knots(speed_m_s: float) -> str:
    """A speed as sailors have it, in either system."""
    return f"{speed_m_s / 0.514444:.1f} kn"


def litres_h(litres: float, system: System) -> str:
    """A burn, in litres or US gallons an hour."""
    return typeset(format_quantity(litres, "volume", system, digits=3)) + "/h"


def yearly_of(view: CostView, system: System) -> list[dict[str, str]]:
    """Fuel and carbon dioxide a year because of the bottom, by way."""
    if view.sheet.fuel is None:
        return []
    fuel = FUELS[view.sheet.fuel.kind]
    return [
        {
            "name": name,
            "litres": format_quantity(litres, "volume", system, digits=3),
            "co2": format_quantity(litres * fuel.co2_kg_l, "mass", system, digits=3),
        }
        for name, litres in view.litres.items()
    ]


def intervals_of(view: CostView) -> list[dict[str, Any]]:
    """Best interval of each way, and what it costs a year at each length."""
    currency = view.decision.case.currency
    rows: list[dict[str, Any]] = []
    for one in view.intervals:
        span = f"{one.from_years} to {one.to_years}" if one.from_years != one.to_years else str(one.from_years)
        longest = " years or longer" if one.life.at_the_end else " years"
        annual: Sequence[str] = [round_money(round(minor), currency) for minor in one.life.annual[:12]]
        rows.append({"name": one.name, "best": f"{one.life.best_years}{longest}", "span": span, "annual": annual})
    return rows


MEASURE_WORDS = {"fuel": "Litres an hour at the same speed", "speed": "Speed at the same revolutions"}


def proof_of(found: Proof, notes: Sequence[str]) -> dict[str, Any]:
    """What the log says, for the page."""
    return {
        "verdict": found.verdict,
        "rows": [
            {
                "what": MEASURE_WORDS[one.measure],
                "change": f"{100.0 * one.change_share:+.1f} %",
                "span": f"{100.0 * one.low_share:+.1f} to {100.0 * one.high_share:+.1f} %",
                "runs": f"{one.runs[0]} and {one.runs[1]}",
                "days": f"{one.days[0]} and {one.days[1]}",
            }
            for one in found.effects
        ],
        "notes": [
            f"{found.cut.moments} moments, {len(found.cut.runs)} steady runs.",
            *(f"Left out: {count} moments, {why}." for why, count in found.cut.dropped),
            *notes,
            *found.notes,
        ],
    }
