"""What the terminal shows of a study of the odds."""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from rich import box
from rich.markup import escape
from rich.table import Table

from boottop.base.money import format_money
from boottop.choose_work import Choices
from boottop.console import console, say
from boottop.odds_ask import Answer, FileRead, PlaceAnswer
from boottop.plan.calendar import day_said, said
from boottop.plan.choose_pick import Difference, Rated
from boottop.plan.odds_names import POLICIES
from boottop.plan.odds_result import OptionOdds, PlaceOdds
from boottop.plan.odds_table import Interval, week_label


def show_odds(answer: Answer) -> None:
    """Place by place the options for the week asked about, the weeks of each, and what it all rests on."""
    for place in answer.places:
        _show_place(place, answer)
    horizon = answer.ask.study.horizon_days
    say(
        '"knows": a crew that knows the weather of the day; "forecast": one that has only its forecast; "hindsight": '
        f"the best policy at every start. A start not afloat within {horizon} days counts as never."
    )
    for policy in dict.fromkeys(way.policy for way in answer.ask.study.ways):
        say(f"  {policy.replace('_', ' ')}: {POLICIES[policy]}")


def _show_place(place: PlaceAnswer, answer: Answer) -> None:
    odds, currency = place.odds, answer.ashore.job.plan.currency
    years = f"{odds.years[0]}" if len(odds.years) == 1 else f"{odds.years[0]} to {odds.years[-1]}"
    say(f"{odds.place}: {odds.starts} starts in {len(odds.years)} year{'s' * (len(odds.years) != 1)} ({years})")
    _show_options(odds, currency)
    for option in odds.options:
        _show_weeks(option, currency)
    for read in place.files:
        _show_coverage(read)
    for note in place.notes:
        say(f"- {note}")


def _show_options(odds: PlaceOdds, currency: str) -> None:
    target = odds.question.target_days
    title = f"Options for a start in the week of {week_label(odds.question.week)}"
    table = _table(title, ("Option", "crew", f"in {target} d", "never", "ashore", "cost"))
    for option in odds.options:
        for who, line in (("knows", option.best), ("forecast", option.forecast), ("hindsight", option.hindsight)):
            how = f"{who}: {line.short}"
            if line.here is None:
                table.add_row(option.option.label, how, "no start of that week", "", "", "")
                continue
            row = line.here
            least = ">= " if row.never.value > 0 else ""
            cost = f"{least}{format_money(row.cost_minor.value, currency, whole=True)}"
            ashore = f"{least}{row.ashore.value:.1f}"
            table.add_row(option.option.label, how, percent(row.within[target]), percent(row.never), ashore, cost)
    console().print(table)


def _table(title: str, columns: Sequence[str]) -> Table:
    table = Table(title=title, title_justify="left", title_style="bold", header_style="bold", box=box.SIMPLE_HEAD)
    for column in columns:
        table.add_column(column, overflow="fold")
    return table


def _show_weeks(option: OptionOdds, currency: str) -> None:
    """Chances in per cent; the intervals stand on the page and in the JSON."""
    days = sorted(option.best.weeks[0].within) if option.best.weeks else []
    title = f"{option.option.label}, {option.best.short}: per cent afloat within so many days"
    table = _table(title, ("week", *(str(d) for d in days), "never", "days", "cost", "n", "lost most to"))
    for row in option.best.weeks:
        least = ">=" if row.never.value > 0 else ""
        worst = max(row.lost, key=lambda name: row.lost[name])
        lost = f"{worst} {row.lost[worst]:.1f} d" if row.lost[worst] > 0 else ""
        table.add_row(
            week_label(row.week),
            *(f"{100 * row.within[d].value:.0f}" for d in days),
            f"{100 * row.never.value:.0f}",
            f"{least}{row.ashore.value:.0f}",
            least + format_money(row.cost_minor.value, currency, whole=True).removesuffix(currency).rstrip(),
            str(row.never.starts),
            lost,
        )
    console().print(table)


def _show_coverage(read: FileRead) -> None:
    stretches = read.stretches
    missing = ", ".join(f"{name} {hours} h" for name, hours in stretches.missing_h.items() if hours)
    count = len(stretches.weathers)
    pieces = "1 stretch" if count == 1 else f"{count} stretches"
    say(f"{read.name}: {pieces} without a hole; missing: {missing or 'nothing'}")
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


