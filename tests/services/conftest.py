"""A server for every test that asks for one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.services.server import Service, running


@pytest.fixture
def service() -> Iterator[Service]:
    with running() as made:
        yield made
