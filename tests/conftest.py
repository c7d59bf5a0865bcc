"""What several rooms' tests share: the demonstration job, planned once."""

from __future__ import annotations

import pytest

from tests.demo_job import DemoJob, demo_job


@pytest.fixture(scope="session")
def demo() -> DemoJob:
    """The demonstration job with its plan."""
    return demo_job()
