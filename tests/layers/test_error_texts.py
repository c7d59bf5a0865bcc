"""Error messages that could never fill in their values: a forgotten f, or printf arguments given to an exception."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "boottop"
FILES = sorted(SOURCE.rglob("*.py"))
BRACES = re.compile(r"\{[a-zA-Z_][\w.\[\]]*(![rs])?(:[^{}]*)?\}")


def _message_strings(call: ast.Call) -> list[ast.Constant]:
    inside_f = {id(part) for node in ast.walk(call) if isinstance(node, ast.JoinedStr) for part in ast.walk(node)}
    return [
        node
        for node in ast.walk(call)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside_f
    ]


def _calls(tree: ast.AST) -> list[ast.Call]:
    raised = [node.exc for node in ast.walk(tree) if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call)]
    problems = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"Problem", "Finding"}
    ]
    return raised + problems


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_messages_are_alive(path: Path) -> None:
    for call in _calls(ast.parse(path.read_text(encoding="utf-8"))):
        for text in _message_strings(call):
            assert not BRACES.search(str(text.value)), f"line {text.lineno}: an f is missing before {text.value!r}"
            assert not re.search(r"%[sdrf]\b", str(text.value)), f"line {text.lineno}: printf text in {text.value!r}"


def _problem_keywords(tree: ast.AST) -> list[tuple[int, set[str]]]:
    return [
        (node.lineno, {keyword.arg for keyword in node.keywords if keyword.arg})
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Problem"
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_every_problem_says_all_four_things(path: Path) -> None:
    for line, keywords in _problem_keywords(ast.parse(path.read_text(encoding="utf-8"))):
        assert keywords == {"where", "found", "allowed", "advice"}, f"line {line}: {keywords}"


def test_the_check_itself_can_fail() -> None:
    call = _calls(ast.parse('raise ValueError("no {name} here")'))[0]
    assert BRACES.search(str(_message_strings(call)[0].value))
