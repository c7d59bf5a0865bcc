"""From the cost document and what the job itself gives (days, order, hours, area) to the case that is reckoned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.cost_sheet import NONE, CostSheet, FuelSheet, Way
from boottop.files.cost_words import Triple
from boottop.files.jobsheet_table import nearest
from boottop.money.case import Alternative, CostCase, Curve, Input, Item, check_case
from boottop.money.discount import real_rate
from boottop.money.fouling import between_cleanings_h
from boottop.money.fuel import FUELS, Drive, drive_notes, mean_added_litres_h

PRICE_WORDS: Mapping[str, str] = {
    "prices.lift": "lift out and in again",
    "prices.day_ashore": "a day ashore",
    "prices.wash": "pressure wash",
    "prices.wage": "an hour of your work",
    "prices.dive": "a diver's visit",
}
PACE_STEPS = 25


@dataclass(frozen=True, kw_only=True)
class DaysAshore:
    """Days ashore of the job as planned: one value from the plan, or a sample of equally likely ones from the odds."""

    days: tuple[int, ...]
    from_where: str


@dataclass(frozen=True, kw_only=True)
class JobFacts:
    """What the job gives: minor units, person hours; None where it is not known (yet), with the reason in `missing`."""

    currency: str
    boat: str
    length_m: float
    wetted_m2: float
    days: DaysAshore | None
    work_hours: tuple[float, ...]
    materials_minor: int | None
    missing: Mapping[str, str]


def drive_of(fuel: FuelSheet, facts: JobFacts) -> Drive:
    """The boat's drive as the fuel model takes it."""
    return Drive(
        length_m=facts.length_m,
        wetted_m2=facts.wetted_m2,
        cruise_m_s=fuel.cruise_m_s,
        burn_l_h=fuel.burn_l_h,
        fuel=FUELS[fuel.kind],
        curve=fuel.curve,
        measured_um=fuel.taken_with_um,
        propulsion_factor=fuel.propulsion_factor,
        planing=fuel.planing,
        line=fuel.line,
    )


def case_of(sheet: CostSheet, facts: JobFacts) -> CostCase:
    """The case; InputError with everything in the document that does not fit the job."""
    builder = _Builder(sheet, facts)
    alternatives = tuple(builder.alternative(way) for way in sheet.ways)
    inputs = builder.inputs
    problems = [*builder.problems, *_unknown_ties(sheet, inputs)]
    if problems:
        raise InputError(problems)
    used = _used(alternatives)
    return check_case(
        CostCase(
            currency=facts.currency,
            horizon_years=sheet.horizon_years,
            inputs={key: one for key, one in inputs.items() if key in used},
            alternatives=alternatives,
            reference=sheet.compare_with,
            discount="discount",
            inflation_fraction=sheet.inflation_fraction,
            hauled_anyway=sheet.hauled_anyway,
            correlations=tuple(
                replace(one, between=kept)
                for one in sheet.correlations
                if len(kept := tuple(key for key in one.between if key in used)) > 1
            ),
            count_unused=sheet.count_unused,
            notes=_notes(sheet, facts),
        )
    )


def _unknown_ties(sheet: CostSheet, inputs: Mapping[str, Input]) -> Iterator[Problem]:
    for key in (key for one in sheet.correlations for key in one.between if key not in inputs):
        yield Problem(
            where=f"{sheet.source.name}, correlations.between",
            found=repr(key),
            allowed=", ".join(inputs),
            advice=nearest(key, inputs) or "Write the key as it stands in the list.",
        )


def _used(alternatives: tuple[Alternative, ...]) -> set[str]:
    keys = {"discount"} | {one.life for one in alternatives if one.life}
    for item in (item for one in alternatives for item in one.items):
        keys |= {*item.factors, *([item.grows] if item.grows else []), *([item.curve.key] if item.curve else [])}
    return keys


def _notes(sheet: CostSheet, facts: JobFacts) -> tuple[str, ...]:
    notes = []
    if not sheet.checked:
        notes.append(
            "The cost document still has boottop's own guesses in it: put your yard's prices in, then set "
            "checked = true."
        )
    kind = "real" if sheet.discount_is == "real" else "nominal, turned into a real one by the inflation given"
    notes.append(
        "All money is of today's worth; later amounts are not raised by inflation. The discount rate is "
        f"{kind}; inflation {100 * sheet.inflation_fraction:.1f} % a year."
    )
    if sheet.prices["prices.wage"] == NONE:
        notes.append("Your own work counts as nothing: wage = 0 is a choice.")
    if all(way.resale == NONE for way in sheet.ways):
        notes.append("What the bottom does to her resale value is left out.")
    if sheet.count_unused:
        notes.append("The unused life of the last renewal is given back at the horizon, in proportion.")
    if sheet.fuel is None:
        notes.append("No [fuel] section: fuel is left out.")
    else:
        notes += drive_notes(drive_of(sheet.fuel, facts))
    return tuple(notes)


