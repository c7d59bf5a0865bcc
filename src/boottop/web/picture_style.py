"""The style sheet of the page with the picture: the colours of the hull under both palettes, and its layout."""

from __future__ import annotations

import re
from functools import lru_cache
from importlib import resources

from boottop.report.hull_looks import hull_css

_ROOT = re.compile(r":root \{(.*?)\}", re.S)


@lru_cache(maxsize=1)
def picture_stylesheet() -> str:
    """CSS text. As for the other pages, `data-theme` light or dark has its palette whatever the device prefers."""
    colours = hull_css()
    own = resources.files("boottop.web").joinpath("static", "picture.css").read_text(encoding="utf-8")
    light, dark = _ROOT.findall(colours)
    themes = f':root[data-theme="light"] {{{light}}}\n:root[data-theme="dark"] {{{dark}}}\n'
    return f"{colours}\n{themes}{own}"
