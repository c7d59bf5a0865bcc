"""Colours of the pages by the contrast formula of WCAG 2.1 (1.4.6): 7 to 1 for words, in both lights; large targets."""

from __future__ import annotations

import re

import pytest

from boottop.web.style import stylesheet

CSS = stylesheet()
ROOTS = {
    name: dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", text))
    for name, text in re.findall(r':root\[data-theme="(\w+)"\] \{(.*?)\}', CSS, re.S)
}
WORDS = [("ink", "paper"), ("ink", "panel"), ("quiet", "paper"), ("quiet", "panel"), ("bar-ink", "copper"),
         ("copper", "paper"), ("paper", "ink")]  # fmt: skip


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1."""
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (share / 12.92 if share <= 0.03928 else ((share + 0.055) / 1.055) ** 2.4 for share in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_both_lights_have_the_same_colours() -> None:
    assert set(ROOTS) == {"light", "dark"}
    assert set(ROOTS["light"]) == set(ROOTS["dark"]) >= set(re.findall(r"var\(--([\w-]+)\)", CSS))


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), WORDS)
def test_words_stand_out_seven_to_one(light: str, ink: str, *, ground: str) -> None:
    bright, dim = sorted((luminance(ROOTS[light][ink]), luminance(ROOTS[light][ground])), reverse=True)
    assert (bright + 0.05) / (dim + 0.05) >= 7.0


@pytest.mark.parametrize(
    "rule", [r"^button, \.big \{", r"^input, select, textarea \{", r"^\.tabs a \{", r"^summary \{"]
)
def test_targets_are_as_large_as_a_glove_needs(rule: str) -> None:
    found = re.search(rule + r"[^}]*min-height: 56px", CSS, re.M)
    assert found is not None
