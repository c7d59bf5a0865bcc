"""docs/api.md lists every kind of event with its fields, as the registry has them."""

from __future__ import annotations

import re
from pathlib import Path

from boottop.job.events import EVENT_KINDS

PAGE = (Path(__file__).parents[2] / "docs" / "api.md").read_text(encoding="utf-8")


def test_the_table_of_kinds_is_the_registry() -> None:
    rows = re.findall(r"^\| `([a-z_]+)` \| (needed|may be) \| (.*) \|$", PAGE, re.M)
    listed = {name: (zone == "needed", re.findall(r"`([a-z0-9_]+\??)`", fields)) for name, zone, fields in rows}
    assert listed == {
        kind.name: (kind.zoned, [f"{name}{'?' if word.endswith('?') else ''}" for name, word in kind.fields.items()])
        for kind in EVENT_KINDS.values()
    }