def show_choices(choices: Choices) -> None:
    """The pick, the table, what one change buys, and how sure that is."""
    chosen, currency = choices.chosen, choices.ashore.job.plan.currency
    members, borne = len(choices.members), 100 * chosen.risk_share
    say(f"{members} members; late is a launch after {day_said(choices.deadline)}; risk borne {borne:g} %")
    for line in verdict(choices):
        say(line)
    table = _table("Choices, least often late first", ("choice", "late", "at most", "cost", "+-", "how"))
    for one in chosen.table[:12]:
        table.add_row(
            choice_label(choices, one),
            f"{one.late} of {one.members}",
            f"{100 * one.late_at_most_share:.0f} %",
            f"{'>= ' if one.never else ''}{format_money(one.cost_minor, currency)}",
            format_money(one.cost_sd_minor, currency),
            escape(one.candidate.policy.replace("_", " ")),
        )
    console().print(table)
    say("What one change does, on the same members:")
    for step in chosen.against:
        say(f"  {difference_said(choices, step)}")
    say("What money buys, from the cheapest choice up:")
    for step in chosen.frontier:
        say(f"  {difference_said(choices, step, whole=True)}")


def verdict(choices: Choices) -> list[str]:
    """The answer in sentences."""
    chosen, currency = choices.chosen, choices.ashore.job.plan.currency
    if chosen.pick is None:
        safest = chosen.safest
        return [
            f"No choice is late in so few members. The least often late is: {choice_label(choices, safest)}, late in "
            f"{safest.late} of {safest.members}, {format_money(safest.cost_minor, currency)}."
        ]
    pick = chosen.pick
    lines = [
        f"Choose: {choice_label(choices, pick)}; {POLICIES[pick.candidate.policy]}. Late in {pick.late} of "
        f"{pick.members}, {format_money(pick.cost_minor, currency)} in the mean.",
        f"So few members leave room for doubt: the chance to be late may be as high as "
        f"{100 * pick.late_at_most_share:.0f} % (Clopper-Pearson, upper end of 95 %).",
    ]
    if pick.late_at_most_share > chosen.risk_share:
        lines.append(
            f"To be sure of {100 * chosen.risk_share:g} % at that confidence: {choice_label(choices, chosen.sure)}."
            if chosen.sure is not None
            else f"No choice is proven to keep {100 * chosen.risk_share:g} % with {pick.members} members."
        )
    return lines


def choice_label(choices: Choices, one: Rated) -> str:
    """A choice in words: "haul out Mon 25 Apr 08:00, port first, tent"."""
    zone = ZoneInfo(choices.ashore.job.plan.yard.zone_name)
    when = said(choices.haul_times[one.candidate.haul].astimezone(zone))
    extras = [word for word, taken in (("tent", one.candidate.tent), ("helper", one.candidate.helper)) if taken]
    return ", ".join([f"haul out {when}", f"{one.candidate.first} first", *extras])


def difference_said(choices: Choices, step: Difference, *, whole: bool = False) -> str:
    """What a choice buys against another: "the tent: 14 points of certainty for 310.00 EUR"."""
    currency = choices.ashore.job.plan.currency
    base = choices.chosen.pick or choices.chosen.safest
    what = choice_label(choices, step.other) if whole else change_said(choices, base, step.other)
    cost = format_money(abs(step.cost_minor), currency)
    error = "" if step.error_minor is None else f" +- {format_money(step.error_minor, currency)}"
    if step.points == 0 and step.cost_minor == 0:
        own = format_money(step.other.cost_minor, currency)
        return f"{what}: {step.other.late} of {step.other.members} late; {own}"
    price = f"costs {cost}{error} more" if step.cost_minor > 0 else f"saves {cost}{error}"
    if step.points > 0 and step.cost_minor > 0:
        return f"{what}: {step.points:.0f} points of certainty for {cost}{error}"
    points = f"{abs(step.points):.0f} points {'more' if step.points >= 0 else 'less'} certain"
    return f"{what}: {points}, {price}"


def change_said(choices: Choices, base: Rated, other: Rated) -> str:
    """The one thing in which two choices differ."""
    one, was = other.candidate, base.candidate
    if one.tent != was.tent:
        return "the tent" if one.tent else "without the tent"
    if one.helper != was.helper:
        return "the helper" if one.helper else "without the helper"
    if one.first != was.first:
        return f"{one.first} first"
    zone = ZoneInfo(choices.ashore.job.plan.yard.zone_name)
    return f"haul out {said(choices.haul_times[one.haul].astimezone(zone))}"
