"""What several rooms' tests share: the demonstration job, planned once, and a browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.demo_job import DemoJob, demo_job
from tests.web.phones import chromium


@pytest.fixture(scope="session")
def demo() -> DemoJob:
    """The demonstration job with its plan."""
    return demo_job()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A Chromium, started once a file; skips with the reason where there is none."""
    with chromium() as started:
        yield started
