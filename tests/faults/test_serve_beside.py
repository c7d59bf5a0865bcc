"""A second `boottop serve` on one store says so before anything else."""

from __future__ import annotations

from pathlib import Path

from tests.faults.served import serving

WORDS = "ANOTHER SERVER HAS THIS STORE OPEN"


def test_the_second_server_on_a_store_says_so_and_serves(tmp_path: Path) -> None:
    place = tmp_path / "job.db"
    with serving(place) as first, serving(place) as second:
        assert WORDS not in "".join(first.said)
        assert WORDS in "".join(second.said)
        first.process.kill()
        first.process.wait(20)
        with second.client() as keeper:
            assert keeper.get("/").status_code == 200
    with serving(place) as again:
        assert WORDS not in "".join(again.said)
