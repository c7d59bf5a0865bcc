"""An empty store on either database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from boottop.store.open import open_store
from boottop.store.store import Store
from tests.store.made import ENGINES, new_address


@pytest.fixture(params=ENGINES)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where an empty store may be made."""
    return new_address(str(request.param), tmp_path)


@pytest.fixture
def store(address: str, tmp_path: Path) -> Iterator[Store]:
    """An empty store."""
    with open_store(address, photo_folder=tmp_path / "photos") as opened:
        yield opened


@pytest.fixture
def file_store(tmp_path: Path) -> Iterator[Store]:
    """An empty store in a file."""
    with open_store(tmp_path / "job.db") as opened:
        yield opened
