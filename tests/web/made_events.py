"""Events as a phone makes them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

from boottop.job.coding import time_text


def event(kind: str = "note", *, ahead: timedelta = timedelta(0), **rest: Any) -> dict[str, Any]:
    """An event that is fit to be written down, a note unless said otherwise."""
    at = time_text(datetime.now(UTC) + ahead)
    made = {
        "id": str(uuid4()),
        "kind": kind,
        "happened": at,
        "recorded": at,
        "device": "phone-1",
        "order": 1,
        "who": "Ana",
        "zone": None,
        "data": {"text": "invented"} if kind == "note" else {},
    }
    return made | rest