class _Builder:
    """Collects inputs and items of the ways, and what is wrong with them."""

    def __init__(self, sheet: CostSheet, facts: JobFacts) -> None:
        self.sheet, self.facts = sheet, facts
        self.inputs: dict[str, Input] = {}
        self.problems: list[Problem] = []
        for key, words in PRICE_WORDS.items():
            self.put(key, words, sheet.prices[key], unit="money")
        self.put("discount", "discount rate", _real(sheet), unit="%")
        if sheet.fuel is not None:
            self._fuel_inputs(sheet.fuel)

    def _fuel_inputs(self, fuel: FuelSheet) -> None:
        self.put("fuel.price", "price of fuel", fuel.price, unit="money/L")
        self.put("fuel.price_growth", "fuel dearer each year, above inflation", fuel.growth, unit="%")
        self.put("fuel.engine_hours_a_year", "engine hours a year", fuel.engine_hours, unit="h")
        self.put("fuel.drive", "fuel for the same tow, against the usual", fuel.drive, unit="x")
        self.put("fuel.fouling_pace", "how fast she fouls, against as typed", fuel.pace, unit="x")

    def put(self, key: str, words: str, span: Triple, *, unit: str, sample: tuple[float, ...] = ()) -> str:
        """Add an input and give its key."""
        self.inputs[key] = Input(key=key, words=words, unit=unit, span=span, sample=sample)
        return key

    def alternative(self, way: Way) -> Alternative:
        """One way with all its items."""
        life = None
        if way.life != NONE:
            life = self.put(f"{way.name}: renewed_every", f"{way.name}: years between renewals", way.life, unit="years")
        items = [*self._haul_outs(way), *self._renewal(way), *self._between(way), *self._fuel(way), *self._rest(way)]
        return Alternative(
            name=way.name, life=life, hauled_every=way.hauled_every, choice=way.choice, items=tuple(items)
        )

    def _own(self, way: Way, key: str, span: Triple, *, words: str, unit: str) -> tuple[str, ...]:
        """Key of an input of this way's own; nothing when it is nothing."""
        if span == NONE:
            return ()
        return (self.put(f"{way.name}: {key}", f"{way.name}: {words}", span, unit=unit),)

    def _haul_outs(self, way: Way) -> Iterator[Item]:
        if self.sheet.hauled_anyway:
            yield Item(what="Lift, haul-outs that happen anyway", group="lift", when="anyway", factors=("prices.lift",))
        yield Item(what="Lift, for the bottom alone", group="lift", when="extra lift", factors=("prices.lift",))
        yield Item(what="Pressure wash", group="wash", when="haul-out", factors=("prices.wash",))
        for key in self._own(way, "days_washing", way.days_washing, words="days ashore for a wash", unit="days"):
            yield Item(
                what="Days ashore, wash only",
                group="days ashore",
                when="wash visit",
                factors=("prices.day_ashore", key),
            )

    def _renewal(self, way: Way) -> Iterator[Item]:
        for key in self._days(way):
            yield Item(
                what="Days ashore, renewing", group="days ashore", when="renewal", factors=("prices.day_ashore", key)
            )
        for key in self._materials(way):
            yield Item(what="Coating", group="material", when="renewal", factors=(key,))
        for key in self._own(way, "consumables", way.consumables, words="rollers, tape, gear", unit="money"):
            yield Item(what="Rollers, tape, paper, gear", group="material", when="renewal", factors=(key,))
        for key in self._work(way):
            yield Item(what="Work, renewing", group="labour", when="renewal", factors=("prices.wage", key))
        for key in self._own(way, "first_time", way.first_time, words="stripping, the first time", unit="money"):
            yield Item(what="Stripping and barrier, this time only", group="strip", when="now", factors=(key,))

    def _days(self, way: Way) -> tuple[str, ...]:
        if way.days_renewing is not None:
            return self._own(way, "days_renewing", way.days_renewing, words="days ashore to renew", unit="days")
        found = self.facts.days
        if found is None:
            return self._lacking(way, "days_renewing", "plan")
        sample = tuple(float(one) for one in sorted(found.days))
        middle = float(np.quantile(sample, 0.5, method="inverted_cdf"))
        key, words = f"{way.name}: days_renewing", f"{way.name}: days ashore to renew"
        one = Input(
            key=key,
            words=words,
            unit="days",
            span=(sample[0], middle, sample[-1]),
            sample=sample if sample[0] < sample[-1] else (),
            from_where=found.from_where,
        )
        self.inputs[key] = one
        return (key,)

    def _materials(self, way: Way) -> tuple[str, ...]:
        span = way.materials
        if span is None:
            if self.facts.materials_minor is None:
                return self._lacking(way, "materials", "order")
            span = _sure(float(self.facts.materials_minor))
        return self._own(way, "materials", span, words="coating", unit="money")

    def _work(self, way: Way) -> tuple[str, ...]:
        span = way.work_hours
        if span is None:
            if not self.facts.work_hours:
                return self._lacking(way, "work", "plan")
            span = _sure(self.facts.work_hours[0])
        return self._own(way, "work", span, words="hours of work to renew", unit="h")

    def _lacking(self, way: Way, key: str, word: str) -> tuple[str, ...]:
        self.problems.append(
            Problem(
                where=f"{self.sheet.source.name}, alternatives {way.name!r}, {key}",
                found=f'"{word}", but {self.facts.missing.get(word, "there is none")}',
                allowed=f'"{word}" where the job has one, or a value of your own',
                advice="Mend that in the job sheet, or type low, likely and high here.",
            )
        )
        return ()

    def _between(self, way: Way) -> Iterator[Item]:
        for key in self._own(way, "visit_materials", way.visit_materials, words="material at a wash", unit="money"):
            yield Item(what="Pads and small material at a wash", group="material", when="wash visit", factors=(key,))
        for key in self._own(way, "visit_work", way.visit_hours, words="hours at a wash", unit="h"):
            yield Item(
                what="Work at a wash, waking the copper",
                group="labour",
                when="wash visit",
                factors=("prices.wage", key),
            )
        for key in self._own(way, "dives_a_year", way.dives, words="dives a year", unit="dives"):
            yield Item(what="Divers between", group="divers", when="yearly", factors=("prices.dive", key))
        for key in self._own(way, "upkeep_rises", way.rises, words="dearer each year of the film's age", unit="money"):
            curve = _mean_age(f"{way.name}: renewed_every", way.life, self.sheet.horizon_years)
            what = "Upkeep that rises with the film's age"
            yield Item(what=what, group="other", when="yearly", factors=(key,), curve=curve)

    def _fuel(self, way: Way) -> Iterator[Item]:
        fuel = self.sheet.fuel
        if fuel is None:
            return
        yield Item(
            what="Fuel burnt because of the bottom",
            group="fuel",
            when="yearly",
            factors=("fuel.price", "fuel.engine_hours_a_year", "fuel.drive"),
            curve=fouling_curve(way, fuel, sheet=self.sheet, facts=self.facts),
            grows="fuel.price_growth",
        )

    def _rest(self, way: Way) -> Iterator[Item]:
        for key in self._own(way, "resale", way.resale, words="worth more when sold", unit="money"):
            yield Item(what="Worth more when sold", group="resale", when="end", factors=(key,), times_factor=-1.0)
        for number, extra in enumerate(way.extras, start=1):
            for key in self._own(way, f"extra {number}", extra.cost, words=extra.what, unit="money"):
                yield Item(what=extra.what, group="other", when=extra.when, factors=(key,))


