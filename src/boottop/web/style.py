"""The style sheet of every page: the report's own, with its two palettes under names, and what pages have besides."""

from __future__ import annotations

import re
from functools import lru_cache
from importlib import resources

from boottop.report.odds_picture import PAGE_CSS

_ROOT = re.compile(r":root \{(.*?)\}", re.S)


@lru_cache(maxsize=1)
def stylesheet() -> str:
    """CSS text. A page says `data-theme` light or dark to have its palette whatever the device prefers."""
    report = resources.files("boottop.report").joinpath("templates", "page.css").read_text(encoding="utf-8")
    record = resources.files("boottop.report").joinpath("templates", "record.css").read_text(encoding="utf-8")
    own = resources.files("boottop.web").joinpath("static", "app.css").read_text(encoding="utf-8")
    (light, dark), hues = _ROOT.findall(report), _ROOT.findall(PAGE_CSS)
    light, dark = light + hues[0], dark + hues[1]
    themes = f':root[data-theme="light"] {{{light}}}\n:root[data-theme="dark"] {{{dark}}}\n'
    return f"{report}\n{PAGE_CSS}{themes}{record}{own}"
