"""The site of `make docs`: built strictly from docs/, every page in its list, nothing fetched from elsewhere."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
FETCHED_BY = {"script": "src", "img": "src", "iframe": "src", "source": "src", "video": "src", "audio": "src"}
PASSIVE_LINKS = {"canonical", "next", "prev", "alternate"}
ELSEWHERE = re.compile(r"^(?:[a-z]+:)?//", re.I)


class Assets(HTMLParser):
    """Collects what a browser fetches by itself when it shows a page, and where its links lead."""

    def __init__(self) -> None:
        super().__init__()
        self.fetched: list[str] = []
        self.links: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Called for every tag."""
        given = {name: value or "" for name, value in attrs}
        if tag in FETCHED_BY and FETCHED_BY[tag] in given:
            self.fetched.append(given[FETCHED_BY[tag]])
        if tag == "link" and given.get("rel") not in PASSIVE_LINKS:
            self.fetched.append(given.get("href", ""))
        if tag == "a":
            self.links.add(given.get("href", ""))


def read(page: Path) -> Assets:
    """What one page fetches and where it leads."""
    assets = Assets()
    assets.feed(page.read_text(encoding="utf-8"))
    return assets


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site, in a folder of its own. What the theme announces on stderr is not ours to mind."""
    folder = tmp_path_factory.mktemp("site")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--config-file", ROOT / "mkdocs.yml", "-d", folder],
        cwd=folder,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return folder


def test_every_page_of_docs_is_in_the_list(site: Path) -> None:
    links = read(site / "index.html").links
    pages = [page.relative_to(DOCS).with_suffix(".html").as_posix() for page in sorted(DOCS.rglob("*.md"))]
    assert [page for page in pages if not (site / page).is_file()] == []
    assert [page for page in pages if page != "index.html" and page not in links] == []


def test_no_page_fetches_anything_from_another_machine(site: Path) -> None:
    pages = sorted(site.rglob("*.html"))
    assert len(pages) > 20
    found = {page.name: [url for url in read(page).fetched if ELSEWHERE.match(url)] for page in pages}
    assert {name: urls for name, urls in found.items() if urls} == {}


def test_no_style_fetches_anything_from_another_machine(site: Path) -> None:
    styles = sorted(site.rglob("*.css"))
    assert styles
    for style in styles:
        text = style.read_text(encoding="utf-8")
        fetched = re.findall(r"url\([\"']?([^\"')]+)|@import\s+[\"']([^\"']+)", text)
        assert [pair for pair in fetched if ELSEWHERE.match(pair[0] or pair[1])] == [], style.name


def test_everything_that_a_page_fetches_is_there(site: Path) -> None:
    page = site / "index.html"
    fetched = [url.split("?")[0] for url in read(page).fetched]
    assert fetched
    assert [url for url in fetched if not (page.parent / url).is_file()] == []
