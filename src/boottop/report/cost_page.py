"""The cost as a self-contained page, and its body for the yard computer's page: no script, no outside file."""

from __future__ import annotations

from html import escape

from boottop.base.quantities import System
from boottop.report import cost_drawing as drawing
from boottop.report.cost_view import (
    SOURCES,
    CostView,
    burns_of,
    inputs_of,
    intervals_of,
    knots,
    lede_of,
    lines_of,
    turning_of,
    ways_of,
    yearly_of,
)
from boottop.report.packaged import packaged, template


def cost_page(view: CostView, *, system: System = "metric") -> str:
    """One HTML page to keep or to send."""
    title = escape(f"{view.facts.boat}: does it pay")
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{packaged('page.css')}</style></head><body><main><h1>{title}</h1>"
        f"{cost_body(view, system=system)}</main></body></html>\n"
    )


def cost_body(view: CostView, *, system: System = "metric") -> str:
    """All below the heading, as markup."""
    decision = view.decision
    at_cruise = [] if view.sheet.fuel is None else [
        one for one in view.burns if one.speed_m_s == view.sheet.fuel.cruise_m_s
    ]  # fmt: skip
    cruise = "" if view.sheet.fuel is None else knots(view.sheet.fuel.cruise_m_s)
    rows = ways_of(view)
    return template("cost.html.j2").render(
        checked=view.sheet.checked,
        lede=lede_of(view),
        ways=rows,
        years=decision.case.horizon_years,
        currency=decision.case.currency,
        reference=decision.case.reference,
        draws=f"{decision.draws:,}".replace(",", " "),
        seed=decision.seed,
        turning=turning_of(view),
        inputs=inputs_of(view),
        carried=[
            {"letter": row["letter"], "name": one.name, "lines": lines_of(view, one)}
            for row, one in zip(rows, decision.outcomes, strict=True)
        ],
        best=decision.best,
        rival=decision.rival,
        groups=drawing.draw_groups(decision),
        by_year=drawing.draw_years(decision),
        spread=drawing.draw_spread(decision),
        tornado=drawing.draw_tornado(decision) if decision.swings else "",
        intervals=intervals_of(view),
        yearly=yearly_of(view, system),
        cruise=cruise,
        burn=drawing.draw_burn(at_cruise, cruise),
        burns=burns_of(view, system),
        notes=decision.case.notes,
        sources=SOURCES,
    )
