"""What the terminal shows of a study of the odds."""

from __future__ import annotations

from rich.markup import escape
from rich.table import Table

from boottop.base.money import format_money
from boottop.console import console, say
from boottop.odds_ask import Answer, FileRead
from boottop.plan.odds_result import OptionOdds
from boottop.plan.odds_table import Interval, week_label


def show_odds(answer: Answer) -> None:
    """Options side by side for the week asked about, the weeks of each, and what it all rests on."""
    odds, currency = answer.odds, answer.ashore.job.plan.currency
    years = f"{odds.years[0]}" if len(odds.years) == 1 else f"{odds.years[0]} to {odds.years[-1]}"
    say(f"{odds.place}: {odds.starts} starts in {len(odds.years)} year{'s' * (len(odds.years) != 1)} ({years})")
    _show_options(answer)
    for option in odds.options:
        _show_weeks(option, currency)
    for read in answer.files:
        _show_coverage(read)
    for note in answer.notes:
        say(f"- {note}")


def _show_options(answer: Answer) -> None:
    odds, currency = answer.odds, answer.ashore.job.plan.currency
    target = odds.question.target_days
    table = Table(title=f"Options for a start in the week of {week_label(odds.question.week)}", title_justify="left")
    for column in ("Option", "crew", "how", f"afloat within {target} days", "never", "days ashore", "cost"):
        table.add_column(column, overflow="fold")
    for option in odds.options:
        knows = ("knows the weather", "has its forecast", "hindsight")
        for who, line in zip(knows, (option.best, option.forecast, option.hindsight), strict=True):
            if line.here is None:
                table.add_row(option.option.label, who, line.label, "no start of that week", "", "", "", "")
                continue
            row = line.here
            least = ">= " if row.never.value > 0 else ""
            table.add_row(
                option.option.label,
                who,
                escape(line.label),
                percent(row.within[target]),
                percent(row.never),
                f"{least}{row.ashore.value:.1f}",
                f"{least}{format_money(round(row.cost_minor.value), currency)}",
            )
    console().print(table)


def _show_weeks(option: OptionOdds, currency: str) -> None:
    days = sorted(option.best.weeks[0].within) if option.best.weeks else []
    table = Table(title=f"{option.option.label}: {option.best.label}", title_justify="left")
    for column in ("week of", *(f"{d} d" for d in days), "never", "days ashore", "cost", "starts", "lost most to"):
        table.add_column(column, overflow="fold")
    for row in option.best.weeks:
        least = ">= " if row.never.value > 0 else ""
        worst = max(row.lost, key=lambda name: row.lost[name])
        lost = f"{worst} ({row.lost[worst]:.1f} d)" if row.lost[worst] > 0 else ""
        table.add_row(
            week_label(row.week),
            *(percent(row.within[d]) for d in days),
            percent(row.never),
            f"{least}{row.ashore.value:.1f}",
            f"{least}{format_money(round(row.cost_minor.value), currency)}",
            str(row.never.starts),
            lost,
        )
    console().print(table)


def _show_coverage(read: FileRead) -> None:
    stretches = read.stretches
    missing = ", ".join(f"{name} {hours} h" for name, hours in stretches.missing_h.items() if hours)
    say(f"{read.name}: {len(stretches.weathers)} stretches without a hole; missing: {missing or 'nothing'}")
    for year in read.coverage:
        if year.left_out:
            say(
                f"  {year.year}: {year.walked} of {year.wanted} start days walked; {year.left_out} left out: the "
                "weather has a hole or ends within their horizon"
            )
    for finding in stretches.findings:
        say(f"  {finding}")


def percent(interval: Interval) -> str:
    """A share with its interval: "62 % (48-77)", without where one year is all there is."""
    value = f"{100 * interval.value:.0f} %"
    if interval.low is None or interval.high is None:
        return value
    return f"{value} ({100 * interval.low:.0f}-{100 * interval.high:.0f})"
