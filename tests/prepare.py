"""Bring what the tests need and a virtual environment cannot carry: a browser, from Debian's packages, when root.

Elsewhere nothing is installed and the browser tests skip, saying so.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def browser_path() -> str | None:
    """Path of a Chromium on this machine, or None."""
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def main() -> int:
    """Install Chromium if it is missing and can be installed; never fails the run."""
    if browser_path() or os.name != "posix" or os.geteuid() != 0 or not shutil.which("apt-get"):
        return 0
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["apt-get", "-q", "update"],
        ["apt-get", "-q", "-y", "install", "--no-install-recommends", "chromium"],
    ):
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            sys.stderr.write(f"could not install a browser ({' '.join(command)}); browser tests will skip\n")
            return 0
    return 0


if __name__ == "__main__":
    sys.exit(main())
