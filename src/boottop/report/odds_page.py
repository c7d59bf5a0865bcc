"""A study of the odds as one self-contained page: pictures, the numbers behind them, and what they rest on."""

from __future__ import annotations

from boottop.base.money import format_money
from boottop.odds_ask import Answer, FileRead
from boottop.plan.odds_names import POLICIES
from boottop.plan.odds_reasons import REASONS
from boottop.plan.odds_result import Line, OptionOdds
from boottop.plan.odds_table import week_label
from boottop.report.odds_picture import PAGE, PAGE_CSS, options_svg, percent, weeks_svg
from boottop.report.packaged import packaged, template

Cells = dict[str, str]


def odds_page(answer: Answer) -> str:
    """The page as HTML text: no script, no outside file, everything escaped."""
    odds, currency = answer.odds, answer.ashore.job.plan.currency
    return template("odds.html.j2").render(
        css=packaged("page.css") + PAGE_CSS,
        title=f"{answer.ashore.job.boat.name}: when to haul, and how sure",
        lede=lede(answer),
        target=odds.question.target_days,
        week=week_label(odds.question.week),
        options_picture=options_svg(odds, currency=currency, palette=PAGE),
        options=[row for option in odds.options for row in _option_rows(option, answer)],
        weeks=[_weeks(option, currency) for option in odds.options],
        days=sorted({*odds.question.within, odds.question.target_days}),
        reasons=REASONS,
        policies=list(POLICIES.values()),
        years=len(odds.years),
        horizon=odds.horizon_days,
        skill=f"{100 * answer.ask.study.skill_share:.0f}",
        seed=odds.question.seed,
        files=[_file(read) for read in answer.files],
        notes=answer.notes,
    )


def lede(answer: Answer) -> str:
    """The study in a sentence or two."""
    odds = answer.odds
    span = f"{odds.years[0]}" if len(odds.years) == 1 else f"{odds.years[0]} to {odds.years[-1]}"
    several = "year" if len(odds.years) == 1 else "years"
    doubt = (
        "One year says nothing of how years differ: no interval is given."
        if len(odds.years) == 1
        else f"Intervals are the middle 90 % of draws of whole years from {len(odds.years)}; "
        + ("so few years make them too narrow rather than too wide." if len(odds.years) < 10 else "years differ.")
    )
    return f"{odds.starts} starts walked through {len(odds.years)} {several} of weather ({span}). {doubt}"


def _option_rows(option: OptionOdds, answer: Answer) -> list[Cells]:
    target, currency = answer.odds.question.target_days, answer.ashore.job.plan.currency
    named = (("knows the weather of the day", option.best), ("has only its forecast", option.forecast),
             ("chooses with hindsight", option.hindsight))  # fmt: skip
    return [
        {"option": option.option.label, "who": who, "how": line.label, **_cells(line, target, currency=currency)}
        for who, line in named
    ]


def _cells(line: Line, target: int, *, currency: str) -> Cells:
    row = line.here
    if row is None:
        return {"chance": "no start of that week", "never": "", "ashore": "", "cost": "", "spoilt": ""}
    least = "at least " if row.never.value > 0 else ""
    return {
        "chance": percent(row.within[target]),
        "never": percent(row.never),
        "ashore": f"{least}{row.ashore.value:.1f}",
        "cost": f"{least}{format_money(round(row.cost_minor.value), currency)}",
        "spoilt": f"{row.spoilt:.2f}" if row.spoilt else "",
    }


def _weeks(option: OptionOdds, currency: str) -> dict[str, object]:
    title = f"{option.option.label}: {option.best.label}"
    rows = []
    for row in option.best.weeks:
        least = "at least " if row.never.value > 0 else ""
        known = row.lost["rain"] == row.lost["rain"]
        rows.append(
            {
                "week": week_label(row.week),
                "starts": str(row.never.starts),
                "years": str(row.never.years),
                "within": [percent(row.within[day]) for day in sorted(row.within)],
                "never": percent(row.never),
                "ashore": f"{least}{row.ashore.value:.1f}",
                "cost": f"{least}{format_money(round(row.cost_minor.value), currency)}",
                "lost": [f"{row.lost[name]:.1f}" if known else "-" for name in REASONS],
            }
        )
    return {"title": title, "picture": weeks_svg(option.best, title=title, palette=PAGE), "rows": rows}


def _file(read: FileRead) -> dict[str, object]:
    stretches = read.stretches
    missing = ", ".join(f"{name} {hours} h" for name, hours in stretches.missing_h.items() if hours)
    return {
        "name": f"{read.name}, {stretches.station} ({stretches.source})",
        "licence": stretches.weathers[0].licence,
        "missing": missing or "nothing",
        "stretches": len(stretches.weathers),
        "refused": stretches.refused,
        "years": [
            f"{one.year}: {one.walked} of {one.wanted} start days walked"
            + (f", {one.left_out} left out" if one.left_out else "")
            for one in read.coverage
        ],
        "findings": stretches.findings,
    }
