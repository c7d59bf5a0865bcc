"""The registry of task kinds: what each is called, who does it, and what the weather has to say about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Who = Literal["crew", "yard", "nobody"]
Needs = Literal["nothing", "no_rain", "dry_surface", "open_window"]


@dataclass(frozen=True, kw_only=True)
class TaskKind:
    """One kind of task.

    `label` for people. `who` does it. `weather` it needs outdoors: "no_rain" while it runs, "dry_surface" (no rain
    and no water standing), "open_window" (every rule of the coating sheet kept, see windows.Rule). `pauses`: it may
    be left at night and taken up again. `work_key`: its entry in Crew.rates_m2_h and Crew.fixed_h, None where its
    time comes from elsewhere. `why` the weather need, with its source.
    """

    name: str
    label: str
    who: Who
    weather: Needs
    pauses: bool
    work_key: str | None
    why: str


_PRACTICE = "common practice, no source"

_ROWS: tuple[tuple[str, str, Who, Needs, bool, str | None, str], ...] = (
    ("haul_out", "Haul out", "yard", "nothing", False, None, "the yard calls off a lift in a gale on the day"),
    ("wash", "Pressure wash", "yard", "nothing", False, None, "done wet, at once, before growth dries on"),
    ("strip", "Strip old antifouling", "crew", "no_rain", True, "strip",
     "wet sanding keeps the dust down, but rain would carry the slurry off the sheet on the ground"),
    ("dry", "Laminate dries", "nobody", "nothing", True, None, "hours as the owner asks"),
    ("barrier_coat", "Barrier coat", "crew", "open_window", False, "roll", "the coating sheet's limits"),
    ("abrade", "Abrade", "crew", "no_rain", True, "abrade", "as for stripping"),
    ("wipe", "Dust off and wipe", "crew", "open_window", False, "wipe",
     "a cleaner cools the surface as it flashes off: within the coating's own limits no dew falls on it"),
    ("mask", "Mask", "crew", "dry_surface", True, "mask", "tape holds on a dry surface only"),
    ("primer_coat", "Primer coat", "crew", "open_window", False, "roll", "the coating sheet's limits"),
    ("coat", "Antifouling coat", "crew", "open_window", False, "roll", "the coating sheet's limits"),
    ("move_stands", "Move the stands", "yard", "nothing", False, None, "the yard's work, in the yard's hours"),
    ("activate", "Sand to bare copper", "crew", "no_rain", True, "activate", "as for stripping"),
    ("extra", "Own job", "crew", "nothing", True, None, "as the owner says"),
    ("launch", "Launch", "yard", "nothing", False, None, "the yard calls off a lift in a gale on the day"),
)  # fmt: skip

TASK_KINDS: Mapping[str, TaskKind] = {
    name: TaskKind(
        name=name, label=label, who=who, weather=weather, pauses=pauses, work_key=work_key, why=f"{why} ({_PRACTICE})"
    )
    for name, label, who, weather, pauses, work_key, why in _ROWS
}

WORK_KEYS: tuple[str, ...] = tuple(sorted({kind.work_key for kind in TASK_KINDS.values() if kind.work_key}))

COAT_KIND: Mapping[str, str] = {"primer": "primer_coat", "barrier": "barrier_coat", "antifouling": "coat"}
