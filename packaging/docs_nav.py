"""The site's list of pages: what `mkdocs.yml` names, then every page it does not, records of decisions by number."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def named(nav: list[Any] | dict[str, Any] | str) -> set[str]:
    """Every page that a list of pages names, at whatever depth."""
    if isinstance(nav, str):
        return {nav}
    parts = nav.values() if isinstance(nav, dict) else nav
    return {page for part in parts for page in named(part)}


def on_config(config: Any) -> Any:
    """Called by mkdocs once its settings are read."""
    folder = Path(config["docs_dir"])
    already = named(config["nav"])
    others = [page.name for page in sorted(folder.glob("*.md")) if page.name not in already]
    records = [page.relative_to(folder).as_posix() for page in sorted((folder / "decisions").glob("*.md"))]
    config["nav"] = [*config["nav"], *others, {"Decisions": records}]
    return config
