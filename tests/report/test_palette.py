"""Colours of the page by the contrast formula of WCAG 2.1 (relative luminance, 1.4.3 and 1.4.6): 7 to 1 for words."""

from __future__ import annotations

import re
from importlib import resources

import pytest

CSS = resources.files("boottop.report").joinpath("templates", "page.css").read_text(encoding="utf-8")
ROOTS = re.findall(r":root \{(.*?)\}", CSS, re.S)
SCHEMES = {
    name: dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", text))
    for name, text in zip(("light", "dark"), ROOTS, strict=True)
}
GROUNDS = ("g-open", "g-wet", "g-dew", "g-cold", "g-hot", "g-dark", "g-unknown")
BARS = ("port", "starboard", "gear", "pads", "whole", "extra")
WORDS = [
    *((ink, ground) for ink in ("ink", "quiet") for ground in ("paper", "panel")),
    *(("bar-ink", bar) for bar in BARS),
    *(("ink", ground) for ground in GROUNDS),
]
MARKS = [
    *((bar, "g-open") for bar in BARS),
    *(("hatch", ground) for ground in ("g-wet", "g-dew", "g-cold", "g-hot", "g-unknown")),
    ("limit", "g-open"),
    ("limit", "panel"),
    ("copper", "paper"),
    ("copper", "panel"),
]


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.1).

    >>> round(luminance("#ffffff"), 4), luminance("#000000")
    (1.0, 0.0)
    """
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (share / 12.92 if share <= 0.03928 else ((share + 0.055) / 1.055) ** 2.4 for share in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21 (WCAG 2.1)."""
    bright, dim = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def test_the_formula_on_its_own_ends() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_both_schemes_name_the_same_colours() -> None:
    assert set(SCHEMES["light"]) == set(SCHEMES["dark"])
    assert set(re.findall(r"var\(--([\w-]+)\)", CSS)) == set(SCHEMES["light"])


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("ink", "ground"), WORDS)
def test_words_stand_out_seven_to_one(scheme: str, ink: str, ground: str) -> None:
    colours = SCHEMES[scheme]
    assert contrast(colours[ink], colours[ground]) >= 7.0


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("mark", "ground"), MARKS)
def test_marks_stand_out_three_to_one(scheme: str, mark: str, ground: str) -> None:
    """WCAG 2.1, 1.4.11, for what carries meaning without words."""
    colours = SCHEMES[scheme]
    assert contrast(colours[mark], colours[ground]) >= 3.0
