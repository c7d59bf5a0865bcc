"""The plan as one self-contained HTML page: no script, no outside file, everything escaped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from boottop.base.money import format_money
from boottop.coating.cautions import Caution, cautions_for
from boottop.coating.mixing import BatchCard, card_for_kits
from boottop.coating.takeoff import SystemOrder
from boottop.files.calendar_file import STATE_MARKS, is_begun, words_of
from boottop.files.document_of import cautions_out, weather_words
from boottop.measure.hull import Hull
from boottop.plan.calendar import said
from boottop.plan.gap import gap_words, proof_words
from boottop.plan.plan import Plan
from boottop.report.drawing import COLOUR_WORDS, colour_of, drawing_of
from boottop.report.packaged import packaged, template
from boottop.report.typeset import ROLE_WORDS, typeset
from boottop.workflow import Ashore, Outlook, Planned

Cells = dict[str, str]


@dataclass(frozen=True, kw_only=True)
class PageView:
    """All that the template prints, already in words."""

    title: str
    lede: str
    facts: Sequence[tuple[str, str]]
    provenance: str
    contents: Sequence[tuple[str, str]]
    zone_name: str
    reasons: Sequence[str]
    ways_out: Sequence[str]
    drawing: str
    row_names: Sequence[tuple[str, int]]
    legend: Sequence[tuple[str, str]]
    colours: Sequence[tuple[str, str]]
    tasks: Sequence[Cells]
    begun: bool
    idle: Sequence[Cells]
    cost_lines: Sequence[tuple[str, str]]
    cost: str
    area_method: str
    zones: Sequence[Cells]
    hull_notes: Sequence[str]
    coatings: Sequence[Cells]
    consumables: Sequence[Cells]
    cards: Sequence[dict[str, object]]
    findings: Sequence[str]
    cautions: Sequence[str]
    last_word: str
    sources: Sequence[str]


def plan_page(ashore: Ashore, outlook: Outlook, planned: Planned) -> str:
    """The page as HTML text."""
    view = _view(ashore, outlook, planned)
    return template("plan.html.j2", _printed).render(v=view, css=packaged("page.css"))


def _printed(value: object) -> object:
    """Every text of the page in print; what is markup already stays."""
    return typeset(value) if type(value) is str else value


def _view(ashore: Ashore, outlook: Outlook, planned: Planned) -> PageView:
    plan, job = planned.plan, ashore.job
    drawing = drawing_of(ashore, outlook, plan)
    return PageView(
        title=f"{job.boat.name}: {job.plan.job_name}",
        lede=_lede(plan, ashore, days=outlook.grid.days),
        facts=_facts(plan, ashore),
        provenance=f"Weather: {outlook.weather.station}; source and licence stand at the end.",
        contents=_contents(plan),
        zone_name=job.plan.yard.zone_name,
        reasons=plan.reasons,
        ways_out=plan.ways_out,
        tasks=_tasks(plan, ashore),
        begun=is_begun(plan),
        idle=_idle(plan, ashore),
        cost_lines=[(line.what, format_money(line.amount_minor, plan.currency)) for line in plan.cost_lines],
        cost="" if plan.cost_minor is None else format_money(plan.cost_minor, plan.currency),
        findings=_findings(ashore, outlook, plan),
        cautions=[caution.text for caution in _cautions(ashore)],
        last_word=", ".join(dict.fromkeys(name for caution in _cautions(ashore) for name in caution.defers_to)),
        sources=_sources(ashore, outlook, planned),
        drawing=drawing.svg,
        row_names=drawing.row_names,
        legend=drawing.legend,
        colours=[(name, words) for name, words in COLOUR_WORDS.items() if name in drawing.colours],
        area_method=f"Measured by {ashore.hull.method}. “Give or take” is one standard deviation.",
        zones=_zones(ashore.hull),
        hull_notes=ashore.hull.notes,
        coatings=[_order_row(line, ashore) for line in ashore.order.orders],
        consumables=[
            {"item": item.what, "quantity": f"{item.quantity:g} {item.unit}", "for_what": item.because}
            for item in ashore.order.consumables
        ],
        cards=[_card(line, ashore) for line in ashore.order.orders],
    )


def _lede(plan: Plan, ashore: Ashore, *, days: int) -> str:
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    if plan.launch is None or plan.haul_out is None:
        return "There is no plan under these rules in this weather." if plan.status == "infeasible" else "No plan yet."
    proof = (
        f"P{proof_words(plan, days=days)[1:]}: no cheaper plan exists under these rules and this weather, and none as "
        "cheap is earlier."
    )
    if plan.status != "optimal":
        proof = gap_words(plan, day_charge_minor=ashore.job.plan.yard.day_charge_minor)
    out, afloat = (said(when.astimezone(zone)) for when in (plan.haul_out, plan.launch))
    return f"Out of the water on {out}, afloat again on {afloat}. {proof}"


def _facts(plan: Plan, ashore: Ashore) -> list[tuple[str, str]]:
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    facts = [("Hull below the boot top", f"{ashore.hull.total_m2:.1f} m² ± {ashore.hull.total_sd_m2:.1f}")]
    if plan.launch is not None and plan.haul_out is not None and plan.cost_minor is not None:
        nights = (plan.launch.astimezone(zone).date() - plan.haul_out.astimezone(zone).date()).days
        facts += [
            ("Nights ashore", str(nights)),
            ("Yard, hire and hours", format_money(plan.cost_minor, plan.currency)),
            ("Hired", ", ".join(plan.options) or "nothing"),
        ]
    if ashore.order.cost_minor is not None:
        facts.append(("Coatings", format_money(ashore.order.cost_minor, ashore.job.plan.currency)))
    return facts


def _contents(plan: Plan) -> list[tuple[str, str]]:
    every = [("days", "The days"), ("areas", "The hull"), ("order", "The order"), ("cards", "Batch cards")]
    if plan.tasks:
        every[1:1] = [("work", "The work"), ("money", "The cost")]
    else:
        every.insert(0, ("why", "Why there is no plan"))
    return [*every, ("care", "Take care"), ("sources", "What this rests on")]


def _tasks(plan: Plan, ashore: Ashore) -> list[Cells]:
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    return [
        {
            "start": said(task.start.astimezone(zone)),
            "end": said(task.end.astimezone(zone)),
            "words": words_of(task) + (" (under the tent)" if task.under_tent else ""),
            "people": str(task.people or ""),
            "state": STATE_MARKS[task.state] + task.state,
            "because": task.because,
            "colour": colour_of(task, ashore.hull),
        }
        for task in plan.tasks
    ]


def _idle(plan: Plan, ashore: Ashore) -> list[Cells]:
    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    by_key = {task.key: words_of(task) for task in plan.tasks}
    return [
        {
            "start": said(idle.start.astimezone(zone)),
            "end": said(idle.end.astimezone(zone)),
            "zone": by_key.get(idle.waits, idle.waits),
            "rule": idle.because,
            "needed": "" if idle.needed is None else f"{idle.needed:.3g} {idle.unit}",
            "had": "" if idle.had is None else f"{idle.had:.3g} {idle.unit}",
        }
        for idle in plan.unused
    ]


def _zones(hull: Hull) -> list[Cells]:
    rows = [
        {
            "name": zone.name,
            "substrate": zone.substrate.replace("_", " "),
            "area": f"{zone.area_m2:.2f}",
            "sd": f"{zone.area_sd_m2:.2f}",
            "note": "" if zone.coated else "stays bare",
        }
        for zone in hull.zones
    ]
    together = {"area": f"{hull.total_m2:.2f}", "sd": f"{hull.total_sd_m2:.2f}"}
    return [*rows, {"name": "together", "substrate": "", "note": "", **together}]


def _order_row(line: SystemOrder, ashore: Ashore) -> Cells:
    currency = ashore.job.plan.currency
    return {
        "product": line.product,
        "role": ROLE_WORDS[line.role],
        "coats": str(max(coat.coat for coat in line.coats)),
        "litres": f"{line.litres:.1f} ± {line.litres_sd:.1f}",
        "kits": str(line.kits),
        "left_over": f"{line.left_l:.1f}",
        "mass": f"{line.freight_kg:.0f}",
        "price": "" if line.cost_minor is None else format_money(line.cost_minor, currency),
    }


def _card(line: SystemOrder, ashore: Ashore) -> dict[str, object]:
    system = next(system for system in ashore.job.plan.systems if system.sheet.name == line.product)
    facts = ashore.job.coating
    kits = max(coat.batches.kits_each for coat in line.coats)
    card: BatchCard = card_for_kits(system.sheet, kits, batch_c=facts.batch_c, usable_pot_life=facts.usable_pot_life)
    minutes = f"use within {60 * card.use_within_h:.0f} min at {facts.batch_c:.0f} °C"
    return {
        "title": f"{card.product}: one batch of {card.mix_l:.2f} L, {card.measure}, {minutes}",
        "parts": [
            {"name": part.part, "litres": f"{part.litres:.3f}", "grams": f"{part.grams:.0f}"} for part in card.lines
        ],
        "steps": [*card.steps, *cautions_out(card.cautions)],
    }


def _findings(ashore: Ashore, outlook: Outlook, plan: Plan) -> list[str]:
    words = {"stop": "STOP. ", "warn": "Take care: ", "note": ""}
    found = [f"{words[f.severity]}{f.cause} {f.advice} ({f.source})" for f in ashore.findings]
    assumed = _assumed(outlook)
    return [*found, *(finding for finding in plan.findings if finding not in assumed)]


def _assumed(outlook: Outlook) -> list[str]:
    """What climate and windows took for granted, each once."""
    around = (outlook.climate, *((outlook.tent,) if outlook.tent is not None else ()), *outlook.windows.values())
    return list(dict.fromkeys(note for one in around for note in one.notes))


def _cautions(ashore: Ashore) -> list[Caution]:
    """Those of the plan and of the order, each once."""
    return list(dict.fromkeys((*cautions_for("plan"), *ashore.order.cautions)))


def _sources(ashore: Ashore, outlook: Outlook, planned: Planned) -> list[str]:
    report = planned.plan.report
    lines = [f"Weather: {weather_words(outlook)}.", *ashore.job.notes, *outlook.weather.findings, *_assumed(outlook)]
    if planned.check.checked:
        lines.append(
            "Read again from the raw weather and the printed sheets: " + "; ".join(planned.check.checked) + "."
        )
    lines.append(f"The search took {report.total_s:.1f} s over {report.variables} yes-or-no and time variables.")
    return list(dict.fromkeys(lines))
