"""From what the rooms give to the JSON documents; times in the yard's zone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np

from boottop.base.clock import SLOT_S, Grid
from boottop.base.money import minor_digits
from boottop.coating.cautions import Caution, cautions_for
from boottop.coating.finding import Finding
from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.coating.takeoff import SystemOrder
from boottop.files import documents as doc
from boottop.files.calendar_file import words_of
from boottop.measure.hull import Zone
from boottop.plan.gap import gap_minor, gap_words
from boottop.plan.inputs import WindowKey
from boottop.plan.rules_modes import COAT_PEOPLE_MAX, Work, work_slots
from boottop.plan.tasks import COAT_KIND
from boottop.windows.windows import Rule, ZoneWindows
from boottop.workflow import Ashore, Outlook, Planned


def area_document(ashore: Ashore) -> doc.AreaDocument:
    """The hull by zone."""
    hull = ashore.hull
    return doc.AreaDocument(
        boat=ashore.job.boat.name,
        method=hull.method,
        zones=[
            doc.ZoneArea(
                name=zone.name,
                kind=zone.kind,
                side=zone.side,
                area_m2=zone.area_m2,
                area_sd_m2=zone.area_sd_m2,
                substrate=zone.substrate,
                coated=zone.coated,
            )
            for zone in hull.zones
        ],
        total_m2=hull.total_m2,
        total_sd_m2=hull.total_sd_m2,
        notes=[*hull.notes],
    )


def findings_out(findings: Sequence[Finding]) -> list[doc.FindingOut]:
    """Findings as the documents carry them."""
    return [
        doc.FindingOut(severity=f.severity, rule=f.rule, cause=f.cause, advice=f.advice, source=f.source)
        for f in findings
    ]


def check_document(ashore: Ashore) -> doc.CheckDocument:
    """What an inspector would say before a tin is opened."""
    return doc.CheckDocument(
        boat=ashore.job.boat.name,
        findings=findings_out(ashore.findings),
        notes=[*ashore.job.notes, *ashore.hull.notes],
    )


def order_document(ashore: Ashore) -> doc.OrderDocument:
    """What to buy."""
    order = ashore.order
    systems = {system.sheet.name: system for system in ashore.job.plan.systems}
    return doc.OrderDocument(
        boat=ashore.job.boat.name,
        currency=ashore.job.plan.currency,
        coatings=[_product(line, systems[line.product]) for line in order.orders],
        consumables=[
            doc.OrderLine(
                item=item.what, quantity=item.quantity, unit=item.unit, for_what=item.because, source=item.source
            )
            for item in order.consumables
        ],
        freight_kg=order.freight_kg,
        cost_minor=order.cost_minor,
        findings=findings_out(ashore.findings),
        cautions=cautions_out(order.cautions),
    )


def _product(line: SystemOrder, system: System) -> doc.ProductOrder:
    return doc.ProductOrder(
        product=line.product,
        role=line.role,
        coats=system.coats,
        litres=line.litres,
        litres_sd=line.litres_sd,
        kits=line.kits,
        kit_volume_l=system.sheet.kit_volume_l,
        left_over_l=line.left_l,
        mass_kg=line.freight_kg,
        cost_minor=line.cost_minor,
    )


def cautions_out(cautions: Sequence[Caution]) -> list[str]:
    """Cautions as sentences, each with whose word counts."""
    return [f"{caution.text} The last word has {', '.join(caution.defers_to)}." for caution in cautions]


def coat_slots(ashore: Ashore, system: System, zone: Zone) -> int:
    """Slots one coat of a zone takes the whole crew."""
    crew = ashore.job.plan.crew
    work = Work(key="", kind=COAT_KIND[system.role], zone=zone.name, area_m2=zone.area_m2)
    return max(1, work_slots(crew, work, min(crew.people, COAT_PEOPLE_MAX)))


def windows_document(ashore: Ashore, outlook: Outlook) -> doc.WindowsDocument:
    """Every slot of every coated zone under every coating, in the open."""
    zones, notes = [], dict.fromkeys((*outlook.weather.findings, *outlook.climate.notes))
    for system in ashore.job.plan.systems:
        for zone in zones_for(system, ashore.hull):
            windows = outlook.windows[WindowKey(zone.name, system.sheet.name, False)]
            notes.update(dict.fromkeys(windows.notes))
            duration = coat_slots(ashore, system, zone)
            zones.append(
                doc.ZoneSlots(
                    zone=zone.name,
                    product=system.sheet.name,
                    role=system.role,
                    coat_minutes=duration * SLOT_S // 60,
                    slots=_slots(windows, ashore, coats=system.coats, duration=duration),
                )
            )
    return doc.WindowsDocument(
        boat=ashore.job.boat.name,
        weather=weather_words(outlook),
        step_minutes=SLOT_S // 60,
        caution=ashore.job.plan.wishes.caution,
        zones=zones,
        notes=[*notes],
    )


def _slots(windows: ZoneWindows, ashore: Ashore, *, coats: int, duration: int) -> list[doc.SlotOut]:
    grid, zone = windows.grid, ZoneInfo(ashore.job.plan.yard.zone_name)
    times = [grid.time_of(mark).astimezone(zone) for mark in range(grid.count + 1)]
    may = windows.may_apply(duration).tolist()
    ready, until = windows.ready.late.tolist(), windows.overcoat_until.early.tolist()
    surface = np.round(windows.surface_c, 2).tolist()
    margin = np.round(windows.margin_k, 2).tolist()
    found = []
    for slot in range(grid.count):
        closed = None if may[slot] else _closed_by(windows, slot, duration)
        following = [
            doc.NextCoat(
                coat=coat, earliest_next=_at(times, grid, ready[slot]), latest_next=_at(times, grid, until[slot])
            )
            for coat in range(1, coats)
        ]
        found.append(
            doc.SlotOut(
                start=times[slot],
                surface_c=surface[slot],
                dew_c=round(surface[slot] - margin[slot], 2),
                margin_k=margin[slot],
                may_start=may[slot],
                closed_by=closed,
                if_finished_now=following,
            )
        )
    return found


def _at(times: Sequence[datetime], grid: Grid, mark: int) -> datetime | None:
    return times[mark] if mark <= grid.count else None


def _closed_by(windows: ZoneWindows, slot: int, duration: int) -> str:
    why = windows.why_not(slot, duration)
    if why is None or why.rule == Rule.OPEN:
        return "open, but not for long enough"
    return why.text


def weather_words(outlook: Outlook) -> str:
    """Where the weather comes from, in one line."""
    weather = outlook.weather
    return f"{weather.station}: {weather.source} ({weather.licence})"


def plan_document(ashore: Ashore, outlook: Outlook, planned: Planned) -> doc.PlanDocument:
    """The plan."""
    plan, zone = planned.plan, ZoneInfo(ashore.job.plan.yard.zone_name)
    digits = minor_digits(plan.currency)
    tasks = [
        doc.TaskOut(
            kind=task.kind,
            label=words_of(task),
            zone=task.zone,
            coat=task.coat,
            product=task.product,
            start=task.start.astimezone(zone),
            end=task.end.astimezone(zone),
            people=task.people,
            under_tent=task.under_tent,
            because=task.because,
            state=task.state,
        )
        for task in plan.tasks
    ]
    return doc.PlanDocument(
        boat=ashore.job.boat.name,
        job=ashore.job.plan.job_name,
        status=plan.status,
        cost=None if plan.cost_minor is None else Decimal(plan.cost_minor).scaleb(-digits),
        cost_minor=plan.cost_minor,
        currency=plan.currency,
        cost_lines=[doc.CostOut(what=line.what, amount_minor=line.amount_minor) for line in plan.cost_lines],
        haul_out=None if plan.haul_out is None else plan.haul_out.astimezone(zone),
        launch=None if plan.launch is None else plan.launch.astimezone(zone),
        options=[*plan.options],
        tasks=tasks,
        reasons=[*plan.reasons],
        ways_out=[*plan.ways_out],
        findings=[*dict.fromkeys((*plan.findings, *outlook.weather.findings))],
        cautions=cautions_out(cautions_for("plan")),
        weather=weather_words(outlook),
        gap_minor=gap_minor(plan),
        gap=gap_words(plan, day_charge_minor=ashore.job.plan.yard.day_charge_minor),
        checked=[*planned.check.checked],
        solver=doc.SolverOut(
            first_s=plan.report.first_s,
            proof_s=plan.report.proof_s,
            total_s=plan.report.total_s,
            bound_minor=plan.report.bound_minor,
            variables=plan.report.variables,
        ),
    )
