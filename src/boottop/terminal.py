"""What the terminal shows of a job: tables, findings, cautions, all on stderr."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from rich.markup import escape
from rich.table import Table

from boottop.base.clock import SLOT_S
from boottop.base.money import format_money
from boottop.coating.cautions import Caution, cautions_for
from boottop.coating.finding import Finding
from boottop.coating.scope import zones_for
from boottop.console import console, say
from boottop.files.calendar_file import is_begun, words_of
from boottop.files.document_of import coat_slots
from boottop.plan.calendar import said
from boottop.plan.gap import gap_words, proof_words
from boottop.plan.inputs import WindowKey
from boottop.plan.plan import Plan
from boottop.report.bands import runs
from boottop.workflow import Ashore, Outlook, Planned

SEVERITY_WORDS = {"stop": "STOP", "warn": "take care", "note": "note"}


def _table(title: str, columns: Sequence[str], *, numbers: Sequence[int] = ()) -> Table:
    table = Table(title=title, title_justify="left", title_style="bold", header_style="bold")
    for index, column in enumerate(columns):
        table.add_column(column, justify="right" if index in numbers else "left", overflow="fold")
    return table


def _row(table: Table, *cells: object) -> None:
    table.add_row(*(escape(str(cell)) for cell in cells))


def show_area(ashore: Ashore) -> None:
    """Zones and areas."""
    hull = ashore.hull
    table = _table(
        f"{ashore.job.boat.name}: the hull below the boot top", ("Zone", "Area, m2", "give or take", ""), numbers=(1, 2)
    )
    for zone in hull.zones:
        _row(table, zone.name, f"{zone.area_m2:.2f}", f"{zone.area_sd_m2:.2f}", "" if zone.coated else "stays bare")
    table.add_section()
    _row(table, "together", f"{hull.total_m2:.2f}", f"{hull.total_sd_m2:.2f}", "")
    console().print(table)
    say(f'Measured by {hull.method}. "Give or take" is one standard deviation.')
    _notes(hull.notes)


def show_order(ashore: Ashore) -> None:
    """What to buy, with findings and cautions."""
    order, currency = ashore.order, ashore.job.plan.currency
    table = _table(
        "The order",
        ("Coating", "for", "needed, L", "kits", "left over, L", "weight, kg", "price"),
        numbers=(2, 3, 4, 5, 6),
    )
    for line in order.orders:
        price = "" if line.cost_minor is None else format_money(line.cost_minor, currency)
        needed = f"{line.litres:.1f} +- {line.litres_sd:.1f}"
        _row(table, line.product, line.role, needed, line.kits, f"{line.left_l:.1f}", f"{line.freight_kg:.0f}", price)
    console().print(table)
    batches = _table(
        "Batches, one coat at a time",
        ("Coating", "Zone", "Area, m2", "batches", "each, L", "rolled in, min", "use within, min"),
        numbers=(2, 3, 4, 5, 6),
    )
    for line in order.orders:
        for coat in line.coats:
            if coat.coat == 1:
                b = coat.batches
                _row(
                    batches,
                    line.product,
                    coat.zone,
                    f"{coat.area_m2:.1f}",
                    b.batches,
                    f"{b.litres_each:.2f}",
                    f"{60 * b.roll_h_each:.0f}",
                    f"{60 * b.use_within_h:.0f}",
                )
    console().print(batches)
    small = _table("Consumables and protective gear", ("What", "How many", "Reckoned from"), numbers=(1,))
    for item in order.consumables:
        _row(small, item.what, f"{item.quantity:g} {item.unit}", item.because)
    console().print(small)
    say(f"Freight weight {order.freight_kg:.0f} kg.")
    _notes(order.assumptions)
    _findings(ashore.findings)
    _cautions(order.cautions)


def show_findings(ashore: Ashore) -> None:
    """The findings of `check`."""
    _notes((*ashore.job.notes, *ashore.hull.notes))
    _findings(ashore.findings)
    if not ashore.findings:
        say("Nothing was found. That is no permission: the data sheet, the yard and local code have the last word.")


def show_windows(ashore: Ashore, outlook: Outlook) -> None:
    """By zone and coating, from when until when the whole crew may start a coat, and which rule forbids it after that:
    dry and within the sheet till it is rolled, and no rain till it is rain-safe."""
    place = ZoneInfo(ashore.job.plan.yard.zone_name)
    for system in ashore.job.plan.systems:
        for zone in zones_for(system, ashore.hull):
            windows = outlook.windows[WindowKey(zone.name, system.sheet.name, False)]
            duration = coat_slots(ashore, system, zone)
            title = f"{zone.name}: a coat of {system.sheet.name}, {duration * SLOT_S // 60} min, may be started"
            table = _table(title, ("First to last start", "Hull, degC", "Dew margin, K", "After that"), numbers=(1, 2))
            for first, end in runs(windows.may_apply(duration)):
                worked = slice(first, end - 1 + duration)
                surface, margin = windows.surface_c[worked], windows.margin_k[worked]
                closed = windows.why_not(end, duration)
                _row(
                    table,
                    _span(windows.grid.time_of(first), windows.grid.time_of(end - 1), place),
                    f"{surface.min():.0f} to {surface.max():.0f}",
                    f"{margin.min():.1f} to {margin.max():.1f}",
                    "" if closed is None else closed.text,
                )
            console().print(table)
    say("The weather and the sheet alone: the hours of crew and yard, and the coat before, come on top in `plan`.")
    _notes((*outlook.weather.findings, *outlook.climate.notes))


def show_plan(ashore: Ashore, outlook: Outlook, planned: Planned) -> None:
    """The schedule, its price, and what it rests on."""
    plan, zone = planned.plan, ZoneInfo(ashore.job.plan.yard.zone_name)
    if not plan.tasks:
        _no_plan(plan)
        _notes((*outlook.weather.findings, *ashore.job.notes))
        return
    _tasks(plan, zone, days=outlook.grid.days)
    if gap := gap_words(plan, day_charge_minor=ashore.job.plan.yard.day_charge_minor):
        console().print(f"[bold]{escape(gap)}[/bold]", soft_wrap=True)
    bill = _table("What it costs", ("", plan.currency), numbers=(1,))
    for line in plan.cost_lines:
        _row(bill, line.what, format_money(line.amount_minor, plan.currency))
    _row(bill, "together", format_money(plan.cost_minor or 0, plan.currency))
    console().print(bill)
    _notes((*outlook.weather.findings, *ashore.job.notes, *plan.findings, *outlook.climate.notes))
    say(f"Read again from the raw weather and the sheets: {len(planned.check.checked)} rules, no fault.")
    _findings(ashore.findings)
    _cautions(cautions_for("plan"))


def _tasks(plan: Plan, zone: ZoneInfo, *, days: int) -> None:
    """The work, with its state in words once it has begun."""
    begun = ("State",) if is_begun(plan) else ()
    table = _table(headline(plan, zone, days=days), ("When", "Work", *begun, "What binds the start"))
    for task in plan.tasks:
        hands = f" ({task.people} people)" if task.people > 1 else ""
        state = (task.state,) if begun else ()
        _row(table, _span(task.start, task.end, zone), words_of(task) + hands, *state, task.because)
    console().print(table)


def headline(plan: Plan, zone: ZoneInfo, *, days: int) -> str:
    """The plan in one line; `days`: how many were looked at."""
    proven = proof_words(plan, days=days)
    if plan.launch is None or plan.haul_out is None or plan.cost_minor is None:
        return proven
    days = (plan.launch.astimezone(zone).date() - plan.haul_out.astimezone(zone).date()).days
    cost = format_money(plan.cost_minor, plan.currency)
    options = f", with {' and '.join(plan.options)}" if plan.options else ""
    times = f"Out {_when(plan.haul_out, zone)}, afloat {_when(plan.launch, zone)}"
    return f"{times}: {days} nights ashore, {cost}{options} ({proven})"


def _no_plan(plan: Plan) -> None:
    out = console()
    words = "No plan was found in the time given." if plan.status == "unknown" else "There is no plan in this weather."
    out.print(f"[bold]{words}[/bold]")
    for reason in plan.reasons:
        out.print(f"  why: {escape(reason)}", soft_wrap=True)
    for way in plan.ways_out:
        out.print(f"  way out: {escape(way)}", soft_wrap=True)
    if not plan.ways_out:
        out.print("  None of the changes that were tried gives a plan.")


def _span(start: datetime, end: datetime, zone: ZoneInfo) -> str:
    last = end.astimezone(zone)
    same_day = start.astimezone(zone).date() == last.date()
    return f"{_when(start, zone)} - {f'{last:%H:%M}' if same_day else said(last)}"


def _when(when: datetime, zone: ZoneInfo) -> str:
    return said(when.astimezone(zone))


def _notes(notes: Sequence[str]) -> None:
    for note in dict.fromkeys(notes):
        console().print(f"  note: {escape(note)}", soft_wrap=True)


def _findings(findings: Sequence[Finding]) -> None:
    out = console()
    for found in findings:
        style = "bold red" if found.severity == "stop" else "bold"
        out.print(
            f"[{style}]{SEVERITY_WORDS[found.severity]}[/]: {escape(f'{found.cause} {found.advice} ({found.source})')}",
            soft_wrap=True,
        )


def _cautions(cautions: Sequence[Caution]) -> None:
    out = console()
    out.print("[bold]Take care[/bold]")
    for caution in cautions:
        out.print(f"  {escape(caution.text)}", soft_wrap=True)
    deferred = dict.fromkeys(name for caution in cautions for name in caution.defers_to)
    out.print(f"  The last word has: {escape(', '.join(deferred))}.", soft_wrap=True)
