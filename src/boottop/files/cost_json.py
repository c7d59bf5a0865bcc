"""The JSON of `boottop cost --json` and `boottop proof --json`: versioned documents with their JSON Schema."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from boottop.files.documents import Document
from boottop.money.decide import Decision, Outcome
from boottop.money.proof import Proof
from boottop.money.turning import Turn


class CostLineOut(Document):
    """One item of one way, likely case."""

    what: str
    group: str
    times: float
    paid_minor: int = Field(description="in all, money of today, not discounted")
    worth_minor: int = Field(description="present value")


class WayOut(Document):
    """One way to keep the bottom."""

    name: str
    choice: bool
    present_value_minor: int
    present_value_5_50_95_minor: list[int]
    equivalent_annual_minor: int
    unused_life_minor: int
    saving_minor: int = Field(description="against the reference, likely case")
    saving_5_50_95_minor: list[int]
    break_even_year: int | None
    break_even_share: float
    cheapest_share: float
    lines: list[CostLineOut]
    spent_by_year_minor: list[int]


class TurnOut(Document):
    """One input in doubt: its range, and where it turns the choice."""

    key: str
    unit: str
    low_likely_high: list[float]
    turns_at: float | None
    inside_range: bool
    instead: str
    looked_from_to: list[float]


class CostDocument(Document):
    """`boottop cost --json`."""

    schema_name: Literal["boottop.cost/1"] = Field(default="boottop.cost/1", alias="schema")
    boat: str
    currency: str
    horizon_years: int
    draws: int
    seed: int
    reference: str
    best: str
    rival: str
    ways: list[WayOut]
    turns: list[TurnOut]
    notes: list[str]


class EffectOut(Document):
    """What changed, by one measure."""

    measure: str
    change: float
    interval_95: list[float]
    told: bool
    runs_before_after: list[int]
    days_before_after: list[int]
    more_runs: int | None
    terms: list[str]


class ProofDocument(Document):
    """`boottop proof --json`."""

    schema_name: Literal["boottop.proof/1"] = Field(default="boottop.proof/1", alias="schema")
    boat: str
    verdict: str
    effects: list[EffectOut]
    moments: int
    dropped: dict[str, int]
    notes: list[str]


def cost_document(decision: Decision, *, boat: str) -> CostDocument:
    """The comparison as a document."""
    case = decision.case
    return CostDocument(
        boat=boat,
        currency=case.currency,
        horizon_years=case.horizon_years,
        draws=decision.draws,
        seed=decision.seed,
        reference=case.reference,
        best=decision.best,
        rival=decision.rival,
        ways=[_way(one) for one in decision.outcomes],
        turns=[_turn(one) for one in decision.all_turns],
        notes=[*case.notes],
    )


def _way(one: Outcome) -> WayOut:
    return WayOut(
        name=one.name,
        choice=one.choice,
        present_value_minor=one.likely_minor,
        present_value_5_50_95_minor=[*one.spread_minor],
        equivalent_annual_minor=one.annual_minor,
        unused_life_minor=one.back_minor,
        saving_minor=one.saving_minor,
        saving_5_50_95_minor=[*one.saving_spread_minor],
        break_even_year=one.break_even_year,
        break_even_share=one.break_even_share,
        cheapest_share=one.cheapest_share,
        lines=[
            CostLineOut(
                what=line.what,
                group=line.group,
                times=line.times_factor,
                paid_minor=line.paid_minor,
                worth_minor=line.worth_minor,
            )
            for line in one.lines
        ],
        spent_by_year_minor=[*one.by_year_minor],
    )


def _turn(one: Turn) -> TurnOut:
    return TurnOut(
        key=one.key,
        unit=one.unit,
        low_likely_high=[*one.likely],
        turns_at=one.at[0] if one.at else None,
        inside_range=one.inside,
        instead=one.instead,
        looked_from_to=[*one.looked],
    )


def proof_document(proof: Proof, *, boat: str, notes: tuple[str, ...] = ()) -> ProofDocument:
    """The proof as a document."""
    return ProofDocument(
        boat=boat,
        verdict=proof.verdict,
        effects=[
            EffectOut(
                measure=one.measure,
                change=one.change_share,
                interval_95=[one.low_share, one.high_share],
                told=one.told,
                runs_before_after=[*one.runs],
                days_before_after=[*one.days],
                more_runs=one.more_runs,
                terms=[*one.terms],
            )
            for one in proof.effects
        ],
        moments=proof.cut.moments,
        dropped=dict(proof.cut.dropped),
        notes=[*notes, *proof.notes],
    )
