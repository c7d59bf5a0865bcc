"""A study of the odds as one self-contained page: pictures, the numbers behind them, and what they rest on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from importlib import resources
from itertools import count
from typing import TYPE_CHECKING

from boottop.base.money import format_money
from boottop.files.odds_json import FileOut, OddsDocument, PlaceOut
from boottop.plan.odds_names import POLICIES
from boottop.plan.odds_reasons import REASONS
from boottop.plan.odds_result import Line, OptionOdds, PlaceOdds
from boottop.plan.odds_table import week_label
from boottop.report.odds_of import placed
from boottop.report.odds_picture import PAGE, PAGE_CSS, options_svg, percent, weeks_svg

if TYPE_CHECKING:
    from jinja2 import Template

Cells = dict[str, str]


def odds_page(document: OddsDocument) -> str:
    """The page as HTML text: no script, no outside file, everything escaped."""
    title = f"{document.boat}: when to haul, and how sure"
    return _template("odds.html.j2").render(css=_packaged("page.css") + PAGE_CSS, title=title, body=odds_body(document))


def odds_body(document: OddsDocument) -> str:
    """All below the heading, as markup."""
    numbers = count(1)
    return _template("odds_body.html.j2").render(
        places=[_place(place, document, numbers) for place in document.places],
        target=document.target_days,
        week=document.week_of,
        reasons=REASONS,
        policies=list(POLICIES.values()),
        horizon=document.horizon_days,
        skill=f"{100 * document.forecast_skill:.0f}",
        seed=document.seed,
    )


def _place(place: PlaceOut, document: OddsDocument, numbers: Iterator[int]) -> dict[str, object]:
    odds, currency = placed(place, document), document.currency
    rows = odds.options[0].best.weeks
    at = f"{place.name}, " if len(document.places) > 1 else ""
    return {
        "name": place.name,
        "lede": lede(odds),
        "picture": _apart(options_svg(odds, currency=currency, palette=PAGE), next(numbers)),
        "options": [row for option in odds.options for row in _option_rows(option, odds, currency)],
        "weeks": [_weeks(option, currency, at=at, number=next(numbers)) for option in odds.options],
        "days": sorted(rows[0].within) if rows else [],
        "files": [_file(file) for file in place.files],
        "notes": place.notes,
        "years": len(odds.years),
    }


def lede(odds: PlaceOdds) -> str:
    """The study of a place in a sentence or two."""
    if not odds.years:
        return "No start could be walked."
    span = f"{odds.years[0]}" if len(odds.years) == 1 else f"{odds.years[0]} to {odds.years[-1]}"
    several = "year" if len(odds.years) == 1 else "years"
    doubt = (
        "One year says nothing of how years differ: no interval is given."
        if len(odds.years) == 1
        else f"Intervals are the middle 90 % of draws of whole years from {len(odds.years)}; "
        + ("so few years make them too narrow rather than too wide." if len(odds.years) < 10 else "years differ.")
    )
    return f"{odds.starts} starts walked through {len(odds.years)} {several} of weather ({span}). {doubt}"


def _option_rows(option: OptionOdds, odds: PlaceOdds, currency: str) -> list[Cells]:
    named = (("knows the weather of the day", option.best), ("has only its forecast", option.forecast),
             ("chooses with hindsight", option.hindsight))  # fmt: skip
    return [
        {
            "option": option.option.label,
            "who": who,
            "how": line.label,
            **_cells(line, odds.question.target_days, currency=currency),
        }
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
        "cost": f"{least}{format_money(row.cost_minor.value, currency, whole=True)}",
        "spoilt": f"{row.spoilt:.2f}" if row.spoilt else "",
    }


def _weeks(option: OptionOdds, currency: str, *, at: str, number: int) -> dict[str, object]:
    title = f"{at}{option.option.label}: {option.best.label}"
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
                "cost": f"{least}{format_money(row.cost_minor.value, currency, whole=True)}",
                "lost": [f"{row.lost[name]:.1f}" if known else "-" for name in REASONS],
            }
        )
    return {"title": title, "picture": _apart(weeks_svg(option.best, title=title, palette=PAGE), number), "rows": rows}


def _apart(svg: str, number: int) -> str:
    """The picture with its patterns under names of their own: a page holds several."""
    return re.sub(r'(id="|url\(#)(hatch|dots|cross)', rf"\g<1>\g<2>-{number}", svg)


def _file(file: FileOut) -> dict[str, object]:
    missing = ", ".join(f"{name} {hours} h" for name, hours in file.missing_h.items() if hours)
    return {
        "name": f"{file.name}, {file.station} ({file.source})",
        "licence": file.licence,
        "missing": missing or "nothing",
        "stretches": file.stretches,
        "refused": file.refused,
        "years": [
            f"{one.year}: {one.walked} of {one.wanted} start days walked"
            + (f", {one.left_out} left out" if one.left_out else "")
            for one in file.years
        ],
        "findings": file.findings,
    }


def _packaged(name: str) -> str:
    return resources.files("boottop.report").joinpath("templates", name).read_text(encoding="utf-8")


@lru_cache(maxsize=4)
def _template(name: str) -> Template:
    from jinja2 import Environment, StrictUndefined

    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return environment.from_string(_packaged(name))
