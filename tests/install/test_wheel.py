"""The wheel and the source archive as they are built, and the wheel as a stranger's machine has it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

import boottop

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
posix = pytest.mark.skipif(os.name == "nt", reason="the recipe that is followed is the one for Linux and macOS")
LONGEST_S = 600.0
AWAY = re.compile(
    r"NewConnectionError|NameResolutionError|ConnectTimeout|ReadTimeoutError|ProxyError|Failed to establish|"
    r"Network is unreachable|Connection refused|Temporary failure in name resolution"
)
"""What pip says when the registry cannot be reached; anything else that it says is a failure of ours."""
FOREIGN = ("PYTHON", "VIRTUAL_ENV", "NUMBA_", "XDG_", "BOOTTOP_", "COV_")
"""Variables by which the developer's machine could help a fresh install along."""
REFUSING = "http://127.0.0.1:9"
COMPILED = re.compile(r"\.(pyc|nbi|nbc)$|__pycache__")
NOT_PACKED = "boottop/web/client/"
"""What the board is built from; the board itself lies in `web/static`."""
BUILD_TOOLS = {"hatchling", "editables"}
"""In the lock so that a checkout can install itself; nothing that runs needs them."""
IMPORT_ALL = """
import importlib, pkgutil, boottop
for module in pkgutil.walk_packages(boottop.__path__, "boottop."):
    if not module.name.startswith("boottop.store.migrations.") and not module.name.endswith("__main__"):
        importlib.import_module(module.name)
"""


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


def in_the_wheel(built: Path) -> dict[str, bytes]:
    """The files of the wheel."""
    with zipfile.ZipFile(the_wheel(built)) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def in_the_archive(built: Path) -> dict[str, bytes]:
    """The files of the source archive, named from below its one folder."""
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as opened:
        files = ((member.name, opened.extractfile(member)) for member in opened.getmembers())
        return {name.partition("/")[2]: file.read() for name, file in files if file}


def test_the_wheel_is_pure_and_carries_the_one_version(built: Path) -> None:
    assert the_wheel(built).name == f"boottop-{boottop.__version__}-py3-none-any.whl"
    written = re.findall(r"boottop-(\d[\d.]*)-py3", "".join(path.read_text("utf-8") for path in DOCS.glob("*.md")))
    assert set(written) == {boottop.__version__}, "what the guides tell to type is the wheel that is built"


def test_the_wheel_has_every_module_and_all_data_of_the_package(built: Path) -> None:
    source = ROOT / "src"
    wanted = {path.relative_to(source).as_posix() for path in (source / "boottop").rglob("*") if path.is_file()}
    wanted = {name for name in wanted if not COMPILED.search(name) and not name.startswith(NOT_PACKED)}
    assert {"boottop/demo/job.toml", "boottop/demo/weather.csv", "boottop/files/data/job_template.toml"} <= wanted
    assert {"boottop/report/templates/plan.html.j2", "boottop/store/migrations/env.py"} <= wanted
    assert wanted - in_the_wheel(built).keys() == set()


def test_the_wheel_has_nothing_else(built: Path) -> None:
    names = in_the_wheel(built).keys()
    assert "boottop/py.typed" in names
    assert {name.split("/")[0] for name in names} == {"boottop", f"boottop-{boottop.__version__}.dist-info"}
    foreign = re.compile(r"(^|/)(test_|tests?/|conftest)|\.tsx?$|node_modules|(^|/)\.")
    assert [name for name in names if COMPILED.search(name) or foreign.search(name)] == []


def test_the_archive_has_what_make_needs_and_nothing_compiled(built: Path) -> None:
    names = in_the_archive(built).keys()
    needed = {"Makefile", "README.md", "mkdocs.yml", "requirements.lock", "requirements-dev.lock", "pyproject.toml"}
    assert needed <= names
    assert {"packaging/boottop.service", "docs/install.md", "tests/install/test_wheel.py"} <= names
    foreign = re.compile(r"(^|/)(\.venv|node_modules|build|dist|out)/")
    assert [name for name in names if COMPILED.search(name) or foreign.search(name)] == []


