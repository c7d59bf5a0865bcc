"""Nothing of one machine, one registry or one working session in what is committed."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
REGISTRIES = "|".join(("py" + "pi", "pythonh" + "osted", "npm" + "js", "deb" + "ian"))
FORBIDDEN = {
    "a download address": re.compile(rf"https?://[a-z0-9.-]*({REGISTRIES})[a-z0-9.-]*"),
    "an index line": re.compile(r"^\s*(--(extra-)?index-url|--find-links|-i\s|-f\s)", re.M),
    "a path of one machine": re.compile(r"(?<![\w.])/(wo" + r"rk|home|root|Users)/\w+"),
}


def _tracked() -> list[Path]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0:
        pytest.skip("not a git checkout: nothing is tracked here")
    return [ROOT / name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_tracked_file_carries(what: str) -> None:
    found = []
    for path in _tracked():
        if path.suffix in {".gz", ".png", ".woff2", ".pdf", ".ico"}:
            continue
        match = FORBIDDEN[what].search(path.read_text(encoding="utf-8", errors="replace"))
        if match:
            found.append(f"{path.relative_to(ROOT)}: {match[0]}")
    assert not found
