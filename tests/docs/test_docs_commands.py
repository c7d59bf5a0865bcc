"""What README and docs tell a person to type works, and every link in them lands."""

from __future__ import annotations

import re
import shlex
from functools import lru_cache
from pathlib import Path

import pytest

from tests.e2e.runner import run

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")), *sorted((ROOT / "examples").glob("*.md"))]
DECISIONS = sorted((ROOT / "docs" / "decisions").glob("*.md"))
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.M | re.S)
LINK = re.compile(r"(?<!\\)\]\(([^)\s]+)(?:\s+\"[^\"]*\")?\)")
LONGEST_RECORD = 40


def page_id(path: Path) -> str:
    """A page by its place in the repository."""
    return path.relative_to(ROOT).as_posix()


def text_of(path: Path) -> str:
    """The text of a page."""
    return path.read_text(encoding="utf-8")


def shell_lines(path: Path) -> list[str]:
    """What the `sh` blocks of a page tell to type, line by line."""
    blocks = [block for language, block in FENCE.findall(text_of(path)) if language == "sh"]
    return [line.strip() for block in blocks for line in block.replace("\\\n", " ").splitlines()]


def commands(path: Path, program: str) -> list[list[str]]:
    """The lines of a page that call one program, as words."""
    return [shlex.split(line, comments=True) for line in shell_lines(path) if line.startswith(f"{program} ")]


def shown(path: Path) -> list[list[str]]:
    """Indented calls of boottop, shown with a place-holder such as FILE for what only the reader has."""
    lines = re.findall(r"^ {4}(boottop .*)$", FENCE.sub("", text_of(path)), re.M)
    return [shlex.split(line) for line in lines]


@lru_cache
def help_of(command: str) -> str:
    """`boottop COMMAND --help`, wide enough that no option is cut."""
    found = run(command, "--help", cwd=ROOT, COLUMNS="200")
    assert found.code == 0
    return found.out


def test_the_readme_has_something_to_type() -> None:
    assert commands(ROOT / "README.md", "make") == [["make", "demo"], ["make", "test"]]
    assert commands(ROOT / "README.md", "boottop")


@pytest.mark.parametrize("path", [path for path in PAGES if commands(path, "boottop")], ids=page_id)
def test_commands_work_in_the_order_of_the_page(path: Path, tmp_path: Path) -> None:
    for words in commands(path, "boottop"):
        found = run(*words[1:], cwd=tmp_path)
        assert found.code == 0, f"{' '.join(words)}: {found.err}"


@pytest.mark.parametrize("path", [path for path in PAGES if shown(path)], ids=page_id)
def test_commands_shown_with_a_place_holder_name_real_options(path: Path) -> None:
    for words in shown(path):
        described = help_of(words[1])
        for option in (word.split("=")[0] for word in words if word.startswith("--")):
            assert re.search(rf"{option}\b", described), f"{' '.join(words)}: {option}"


@pytest.mark.parametrize("path", [path for path in PAGES if commands(path, "make")], ids=page_id)
def test_make_targets_exist(path: Path) -> None:
    targets = set(re.findall(r"^([a-z]+):", text_of(ROOT / "Makefile"), re.M))
    for words in commands(path, "make"):
        assert set(words[1:]) <= targets


def anchors(path: Path) -> set[str]:
    """Anchors of a page's headings, as they are made from their words."""
    heads = re.findall(r"^#+ (.+)$", FENCE.sub("", text_of(path)), re.M)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("path", PAGES, ids=page_id)
def test_every_link_lands(path: Path) -> None:
    for link in LINK.findall(FENCE.sub("", text_of(path))):
        if re.match(r"[a-z]+:", link):
            continue
        place, _, anchor = link.partition("#")
        target = (path.parent / place).resolve() if place else path
        assert target.exists(), f"{link} leads nowhere"
        assert ROOT in (target, *target.parents), f"{link} leads out of the repository"
        if anchor and target.suffix == ".md":
            assert anchor in anchors(target), f"{link}: no such heading"


def test_no_place_holder_of_the_writer_is_left() -> None:
    assert [page_id(path) for path in PAGES if re.search(r"@@\w+@@|TODO|FIXME|XXX", text_of(path))] == []


def test_records_are_numbered_once_and_headed() -> None:
    numbers = [path.name.split("-")[0] for path in DECISIONS]
    assert len(numbers) == len(set(numbers)) > 10
    for path in DECISIONS:
        assert text_of(path).startswith(f"# {path.name.split('-')[0]} ")


@pytest.mark.parametrize("path", DECISIONS, ids=page_id)
def test_a_record_is_short_and_says_what_was_chosen(path: Path) -> None:
    """Context, choice and what was given up; a record that says it in a table still says its context."""
    lines = text_of(path).splitlines()
    assert len(lines) <= LONGEST_RECORD
    parts = [
        part for part in ("Context", "Choice", "Given up") if re.search(rf"^(\*\*|#+ )?{part}", text_of(path), re.M)
    ]
    assert "Context" in parts
    assert len(parts) == 3 or any(line.startswith("|") for line in lines)
