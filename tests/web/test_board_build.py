"""The scripts that are shipped are those that their sources build, and small enough for a yard's signal.

Rebuilding needs Node.js with npm and the client's packages (`npm ci` in src/boottop/web/client, which
`python -m tests.prepare` runs where npm is); without them those tests skip.
"""

from __future__ import annotations

import gzip
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CLIENT = ROOT / "src/boottop/web/client"
BUILT = ("board", "hull")
STATIC = ROOT / "src/boottop/web/static"
SHIPPED_MAX = 200_000  # bytes of JavaScript, compressed
SOURCES = ("src", "package.json", "package-lock.json", "vite.config.ts", "vite.hull.config.ts", "tsconfig.json")


def _npm(script: str, *, folder: Path) -> None:
    """Run a script of package.json."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("no npm on this machine")
    if not (CLIENT / "node_modules").is_dir():
        pytest.skip("the client's packages are not installed: run `npm ci` in src/boottop/web/client")
    done = subprocess.run(
        [npm, "run", "--silent", script], cwd=folder, capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == 0, done.stdout + done.stderr


def _contents(static: Path) -> dict[str, bytes]:
    """The built files below a folder of static ones, by their place in it."""
    files = (one for name in BUILT for one in (static / name).rglob("*") if one.is_file())
    return {one.relative_to(static).as_posix(): one.read_bytes() for one in files}


def test_the_shipped_board_is_what_its_sources_build(tmp_path: Path) -> None:
    copy = tmp_path / "web" / "client"
    copy.mkdir(parents=True)
    for name in SOURCES:
        found = CLIENT / name
        if found.is_dir():
            shutil.copytree(found, copy / name)
        else:
            shutil.copy2(found, copy / name)
    if (CLIENT / "node_modules").is_dir():
        (copy / "node_modules").symlink_to(CLIENT / "node_modules", target_is_directory=True)
    _npm("build", folder=copy)
    built, shipped = _contents(tmp_path / "web" / "static"), _contents(STATIC)
    assert sorted(built) == sorted(shipped)
    assert [name for name, content in built.items() if content != shipped[name]] == [], "run `npm run build`, commit"


def test_the_types_of_the_client_hold() -> None:
    _npm("check", folder=CLIENT)


def test_the_rules_on_the_phone_are_those_of_the_server() -> None:
    """The client's own tests: above all the conformance cases, which `boottop.job` passes too."""
    _npm("test", folder=CLIENT)


def test_the_board_is_small_enough_for_a_poor_signal() -> None:
    scripts = [content for name, content in _contents(STATIC).items() if name.endswith(".js")]
    assert len(scripts) >= 3, "the board, its keeper of pages, the picture of the hull"
    assert sum(len(gzip.compress(content)) for content in scripts) <= SHIPPED_MAX


def test_no_source_of_the_client_is_longer_than_the_house_allows() -> None:
    """400 lines a file, as for Python; generated and fetched files are not ours."""
    places = [*(CLIENT / "src").rglob("*.ts"), *(CLIENT / "src").rglob("*.tsx"), *(CLIENT / "src").rglob("*.css")]
    assert len(places) > 30
    assert [one.name for one in places if len(one.read_text(encoding="utf-8").splitlines()) > 400] == []
