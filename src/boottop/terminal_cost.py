"""What the terminal shows of the cost and of the proof, on stderr."""

from __future__ import annotations

from rich.markup import escape
from rich.table import Table

from boottop.console import console, say
from boottop.money.proof import Proof
from boottop.report.cost_view import MEASURE_WORDS, CostView, intervals_of, lede_of, turning_of, yearly_of
from boottop.report.cost_words import break_even_words, in_unit, round_money


def show_cost(view: CostView) -> None:
    """The comparison: each way, what carries it, what would turn it."""
    facts, decision, case = view.facts, view.decision, view.decision.case
    table = _table(
        f"{facts.boat}: {case.horizon_years} years, {case.currency} of today, discounted",
        ("", "costs", "5 to 95 %", "a year", f"saves against {case.reference}", "ahead from", "cheapest in"),
    )
    for one in decision.outcomes:
        low, _, high = one.spread_minor
        table.add_row(
            escape(one.name),
            round_money(one.likely_minor, case.currency),
            f"{round_money(low, case.currency)} to {round_money(high, case.currency)}",
            round_money(one.annual_minor, case.currency),
            "" if one.name == case.reference else round_money(one.saving_minor, case.currency),
            escape(break_even_words(one, case)),
            f"{one.cheapest_share:.0%}" if one.choice else "compared only",
        )
    console().print(table)
    for one in decision.outcomes:
        lines = _table(f"What carries: {one.name}", ("", "times", "in all, today's money", "discounted"))
        for line in one.lines:
            if line.paid_minor:
                lines.add_row(
                    escape(line.what),
                    f"{line.times_factor:.3g}",
                    round_money(line.paid_minor, case.currency),
                    round_money(line.worth_minor, case.currency),
                )
        if one.back_minor:
            lines.add_row("Unused life of the last renewal", "", "", round_money(one.back_minor, case.currency))
        console().print(lines)
    _turning(view)
    for row in intervals_of(view):
        say(f"{row['name']}: {row['best']} between renewals cost least, as far as the film lasts ({row['span']}).")
    for row in yearly_of(view, "metric"):
        say(f"{row['name']}: {row['litres']} of fuel and {row['co2']} of CO2 a year because of the bottom.")
    say(lede_of(view))
    for note in case.notes:
        console().print(f"  note: {escape(note)}", soft_wrap=True)


def show_proof(proof: Proof) -> None:
    """What the log says, and what was left out of it."""
    table = _table("What changed with the job", ("", "change", "95 %", "runs before, after", "days before, after"))
    for one in proof.effects:
        table.add_row(
            MEASURE_WORDS[one.measure],
            f"{100 * one.change_share:+.1f} %",
            f"{100 * one.low_share:+.1f} to {100 * one.high_share:+.1f} %",
            f"{one.runs[0]}, {one.runs[1]}",
            f"{one.days[0]}, {one.days[1]}",
        )
    if proof.effects:
        console().print(table)
    say(proof.verdict)
    dropped = "; ".join(f"{count} {why}" for why, count in proof.cut.dropped)
    say(
        f"{proof.cut.moments} moments, {len(proof.cut.runs)} steady runs"
        + (f"; left out: {dropped}." if dropped else ".")
    )
    for note in proof.notes:
        console().print(f"  note: {escape(note)}", soft_wrap=True)


def _turning(view: CostView) -> None:
    decision, case = view.decision, view.decision.case
    say(f"Cheapest as things most likely are: {decision.best}; next: {decision.rival}.")
    for line in turning_of(view):
        say(line)
    swings = _table(
        f"What {decision.best} saves against {decision.rival}, one input at a time", ("", "from", "to", "saves", "to")
    )
    for one in decision.swings[:10]:
        swings.add_row(
            escape(one.words),
            in_unit(one.ends[0], one.unit, case.currency),
            in_unit(one.ends[1], one.unit, case.currency),
            *(round_money(minor, case.currency) for minor in one.saving_minor),
        )
    console().print(swings)


def _table(title: str, columns: tuple[str, ...]) -> Table:
    table = Table(title=escape(title), title_justify="left", title_style="bold", header_style="bold")
    for number, column in enumerate(columns):
        table.add_column(escape(column), justify="left" if number == 0 else "right", overflow="fold")
    return table
