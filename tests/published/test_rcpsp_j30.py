"""PSPLIB j30 (Kolisch and Sprecher 1997): the planning engine finds and proves the published optimal makespans.

Instances in Patterson form, CC BY-SA 4.0, therefore not carried here; optima from the published list (read).
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from benchmarks.rcpsp import read_rcp
from boottop.plan.model import solve

DATA = Path(__file__).resolve().parents[3] / "shared" / "data" / "rcpsp"
SLOW = {"j30_13_5"}  # some twenty seconds alone: in benchmarks/bench_j30.py
NAMES = [
    "j30_1_1", "j30_1_5", "j30_4_5", "j30_7_1", "j30_10_1", "j30_10_5", "j30_16_1", "j30_19_1", "j30_19_5",
    "j30_22_5", "j30_25_1", "j30_28_1", "j30_28_5", "j30_31_5", "j30_34_1", "j30_37_1", "j30_37_5", "j30_40_5",
    "j30_43_1", "j30_46_1", "j30_46_5",
]  # fmt: skip


def _optima() -> dict[str, int]:
    with (DATA / "optimum.csv").open(encoding="utf-8") as rows:
        return {row["instance"]: int(row["published_optimum"]) for row in csv.DictReader(rows)}


@pytest.mark.skipif(not DATA.is_dir(), reason="PSPLIB j30 files (CC BY-SA) are not beside this checkout")
@pytest.mark.parametrize("name", NAMES)
def test_makespan_is_the_published_optimum(name: str) -> None:
    solution = solve(read_rcp(DATA / f"{name}.rcp"), time_limit_s=60.0, secondary=False)
    assert solution.status == "optimal"
    assert solution.cost_minor == _optima()[name]
    assert solution.placed[-1].finish == solution.cost_minor


@pytest.mark.skipif(not DATA.is_dir(), reason="PSPLIB j30 files (CC BY-SA) are not beside this checkout")
def test_every_file_at_hand_is_tested_here_or_in_the_benchmark() -> None:
    assert {path.stem for path in DATA.glob("*.rcp")} == {*NAMES, *SLOW}
