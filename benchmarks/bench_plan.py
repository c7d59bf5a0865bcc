"""One boat from the network to the proof: first plan, proof, growth with days and zones, peak memory.

Run: python -m benchmarks.bench_plan
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from dataclasses import asdict

from benchmarks.boat_network import Boat, boat_network
from boottop.plan.model import solve

LIMIT_S = 60.0
CASES = {
    "one boat, 14 days, 4 zones": [Boat(seed=seed, crew=crew) for seed in (1, 2, 3, 4) for crew in (2, 3)],
    "days": [Boat(seed=4, crew=3, days=days) for days in (10, 14, 21, 28)],
    "zones": [Boat(seed=4, crew=4, days=21, zones=zones) for zones in (2, 4, 6, 8, 10)],
    "barrier coats, 21 days, 6 zones": [Boat(seed=seed, crew=3, days=21, zones=6, barriers=4) for seed in (1, 2)],
}


def main() -> None:
    """Every case in a process of its own, so that its peak memory is its own."""
    for title, boats in CASES.items():
        print(title)  # noqa: T201 - a benchmark talks to the terminal
        base_s: float | None = None
        for boat in boats:
            done = subprocess.run(
                [sys.executable, "-m", "benchmarks.bench_plan", json.dumps(asdict(boat))],
                capture_output=True,
                text=True,
                check=True,
            )
            row = json.loads(done.stdout)
            base_s = base_s or row["total_s"]
            print(f"  {row['text']}, {row['total_s'] / base_s:.1f} x the first")  # noqa: T201 - see above


def one(boat: Boat) -> None:
    """Solve one boat and print what it took as JSON."""
    network = boat_network(boat)
    solution = solve(network, time_limit_s=LIMIT_S)
    report = solution.report
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    text = (
        f"seed {boat.seed} crew {boat.crew} days {boat.days} zones {boat.zones}: {len(network.tasks)} tasks, "
        f"{solution.status} {solution.cost_minor} {'+'.join(solution.options) or '-'}, "
        f"first {_seconds(report.first_s)}, proof {_seconds(report.proof_s)}, total {report.total_s:.2f} s, "
        f"{report.variables} variables, {report.branches} branches, peak {peak_mb:.0f} MB"
    )
    print(json.dumps({"text": text, "total_s": report.total_s}))  # noqa: T201 - read by the parent


def _seconds(value: float | None) -> str:
    return "none" if value is None else f"{value:.2f} s"


if __name__ == "__main__":
    if len(sys.argv) > 1:
        one(Boat(**json.loads(sys.argv[1])))
    else:
        main()
