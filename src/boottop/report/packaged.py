"""What is packaged with the report: templates and style sheets by their names."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Template


def packaged(name: str) -> str:
    """The text of a file of the folder templates."""
    return resources.files("boottop.report").joinpath("templates", name).read_text(encoding="utf-8")


@lru_cache(maxsize=8)
def template(name: str, finalize: Callable[[object], object] | None = None) -> Template:
    """A page's template: everything escaped, a name that is not given is an error; `finalize` prints each value."""
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=finalize
    )
    return environment.from_string(packaged(name))
