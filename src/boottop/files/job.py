"""A job as read from its sheet: what each room takes, in SI and aware UTC."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from boottop.climate.weather import Site
from boottop.coating.facts import CrewFacts
from boottop.measure.inputs import HullMeasure
from boottop.plan.inputs import PlanInput


@dataclass(frozen=True, kw_only=True)
class Boat:
    """The boat as her papers have her; None where the sheet is silent. `displacement_kg` with keel, as she floats."""

    name: str
    length_m: float
    waterline_length_m: float
    beam_m: float | None = None
    draft_m: float | None = None
    displacement_kg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Job:
    """One job. `weather` is the file the sheet names (not opened here), None when it names none; `weather_station`:
    which station in it, `weather_dry`: whether rain that it lacks is taken as none. Both are of that file alone.

    `coating` holds what the take-off must know of the crew. `notes` say calmly what was taken for granted: defaults
    that bear on the result, lift slots left out because the yard is closed.
    """

    source: Path
    boat: Boat
    hull: HullMeasure
    site: Site
    plan: PlanInput
    coating: CrewFacts
    weather: Path | None = None
    weather_station: str | None = None
    weather_dry: bool = False
    notes: tuple[str, ...] = ()
