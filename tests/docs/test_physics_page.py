"""docs/the-physics.md: what it names exists, and every constant it quotes is the code's."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from boottop.climate.draws import make_draws
from boottop.climate.forcing import MEASURED_SUN_SHARE
from boottop.climate.views import ROWS
from boottop.windows.windows import Rule

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "the-physics.md").read_text(encoding="utf-8")
BODY, SOURCES = PAGE.split("## 10 Sources")
ROOMS = "base|measure|coating|climate|windows|plan|workflow"
NUMBER = r"-?\d[\d.]*(?:e-?\d+)?"
NAMES = re.findall(rf"`((?:{ROOMS})\.[\w.]+)`", PAGE)
CONSTANTS = re.findall(rf"`((?:{ROOMS})\.[\w.]*\.?_?[A-Z][A-Z0-9_]*)`\s*[=|]\s*({NUMBER}(?: to {NUMBER})?)", PAGE)


def _named(name: str) -> object:
    """What a dotted name of the page stands for: as much of it as is a module, the rest as attributes."""
    parts = name.split(".")
    found: object = import_module(f"boottop.{parts[0]}")
    for place, part in enumerate(parts[1:], start=2):
        try:
            found = getattr(found, part)
        except AttributeError:
            assert isinstance(found, ModuleType), f"{name}: no such name"
            found = import_module("boottop." + ".".join(parts[:place]))
    return found


@pytest.mark.parametrize("name", sorted(set(NAMES)))
def test_every_name_is_one_of_the_code(name: str) -> None:
    assert _named(name) is not None


@pytest.mark.parametrize(("name", "quoted"), CONSTANTS)
def test_every_quoted_constant_is_the_code_s(name: str, quoted: str) -> None:
    values = [float(value) for value in quoted.rstrip(".").split(" to ")]
    assert np.ravel(np.asarray(_named(name), dtype=np.float64)).tolist() == pytest.approx(values, rel=1e-12)


def test_a_good_many_constants_are_quoted() -> None:
    """So that a change of the page's style cannot empty the check above."""
    assert len(CONSTANTS) >= 50
    quoted = {name.rsplit(".", 1)[1] for name, _ in CONSTANTS}
    assert {"PAINT_EMISSIVITY", "CLINGING_KG_M2", "WIDEST_ENERGY_FACTOR", "STALL_K", "SKIN_AT"} <= quoted


def test_every_test_and_benchmark_named_exists() -> None:
    named = set(re.findall(r"`((?:tests|benchmarks)/[\w/]+\.py)`", PAGE))
    assert len(named) >= 30
    assert [name for name in sorted(named) if not (ROOT / name).is_file()] == []


def test_every_decision_named_exists() -> None:
    numbers = {path.name[:4] for path in (ROOT / "docs" / "decisions").glob("*.md")}
    assert set(re.findall(r"decision (\d{4})", PAGE)) <= numbers


def test_every_source_is_listed_and_used() -> None:
    listed = [int(number) for number in re.findall(r"^(\d+)\. ", SOURCES, flags=re.MULTILINE)]
    used = {int(number) for number in re.findall(r"\[(\d+)(?:, [^\]]*)?\]", PAGE)}
    assert listed == list(range(1, len(listed) + 1))
    assert used == set(listed)


def test_every_rule_has_its_line() -> None:
    table = BODY.split("## 5 ")[1].split("## 6 ")[0]
    assert [
        rule.name for rule in Rule if rule != Rule.OPEN and not re.search(rf"^\|.*\b{rule.name}\b", table, re.M)
    ] == []


def _views() -> Iterator[tuple[str, list[float]]]:
    for line in BODY.split("### Views and ground")[1].splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if line.startswith("|") and cells[0] in ROWS:
            yield cells[0], [float(value) for cell in cells[2:] for value in cell.split(" / ")]


def test_views_are_those_of_the_code() -> None:
    rows = dict(_views())
    assert rows.keys() == ROWS.keys()
    for view, row in ROWS.items():
        assert rows[view] == [row.hull_share, row.diffuse_share, *row.sunlit, row.ground_share]
    assert f"| keel | {ROWS['keel'].sky_share} |" in BODY


def test_draws_span_what_the_page_says() -> None:
    """The middle 90 % of many lanes; the sample's own scatter is what the tolerance is for."""
    drawn = make_draws(4001, 1)
    low, high = 0.05, 0.95
    shifts = {"absorptance_shift": 0.185, "air_shift_k": 1.5, "dew_shift_k": 1.5, "sky_shift_w_m2": 15.0}
    for name, reach in shifts.items():
        assert np.quantile(getattr(drawn, name), [low, high]) == pytest.approx([-reach, reach], rel=0.01)
    for name, factor in {"shelter": 1.8, "convection": 1.3, "albedo": 1.85, "time": 1.25}.items():
        edges = np.quantile(getattr(drawn, f"{name}_factor"), [low, high])
        assert edges == pytest.approx([1.0 / factor, factor], rel=0.01)
    assert np.quantile(drawn.irradiance_factor, high) == pytest.approx(1.25, rel=0.01)
    assert np.quantile(drawn.cabin_factor, high) == pytest.approx(1.85, rel=0.01)
    assert np.std(drawn.energy_shift_j_mol) == pytest.approx(5000.0, rel=0.02)
    assert f"= {MEASURED_SUN_SHARE} of that where measured" in BODY
