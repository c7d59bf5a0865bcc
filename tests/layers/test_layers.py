"""The rules of the house that a syntax tree can see: who may import whom, purity, and time zones."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "boottop"
STAGES = ("base", "measure", "coating", "climate", "windows", "plan", "job", "record", "money")
IMPURE_MODULES = {
    "os", "pathlib", "socket", "subprocess", "sqlite3", "urllib", "http", "httpx", "random", "time", "tempfile",
    "shutil", "sqlalchemy", "rich", "typer", "logging", "sys",
}  # fmt: skip
HARMLESS = {("time", "perf_counter"), ("random", "Random")}  # a stopwatch is not the clock; Random takes its seed
IMPURE_CALLS = {"open", "print", "input"}
IMPURE_ATTRIBUTES = {"now", "today", "utcnow", "getenv", "environ"}


def _stage_files() -> list[Path]:
    return sorted(path for stage in STAGES for path in (SOURCE / stage).rglob("*.py"))


def _harmless(node: ast.ImportFrom) -> bool:
    return all((node.module, alias.name) in HARMLESS for alias in node.names)


def _imports(tree: ast.AST) -> list[str]:
    names: list[str] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not _harmless(node):
            names.append(node.module)
            names += [f"{node.module}.{alias.name}" for alias in node.names if node.module == "boottop"]
    return names


def _stage_of(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0]


def test_stages_are_found() -> None:
    assert len({_stage_of(path) for path in _stage_files()}) >= 6


@pytest.mark.parametrize("path", _stage_files(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_stage_imports_only_earlier_stages(path: Path) -> None:
    stage = _stage_of(path)
    allowed = set(STAGES[: STAGES.index(stage) + 1])
    for name in _imports(ast.parse(path.read_text(encoding="utf-8"))):
        parts = name.split(".")
        if parts[0] == "boottop" and len(parts) > 1:
            assert parts[1] in allowed, f"{stage} imports {name}"


@pytest.mark.parametrize("path", _stage_files(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_stage_is_pure(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    impure = [name for name in _imports(tree) if name.split(".")[0] in IMPURE_MODULES]
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in IMPURE_CALLS:
            impure.append(f"{node.func.id}() in line {node.lineno}")
        if isinstance(node, ast.Attribute) and node.attr in IMPURE_ATTRIBUTES:
            impure.append(f".{node.attr} in line {node.lineno}")
    assert not impure, impure


@pytest.mark.parametrize("path", sorted(SOURCE.rglob("*.py")), ids=lambda path: str(path.relative_to(SOURCE)))
def test_file_has_docstring_and_is_short(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(ast.parse(text)), "every file says in its first line what it is"
    assert len(text.splitlines()) <= 400


def _float_fields(tree: ast.AST) -> list[str]:
    fields = []
    for node in ast.walk(tree):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            annotation = ast.unparse(node.annotation)
            if annotation in {"float", "float | None"}:
                fields.append(node.target.id)
    return fields


UNIT_ENDINGS = (
    "_m", "_m2", "_m3", "_um", "_l", "_kg", "_g", "_c", "_k", "_h", "_s", "_pa", "_pa_s", "_m_s", "_w_m2", "_deg",
    "_fraction", "_sd_m", "_w_mk", "_kg_m3", "_j_kgk", "_kg_l", "_m2_h", "_m2_l", "_j_mol", "_min", "_mm", "_um",
    "_ratio", "_factor", "_coefficient", "_w_m2k", "_m2_s", "_g_m2", "_kg_m2_s", "_kg_m2", "_exponent", "_share",
    "_n", "_kw",
)  # fmt: skip
UNIT_WORDS = {"litres", "grams", "kits", "hours", "h", "m2", "k"}
PURE_NUMBERS = {
    "block", "midship", "prismatic", "waterplane", "quantity", "confidence", "sd_multiple", "usable_pot_life",
    "obliquity_sd", "factor", "factor_sd", "j_mol",
    "volume_parts", "times_humidity", "humidity_max", "humidity", "shelter", "hull_absorptance",
    "caution",
    "rh", "needed", "had", "emissivity", "absorptance", "albedo",
}  # fmt: skip


@pytest.mark.parametrize("path", _stage_files(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_every_float_field_ends_in_its_unit(path: Path) -> None:
    fields = _float_fields(ast.parse(path.read_text(encoding="utf-8")))
    bare = [
        name
        for name in fields
        if not name.lower().endswith(UNIT_ENDINGS)
        and not UNIT_WORDS & set(name.split("_"))
        and name not in PURE_NUMBERS
    ]
    assert not bare, f"fields without a unit in their name: {bare}"
