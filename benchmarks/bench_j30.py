"""Every j30 project at hand through the planning engine, against the published optimum.

Run: python -m benchmarks.bench_j30

Data: PSPLIB j30 in Patterson form, looked for in ../shared/data/rcpsp beside the repository.
"""

from __future__ import annotations

import csv
from pathlib import Path

from benchmarks.rcpsp import read_rcp
from boottop.plan.model import solve

DATA = Path(__file__).resolve().parents[2] / "shared" / "data" / "rcpsp"
LIMIT_S = 60.0


def main() -> None:
    """Print one line a project, then how many were proven equal and the time they took."""
    with (DATA / "optimum.csv").open(encoding="utf-8") as rows:
        optima = {row["instance"]: int(row["published_optimum"]) for row in csv.DictReader(rows)}
    equal, total_s = 0, 0.0
    for name, optimum in optima.items():
        solution = solve(read_rcp(DATA / f"{name}.rcp"), time_limit_s=LIMIT_S, secondary=False)
        equal += solution.status == "optimal" and solution.cost_minor == optimum
        total_s += solution.report.total_s
        print(  # noqa: T201 - a benchmark talks to the terminal
            f"{name:10s} {solution.status:9s} {solution.cost_minor} (published {optimum}), "
            f"first {solution.report.first_s or 0:.2f} s, total {solution.report.total_s:.2f} s, "
            f"{solution.report.variables} variables"
        )
    print(f"{equal} of {len(optima)} proven equal, {total_s:.1f} s in all")  # noqa: T201 - see above


if __name__ == "__main__":
    main()
