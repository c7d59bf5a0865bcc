"""The planning engine against plain element constraints on the same jobs, in one run.

Run: python -m benchmarks.bench_piece_element
Both times hold everything from the network to the proof, on two workers: the engine narrows the job, finds a first
plan and cuts lags into pieces; the reference hands the tables to the solver as they are. In between stand the pieces
on the same unnarrowed job without a first plan, which shows what the form alone is worth.
"""

from __future__ import annotations

from statistics import median
from time import perf_counter

from benchmarks.boat_network import Boat, boat_network
from benchmarks.element_form import solve_by_elements
from boottop.plan.model import solve
from boottop.plan.model_build import build
from boottop.plan.model_domains import start_masks, tabulate
from boottop.plan.model_search import search
from boottop.plan.network import Network, Solution

LIMIT_S = 120.0
BOATS = [Boat(seed=seed, crew=crew) for seed in (1, 2, 4) for crew in (2, 3)]


def main() -> None:
    """Print one line a job and the median ratios."""
    boat_network(BOATS[0])
    whole, form = [], []
    for boat in BOATS:
        network = boat_network(boat)
        began_s = perf_counter()
        engine = solve(network, time_limit_s=LIMIT_S, secondary=False)
        engine_s = perf_counter() - began_s
        pieces_s, pieces_cost = _pieces_alone(network)
        status, cost, element_s = solve_by_elements(network, time_limit_s=LIMIT_S)
        whole.append(element_s / engine_s)
        form.append(element_s / pieces_s)
        print(  # noqa: T201 - a benchmark talks to the terminal
            f"seed {boat.seed} crew {boat.crew}: engine {engine_s:.2f} s ({engine.status} {engine.cost_minor}), "
            f"pieces alone {pieces_s:.2f} s ({pieces_cost}), element {element_s:.2f} s ({status} {cost}); "
            f"element / engine {whole[-1]:.1f}, element / pieces alone {form[-1]:.1f}"
        )
    print(f"median: element / engine {median(whole):.1f}, element / pieces alone {median(form):.1f}")  # noqa: T201


def _pieces_alone(network: Network) -> tuple[float, int | None]:
    """Seconds and cost of the piece form on the job as it comes, with no narrowing and no first plan."""
    found: list[Solution] = []
    began_s = perf_counter()
    tables = tabulate(network)
    built = build(tables, start_masks(tables, None), [])
    search(built, seconds=LIMIT_S, workers=2, seed=1, limit=None, offer=found.append)
    return perf_counter() - began_s, found[-1].cost_minor if found else None


if __name__ == "__main__":
    main()
