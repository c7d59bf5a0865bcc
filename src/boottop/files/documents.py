"""The JSON that boottop prints: one versioned document a command, each with its JSON Schema.

Times are RFC 3339 with the yard's offset. Lengths, areas and temperatures are SI, the unit in the name.
Money: `cost` is in the currency's major unit, `cost_minor` the same in minor units.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, PlainSerializer


def _instant(value: datetime) -> str:
    return value.isoformat(timespec="seconds")


def _number(value: Decimal) -> float:
    return float(value)


Amount = Annotated[Decimal, PlainSerializer(_number, return_type=float, when_used="json")]
Instant = Annotated[datetime, PlainSerializer(_instant, return_type=str, when_used="json")]


class Document(BaseModel):
    """Base of every document: closed, and named by its `schema`."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        populate_by_name=True,
        serialize_by_alias=True,
        json_schema_serialization_defaults_required=True,
    )


class ZoneArea(Document):
    """One zone of the hull."""

    name: str
    kind: str
    side: str
    area_m2: float
    area_sd_m2: float = Field(description="standard deviation of the area")
    substrate: str
    coated: bool


class AreaDocument(Document):
    """`boottop area --json`."""

    schema_name: Literal["boottop.area/1"] = Field(default="boottop.area/1", alias="schema")
    boat: str
    method: str
    zones: list[ZoneArea]
    total_m2: float
    total_sd_m2: float = Field(description="allows for errors that the zones share")
    notes: list[str]


class FindingOut(Document):
    """Something a coatings inspector would say."""

    severity: str
    rule: str
    cause: str
    advice: str
    source: str


class CheckDocument(Document):
    """`boottop check --json`."""

    schema_name: Literal["boottop.check/1"] = Field(default="boottop.check/1", alias="schema")
    boat: str
    findings: list[FindingOut]
    notes: list[str]


class OrderLine(Document):
    """One line to buy."""

    item: str
    quantity: float
    unit: str
    for_what: str
    source: str
    cost_minor: int | None = None


class ProductOrder(Document):
    """One coating to buy, in whole kits."""

    product: str
    role: str
    coats: int
    litres: float
    litres_sd: float
    kits: int
    kit_volume_l: float
    left_over_l: float
    mass_kg: float
    cost_minor: int | None


class OrderDocument(Document):
    """`boottop order --json`."""

    schema_name: Literal["boottop.order/1"] = Field(default="boottop.order/1", alias="schema")
    boat: str
    currency: str
    coatings: list[ProductOrder]
    consumables: list[OrderLine]
    freight_kg: float
    cost_minor: int | None
    findings: list[FindingOut]
    cautions: list[str]


class NextCoat(Document):
    """When the next coat may start if this one is finished at the slot's start; null = not within the known weather."""

    coat: int
    earliest_next: Instant | None
    latest_next: Instant | None


class SlotOut(Document):
    """One quarter of an hour on one zone."""

    start: Instant
    surface_c: float
    dew_c: float
    margin_k: float
    may_start: bool
    closed_by: str | None
    if_finished_now: list[NextCoat]


class ZoneSlots(Document):
    """One zone under one product."""

    zone: str
    product: str
    role: str
    coat_minutes: int = Field(description="how long one coat of this zone takes this crew")
    slots: list[SlotOut]


class WindowsDocument(Document):
    """`boottop windows --json`."""

    schema_name: Literal["boottop.windows/1"] = Field(default="boottop.windows/1", alias="schema")
    boat: str
    weather: str
    step_minutes: int
    caution: float
    zones: list[ZoneSlots]
    notes: list[str]


class TaskOut(Document):
    """One task of the plan."""

    kind: str
    label: str
    zone: str | None
    coat: int | None
    product: str | None
    start: Instant
    end: Instant
    people: int
    under_tent: bool
    because: str
    state: Literal["to do", "in hand", "done", "taken as done"] = Field(
        description="what the log says of it; taken as done: not written down, but later work was"
    )


class CostOut(Document):
    """One line of the bill."""

    what: str
    amount_minor: int


class SolverOut(Document):
    """What the solver says of itself."""

    first_s: float | None
    proof_s: float | None
    total_s: float
    bound_minor: int | None = Field(description="no plan can cost less; null when nothing is proven")
    variables: int


class PlanDocument(Document):
    """`boottop plan --json`."""

    schema_name: Literal["boottop.plan/1"] = Field(default="boottop.plan/1", alias="schema")
    boat: str
    job: str
    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    cost: Amount | None = Field(description="major units of the currency")
    cost_minor: int | None
    currency: str
    cost_lines: list[CostOut]
    haul_out: Instant | None
    launch: Instant | None
    options: list[str]
    tasks: list[TaskOut]
    reasons: list[str]
    ways_out: list[str]
    findings: list[str]
    cautions: list[str]
    weather: str
    gap_minor: int | None = Field(description="the most that could still be saved; 0 when proven, null when unknown")
    gap: str = Field(description="the same in words, with days; empty when the plan is proven best")
    checked: list[str] = Field(description="what the independent checker went through; empty when there is no plan")
    solver: SolverOut


DOCUMENTS: Mapping[str, type[Document]] = {
    "area": AreaDocument,
    "check": CheckDocument,
    "order": OrderDocument,
    "windows": WindowsDocument,
    "plan": PlanDocument,
}


def json_schema(name: str) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of one document by the name of its command."""
    return schema_of(DOCUMENTS[name])


def schema_of(document: type[Document]) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a document."""
    schema = document.model_json_schema(mode="serialization", by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def as_json(document: Document) -> str:
    """The document as JSON text, indented, with its aliases."""
    return document.model_dump_json(by_alias=True, indent=2)
