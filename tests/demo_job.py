"""The demonstration job taken through all rooms in this process, once a test run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import boottop
from boottop.files.jobsheet import load_job
from boottop.files.weather import load_weather
from boottop.plan.checker import Evidence
from boottop.plan.plan import Plan, PlannedTask
from boottop.workflow import Ashore, Outlook, Planned, outlook_for, plan_for, weather_span

DEMO_DIR = Path(boottop.__file__).parent / "demo"
DAYS = 21


@dataclass(frozen=True, kw_only=True)
class DemoJob:
    """Job, outlook and plan of the demonstration."""

    ashore: Ashore
    outlook: Outlook
    planned: Planned

    @property
    def plan(self) -> Plan:
        return self.planned.plan

    def evidence(self) -> Evidence:
        """What the checker was given."""
        return Evidence(
            plan=self.plan,
            inputs=self.ashore.job.plan,
            hull=self.ashore.hull,
            weather=self.outlook.weather,
            climate=self.outlook.climate,
            tent_climate=self.outlook.tent,
            roofed=self.ashore.job.site.cover == "shed",
        )


@lru_cache(maxsize=1)
def demo_job() -> DemoJob:
    """Plan the demonstration job, to proof, port side first: either side first costs the same, and tests name one."""
    job = load_job(DEMO_DIR / "job.toml")
    wishes = replace(job.plan.wishes, first_side="port")
    ashore = Ashore(replace(job, plan=replace(job.plan, wishes=wishes)))
    start, end = weather_span(ashore.job, DAYS)
    assert ashore.job.weather is not None
    weather = load_weather(ashore.job.weather, site=ashore.job.site, start=start, end=end)
    outlook = outlook_for(ashore, weather, days=DAYS)
    return DemoJob(ashore=ashore, outlook=outlook, planned=plan_for(ashore, outlook, time_limit_s=60.0))


def with_tasks(plan: Plan, change: Callable[[PlannedTask], PlannedTask | None]) -> Plan:
    """The plan with each task changed, or dropped where `change` gives None; in the order of their starts."""
    tasks = [changed for task in plan.tasks if (changed := change(task)) is not None]
    return replace(plan, tasks=tuple(sorted(tasks, key=lambda task: (task.start, task.end, task.key))))