def fouling_curve(way: Way, fuel: FuelSheet, *, sheet: CostSheet, facts: JobFacts) -> Curve:
    """Litres an hour at cruise that the bottom of a way adds on average, by the pace of fouling."""
    pace = np.geomspace(fuel.pace[0] / 3.0, fuel.pace[2] * 3.0, PACE_STEPS)
    litres = mean_added_litres_h(drive_of(fuel, facts), way.fouling, cleaning_interval_h(way, fuel, sheet), pace=pace)
    return Curve(key="fuel.fouling_pace", at=tuple(map(float, pace)), values=tuple(map(float, litres)))


def _mean_age(key: str, life: Triple, horizon_years: int) -> Curve:
    """Years by which the film's age goes beyond its first year on average, by the years between renewals."""
    if life == NONE:
        return Curve(key="discount", at=(0.0,), values=((horizon_years - 1) / 2.0,))
    at = (1.0, 3.0 * max(life[2], 1.0))
    return Curve(key=key, at=at, values=tuple((one - 1.0) / 2.0 for one in at))


def cleaning_interval_h(way: Way, fuel: FuelSheet, sheet: CostSheet) -> float:
    """Hours afloat between two cleanings of a way in the likely case."""
    intervals = [float(one) for one in (sheet.hauled_anyway, way.hauled_every, way.life[1]) if one]
    return between_cleanings_h(
        afloat_h_year=fuel.afloat_h_year,
        cleanings_year=way.dives[1],
        hauled_every=min(intervals, default=0.0),
        horizon=sheet.horizon_years,
    )


def _sure(value: float) -> Triple:
    return value, value, value


def _real(sheet: CostSheet) -> Triple:
    if sheet.discount_is == "real":
        return sheet.discount
    low, likely, high = (real_rate(one, sheet.inflation_fraction) for one in sheet.discount)
    return low, likely, high
