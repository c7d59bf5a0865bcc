"""Archives taken apart and put together again with something changed."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from boottop.files.archive import MANIFEST

KEPT = Path(__file__).parents[1] / "data" / "archives" / "job-v1.boottop.zip"


def changed(
    target: Path,
    *,
    files: Callable[[dict[str, bytes]], None] = lambda _: None,
    manifest: Callable[[dict[str, Any]], None] = lambda _: None,
    sums: bool = True,
) -> Path:
    """The kept archive with its files and manifest changed; `sums`: the manifest's checksums follow the changes."""
    with zipfile.ZipFile(KEPT) as archive:
        contents = {name: archive.read(name) for name in archive.namelist()}
    about: dict[str, Any] = json.loads(contents.pop(MANIFEST))
    files(contents)
    if sums:
        about["files"] = {name: hashlib.sha256(content).hexdigest() for name, content in contents.items()}
    manifest(about)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents.items():
            archive.writestr(name, content)
        archive.writestr(MANIFEST, json.dumps(about))
    return target
