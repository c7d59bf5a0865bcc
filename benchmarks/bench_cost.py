"""10,000 draws of 4 ways over 30 years: milliseconds, and the ratio to a plain loop over events.

Run from the repository: python -m benchmarks.bench_cost
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from boottop.money.case import CostCase, Item
from boottop.money.decide import decide
from boottop.money.draws import draw
from boottop.money.value import value
from tests.money.made import case, inputs, item, sure, way
from tests.money.plain import costs

DRAWS, YEARS, PLAIN_DRAWS = 10_000, 30, 100
AIM_S = 0.3


def main() -> None:
    """Print the table."""
    one = made()
    items = sum(len(alternative.items) for alternative in one.alternatives)
    drawn = draw(one, draws=DRAWS)
    reckoned_s = _best(lambda: value(one, drawn))
    both_s = _best(lambda: value(one, draw(one, draws=DRAWS)))
    few = {key: values[:PLAIN_DRAWS] for key, values in drawn.items()}
    plain_s = _best(lambda: costs(one, few), times=2) * DRAWS / PLAIN_DRAWS
    worst = float(np.max(np.abs(value(one, few).cost / np.array(costs(one, few)) - 1.0)))
    say(f"{len(one.alternatives)} ways, {items} items, {len(one.doubtful)} in doubt, {YEARS} years, {DRAWS} draws")
    say(f"drawing and valuing by year: {1e3 * both_s:.0f} ms (aim {1e3 * AIM_S:.0f}); valuing {1e3 * reckoned_s:.0f}")
    say(f"plain loop over events ({PLAIN_DRAWS} draws, scaled): {plain_s:.1f} s, {plain_s / reckoned_s:.0f} times that")
    say(f"largest difference between the two: {worst:.1e}")
    say(f"all that is shown (tornado, turning values too): {1e3 * _best(lambda: decide(one)):.0f} ms")


def say(line: str) -> None:
    sys.stdout.write(line + "\n")


def _best(run: Callable[[], object], times: int = 5) -> float:
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        run()
        taken.append(time.perf_counter() - begin)
    return min(taken)


def made() -> CostCase:
    """Four invented ways with eleven items each."""
    known = inputs(
        lift=(600.0, 800.0, 1000.0), day=(40.0, 50.0, 70.0), wash=(100.0, 150.0, 200.0), wage=sure(20.0),
        dive=(80.0, 120.0, 160.0), paint=(400.0, 600.0, 800.0), epoxy=(1800.0, 2300.0, 3000.0), days=(4.0, 6.0, 10.0),
        hours=(10.0, 20.0, 40.0), soft=(1.5, 2.0, 3.0), hard=(7.0, 10.0, 14.0), fuel=(50.0, 90.0, 160.0),
        growth=(-0.01, 0.0, 0.02),
    )  # fmt: skip

    def items(paint: str) -> tuple[Item, ...]:
        return (
            item("anyway", "lift"), item("extra lift", "lift"), item("haul-out", "wash"), item("wash visit", "day"),
            item("renewal", "day", "days"), item("renewal", paint), item("renewal", "wage", "hours"),
            item("now", paint), item("yearly", "dive"), item("yearly", "fuel", grows="growth"), item("end", "lift"),
        )  # fmt: skip

    return case(
        known,
        way("soft", *items("paint"), life="soft"),
        way("hard", *items("epoxy"), life="hard"),
        way("hard, hauled yearly", *items("epoxy"), life="hard", hauled_every=1),
        way("nothing", *items("paint")),
        years=YEARS,
        rate=(0.01, 0.02, 0.04),
        hauled_anyway=2,
    )


if __name__ == "__main__":
    main()
