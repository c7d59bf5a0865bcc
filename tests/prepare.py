"""Bring what the tests need and a virtual environment cannot carry.

From Debian's packages, when root: a browser, and PostgreSQL's programs, of which the tests start a server of their own.
With npm, where that is: the packages that build the board and look at its pages, as the lock file names them.
Elsewhere nothing is installed and the tests that need them skip, saying so.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.store.postgres import server_programs

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
CLIENT = Path(__file__).resolve().parents[1] / "src/boottop/web/client"
CLUSTER_SETTINGS = Path("/etc/postgresql-common/createcluster.conf")


def browser_path() -> str | None:
    """Path of a Chromium on this machine, or None."""
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def main() -> int:
    """Install what is missing and can be installed; never fails the run."""
    _client_packages()
    if os.name != "posix" or os.geteuid() != 0 or not shutil.which("apt-get"):
        return 0
    missing = [("a browser", _install_browser)] if browser_path() is None else []
    if server_programs() is None:
        missing.append(("PostgreSQL", _install_postgres))
    if missing and not _apt("update"):
        sys.stderr.write("could not read the lists of packages; tests that need more will skip\n")
        return 0
    for what, install in missing:
        if not install():
            sys.stderr.write(f"could not install {what}; its tests will skip\n")
    return 0


def _client_packages() -> None:
    """What package-lock.json names, into the client's own folder, which git passes over."""
    npm = shutil.which("npm")
    if npm is None or (CLIENT / "node_modules").is_dir():
        return
    if subprocess.run([npm, "ci"], cwd=CLIENT, capture_output=True, check=False).returncode != 0:
        sys.stderr.write("could not install the packages of the board; the tests that rebuild it will skip\n")


def _install_browser() -> bool:
    return _apt("-y", "install", "--no-install-recommends", "chromium")


def _install_postgres() -> bool:
    """The programs without the server that the package would set up and start for the whole machine."""
    if not _apt("-y", "install", "--no-install-recommends", "postgresql-common"):
        return False
    settings = CLUSTER_SETTINGS.read_text(encoding="utf-8") if CLUSTER_SETTINGS.exists() else ""
    CLUSTER_SETTINGS.write_text(f"create_main_cluster = false\n{settings}", encoding="utf-8")
    try:
        return _apt("-y", "install", "--no-install-recommends", "postgresql")
    finally:
        CLUSTER_SETTINGS.write_text(settings, encoding="utf-8")


def _apt(*words: str) -> bool:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    command = ["apt-get", "-q", *words]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False).returncode == 0


if __name__ == "__main__":
    sys.exit(main())
