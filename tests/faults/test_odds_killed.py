"""A study on a Dask cluster: the same numbers as on threads, also when a worker is killed in the middle."""

from __future__ import annotations

import os
import signal
from dataclasses import fields, replace

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.files.weather.stretches import load_stretches
from boottop.odds_places import Place, ashore_at
from boottop.odds_spread import Spread, run_study
from boottop.odds_work import Piece, Season, Study, pieces_of
from boottop.plan.odds_ways import Option, Way
from boottop.workflow import Ashore
from tests.demo_job import DEMO_DIR
from tests.odds.study import demo_ashore

distributed = pytest.importorskip("distributed", reason="the extra boottop[cluster] is not installed")
STUDY = Study(ways=(Way(option=Option(people=3), policy="side_a_day", first="port"),), horizon_days=14)


def pieces(ashore: Ashore) -> list[Piece]:
    """Three short pieces of the demonstration's weather."""
    from datetime import date

    stretches = load_stretches(DEMO_DIR / "weather.csv", site=ashore.job.site)
    found: list[Piece] = []
    for day in (22, 23, 24):
        study = replace(STUDY, season=Season(first=(4, day), last=(4, day)))
        covers = (date(2022, 4, 18), date(2022, 6, 15))
        found += pieces_of(ashore.job, "demo", stretches.weathers, study=study, covers=covers)[0]
    return found


def test_a_killed_worker_loses_nothing_and_changes_no_bit() -> None:
    ashore = demo_ashore()
    cape = ashore_at(ashore, Place(name="b", files=(), degrees=(43.5, -70.2), zone_name="America/Halifax"))[0]
    sites = {"a": ashore, "b": cape}
    work = [replace(piece, at=name) for name, piece in zip("aba", pieces(ashore), strict=True)]
    here = run_study(sites, work, STUDY, spread=Spread(threads=2), told=lambda done, of: None)
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as cluster:
        killed: list[int] = []

        def told(done: int, of: int) -> None:
            if done == 1 and not killed:
                killed.append(next(iter(cluster.workers.values())).process.pid)
                os.kill(killed[0], signal.SIGKILL)

        there = run_study(sites, work, STUDY, spread=Spread(dask=cluster.scheduler_address), told=told)
    assert killed
    for one, other in zip(here, there, strict=True):
        assert np.array_equal(one.start_day, other.start_day)
        for field in fields(one.outcomes):
            assert np.array_equal(getattr(one.outcomes, field.name), getattr(other.outcomes, field.name))


def test_a_cluster_that_is_not_there_is_named() -> None:
    ashore = demo_ashore()
    with pytest.raises(InputError, match="does not answer"):
        run_study(
            {"": ashore},
            pieces(ashore),
            STUDY,
            spread=Spread(dask="tcp://127.0.0.1:9", wait_s=1.0),
            told=lambda done, of: None,
        )
