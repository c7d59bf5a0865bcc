"""The checker shares no code with what it checks: it reads contracts, and nothing that computes a window or a plan."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PLAN = Path(__file__).parents[2] / "src" / "boottop" / "plan"
MAY_READ = {
    "boottop.climate.climate", "boottop.climate.weather", "boottop.coating.sheet", "boottop.measure.hull",
    "boottop.plan.inputs", "boottop.plan.plan", "boottop.plan.progress", "boottop.plan.tasks",
}  # fmt: skip


@pytest.mark.parametrize("path", sorted(PLAN.glob("checker*.py")), ids=lambda path: path.name)
def test_checker_imports_contracts_only(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    read = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module}
    own = {name for name in read if name.startswith("boottop.plan.checker")}
    boottop = {name for name in read if name.startswith("boottop.")}
    assert boottop - own <= MAY_READ
    assert "numpy" not in read
