"""The wheel and the source archive as they are built, and the wheel as a stranger's machine has it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

import boottop

ROOT = Path(__file__).parents[2]
LONGEST_S = 600.0
AWAY = re.compile(
    r"NewConnectionError|NameResolutionError|ConnectTimeout|ReadTimeoutError|ProxyError|Failed to establish|"
    r"Network is unreachable|Connection refused|Temporary failure in name resolution"
)
"""What pip says when the registry cannot be reached; anything else that it says is a failure of ours."""
FOREIGN = ("PYTHON", "VIRTUAL_ENV", "NUMBA_", "XDG_", "BOOTTOP_", "COV_")
"""Variables by which the developer's machine could help a fresh install along."""
REFUSING = "http://127.0.0.1:9"


def scrubbed() -> dict[str, str]:
    """This machine's environment without what leads to the repository or its tools."""
    return {name: value for name, value in os.environ.items() if not name.startswith(FOREIGN)}


def call(*words: str | Path, cwd: Path, env: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """Run a program and keep what it says."""
    return subprocess.run(
        [*map(str, words)], cwd=cwd, env=env, capture_output=True, text=True, timeout=LONGEST_S, check=False
    )


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with wheel and source archive, the wheel built from the archive."""
    folder = tmp_path_factory.mktemp("dist")
    done = call(
        sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, ROOT, cwd=folder, env=dict(os.environ)
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


CLIENT = ROOT / "src" / "boottop" / "web" / "client"
"""Sources of the board on the phone: what they are built into is packed, they are not."""


def the_wheel(built: Path) -> Path:
    """The one wheel of a folder."""
    (wheel,) = built.glob("*.whl")
    return wheel


def in_the_wheel(built: Path) -> set[str]:
    """Names of the files in the wheel."""
    with zipfile.ZipFile(the_wheel(built)) as opened:
        return set(opened.namelist())


def in_the_archive(built: Path) -> set[str]:
    """Names of the files in the source archive, below its one folder."""
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as opened:
        return {name.partition("/")[2] for name in opened.getnames()}


def test_the_wheel_is_pure_and_carries_its_version(built: Path) -> None:
    assert the_wheel(built).name == f"boottop-{boottop.__version__}-py3-none-any.whl"


def test_the_wheel_has_every_module_and_all_data_of_the_package(built: Path) -> None:
    source = ROOT / "src"
    compiled = {".pyc", ".nbi", ".nbc"}
    wanted = {
        path.relative_to(source).as_posix()
        for path in (source / "boottop").rglob("*")
        if path.is_file() and path.suffix not in compiled and not path.is_relative_to(CLIENT)
    }
    assert {"boottop/demo/job.toml", "boottop/demo/weather.csv", "boottop/files/data/job_template.toml"} <= wanted
    assert "boottop/report/templates/plan.html.j2" in wanted
    assert wanted - in_the_wheel(built) == set()


def test_the_wheel_has_nothing_else(built: Path) -> None:
    names = in_the_wheel(built)
    assert "boottop/py.typed" in names
    assert not [name for name in names if name.startswith("boottop/web/client/")]
    assert {name.split("/")[0] for name in names} == {"boottop", f"boottop-{boottop.__version__}.dist-info"}
    assert [
        name for name in names if re.search(r"\.(pyc|nbi|nbc)$|__pycache__|(^|/)(test_|tests/|conftest)", name)
    ] == []


def test_the_archive_has_what_make_needs_and_nothing_compiled(built: Path) -> None:
    names = in_the_archive(built)
    needed = {"Makefile", "README.md", "mkdocs.yml", "requirements.lock", "requirements-dev.lock", "pyproject.toml"}
    assert needed <= names
    assert {"packaging/boottop-plan.timer", "docs/install.md", "tests/install/test_wheel.py"} <= names
    assert [name for name in names if re.search(r"\.(pyc|nbi|nbc)$|(^|/)(\.venv|node_modules|build|dist)/", name)] == []


@pytest.fixture(scope="module")
def installed(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Programs of an environment that has the lock and the wheel, and no tools. Skips without a registry."""
    place = tmp_path_factory.mktemp("clean")
    environment = {**scrubbed(), "PIP_RETRIES": "1", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}
    made = call(sys.executable, "-m", "venv", place / "venv", cwd=place, env=environment)
    assert made.returncode == 0, made.stderr
    programs = place / "venv" / ("Scripts" if os.name == "nt" else "bin")
    for what in (["--require-hashes", "-r", str(ROOT / "requirements.lock")], ["--no-deps", str(the_wheel(built))]):
        done = call(programs / "python", "-m", "pip", "install", "--quiet", *what, cwd=place, env=environment)
        if done.returncode != 0 and AWAY.search(done.stderr):
            pytest.skip("the package registry cannot be reached: the libraries of the lock cannot be fetched")
        assert done.returncode == 0, done.stderr
    return programs


def test_a_stranger_runs_doctor_demo_and_new(installed: Path, tmp_path: Path) -> None:
    """In a home of its own, far from the repository, without a connection and without development tools."""
    home, work = tmp_path / "home", tmp_path / "work"
    home.mkdir()
    work.mkdir()
    offline = {"HTTP_PROXY": REFUSING, "HTTPS_PROXY": REFUSING, "ALL_PROXY": REFUSING, "NO_PROXY": ""}
    environment = {**scrubbed(), **offline, "HOME": str(home), "USERPROFILE": str(home), "COLUMNS": "100"}
    lacks = "import importlib.util as u, boottop; print(boottop.__file__, u.find_spec('pytest'), u.find_spec('mypy'))"
    where = call(installed / "python", "-c", lacks, cwd=work, env=environment)
    assert where.returncode == 0, where.stderr
    assert Path(where.stdout.split()[0]).is_relative_to(installed.parent)
    assert where.stdout.split()[1:] == ["None", "None"]

    for words in (["doctor"], ["demo", "--out", "out"], ["new", "my-boat"], ["check", "my-boat/job.toml"]):
        done = call(installed / "boottop", *words, cwd=work, env=environment)
        assert done.returncode == 0, f"boottop {' '.join(words)}: {done.stdout}{done.stderr}"
        assert "Traceback" not in done.stdout + done.stderr
    assert {path.name for path in (work / "out").iterdir()} >= {"plan.html", "plan.ics", "order.csv"}
    assert "<html" in (work / "out" / "plan.html").read_text(encoding="utf-8")