def test_the_wheel_made_from_the_archive_is_the_archives_package_byte_for_byte(built: Path) -> None:
    wheel, archive = in_the_wheel(built), in_the_archive(built)
    package = {name: content for name, content in wheel.items() if name.startswith("boottop/")}
    sources = {name.removeprefix("src/"): content for name, content in archive.items() if name.startswith("src/")}
    assert package == {name: content for name, content in sources.items() if not name.startswith(NOT_PACKED)}


def test_wheel_lock_and_their_sources_ask_for_the_same_libraries() -> None:
    wheel = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    asked = {re.split(r"[<>=\[ ]", line)[0] for line in wheel}
    listed = set((ROOT / "requirements.in").read_text("utf-8").split())
    assert listed - BUILD_TOOLS == asked
    assert listed >= BUILD_TOOLS
    locked = set(re.findall(r"^([\w.-]+)==", (ROOT / "requirements.lock").read_text("utf-8"), re.M))
    assert listed - locked == set()


def recipe(heading: str) -> list[str]:
    """The indented commands below one heading of the install guide."""
    section = (DOCS / "install.md").read_text("utf-8").split(f"## {heading}\n")[1].split("\n## ")[0]
    return re.findall(r"^ {4}(\S.*)$", section, re.M)


@pytest.fixture(scope="module")
def home(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A stranger's home in which the install guide was followed, with the lock. Skips without a registry."""
    place = tmp_path_factory.mktemp("stranger")
    shutil.copy(the_wheel(built), place)
    shutil.copy(ROOT / "requirements.lock", place)
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    environment = {**scrubbed(), "PATH": path, "PIP_RETRIES": "1", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}
    environment["PIP_CACHE_DIR"] = pip_cache()
    for command in ("python3 -m venv ~/boottop-venv", *recipe("Exactly the versions that were tested")):
        done = call("sh", "-c", command, cwd=place, env={**environment, "HOME": str(place)})
        if done.returncode != 0 and AWAY.search(done.stderr):
            pytest.skip("the package registry cannot be reached: the libraries of the lock cannot be fetched")
        assert done.returncode == 0, f"{command}: {done.stderr}"
    return place


def pip_cache() -> str:
    """Where this machine's pip keeps what it fetched once."""
    found = call(sys.executable, "-m", "pip", "cache", "dir", cwd=ROOT, env=dict(os.environ))
    return found.stdout.strip()


def as_stranger(home: Path, *words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a program of the new environment without a connection; it must succeed and show no traceback."""
    offline = {"HTTP_PROXY": REFUSING, "HTTPS_PROXY": REFUSING, "ALL_PROXY": REFUSING, "NO_PROXY": ""}
    program = home / "boottop-venv" / "bin" / words[0]
    environment = {**scrubbed(), **offline, "HOME": str(home), "COLUMNS": "100"}
    done = call(program, *words[1:], cwd=cwd, env=environment)
    assert done.returncode == 0, f"{' '.join(words)}: {done.stdout}{done.stderr}"
    assert "Traceback" not in done.stdout + done.stderr
    return done


@posix
def test_a_stranger_has_the_package_whole_and_no_tools(home: Path, tmp_path: Path) -> None:
    lacks = "import importlib.util as u, boottop; print(boottop.__file__, u.find_spec('pytest'), u.find_spec('mypy'))"
    where, *tools = as_stranger(home, "python", "-c", lacks, cwd=tmp_path).stdout.split()
    assert Path(where).is_relative_to(home / "boottop-venv")
    assert tools == ["None", "None"]
    as_stranger(home, "python", "-m", "pip", "check", cwd=tmp_path)
    as_stranger(home, "python", "-c", IMPORT_ALL, cwd=tmp_path)


@posix
def test_a_stranger_runs_doctor_demo_and_new(home: Path, tmp_path: Path) -> None:
    """In a home of its own, far from the repository, without a connection and without development tools."""
    for words in (["doctor"], ["demo", "--out", "out"], ["new", "my-boat"], ["check", "my-boat/job.toml"]):
        as_stranger(home, "boottop", *words, cwd=tmp_path)
    assert {path.name for path in (tmp_path / "out").iterdir()} >= {"plan.html", "plan.ics", "order.csv"}
    assert "<html" in (tmp_path / "out" / "plan.html").read_text(encoding="utf-8")
