"""The proof from a log: runs cut as they should be, coverage of the interval simulated, and honest words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.money.proof import Effect, Proof, prove
from boottop.money.runs import Cut, Filters, LogTable, Phase, Run, cut_runs

TRUE_LOG = -0.08
DAY_SD, RUN_SD = 0.03, 0.02


def _log(days: tuple[int, int], rng: np.random.Generator, *, effect: float = TRUE_LOG, day_sd: float = DAY_SD) -> Cut:
    """Runs of an invented boat: three a day, a scatter that a day's runs share, head wind that costs 1 % a m/s."""
    runs, day = [], 0
    phases: tuple[Phase, Phase] = ("before", "after")
    for phase, count in zip(phases, days, strict=True):
        for _ in range(count):
            day += 1
            shared = rng.normal(0.0, day_sd)
            runs += [_run(phase, day, rng, shared=shared + (effect if phase == "after" else 0.0)) for _ in range(3)]
    return Cut(runs=tuple(runs), dropped=(), moments=10 * len(runs), by_hand=False)


def _run(phase: Phase, day: int, rng: np.random.Generator, *, shared: float) -> Run:
    speed, head = rng.uniform(2.5, 4.2), rng.normal(0.0, 3.0)
    burn = 2.0 * (speed / 3.0) ** 3 * np.exp(0.01 * head + shared + rng.normal(0.0, RUN_SD))
    return Run(
        phase=phase, day=day, start_s=day * 86400.0, lasted_s=900.0, speed_m_s=speed, ground_m_s=np.nan, rev_s=np.nan,
        fuel_l_h=burn, head_m_s=head, by_water=True, moments=10,
    )  # fmt: skip


def _only(proof: Proof) -> Effect:
    assert len(proof.effects) == 1
    return proof.effects[0]


@pytest.mark.parametrize("days", [(4, 4), (8, 8), (5, 15)])
def test_the_interval_covers_the_truth_as_often_as_it_says(days: tuple[int, int]) -> None:
    """95 % within the scatter of 300 tries (2.5 of their standard deviations), though runs of a day go together."""
    rng, hits, tries = np.random.default_rng(7), 0, 300
    for _ in range(tries):
        found = _only(prove(_log(days, rng)))
        hits += found.low_share <= np.expm1(TRUE_LOG) <= found.high_share
    assert 0.95 - 2.5 * (0.95 * 0.05 / tries) ** 0.5 <= hits / tries


def test_more_runs_are_about_what_it_takes() -> None:
    """With as many days as it asked for, a change of the size worth knowing is told in most tries (80 % by design)."""
    rng = np.random.default_rng(11)
    asked = [
        found.more_runs
        for _ in range(40)
        if (found := _only(prove(_log((12, 3), rng, effect=np.log(0.95))))).more_runs not in (None, 0)
    ]
    more = int(np.median([one for one in asked if one is not None]))
    told = [_only(prove(_log((12, 3 + more), rng, effect=np.log(0.95)))).told for _ in range(120)]
    assert 1 <= more <= 40
    assert 0.65 <= np.mean(told) <= 0.97


def test_words_say_how_many_runs_are_missing() -> None:
    found = prove(_log((10, 3), np.random.default_rng(3), effect=0.0, day_sd=0.05))
    assert "Not enough data yet: about " in found.verdict
    assert f"about {_only(found).more_runs} more runs" in found.verdict


def test_days_before_the_job_can_be_too_few_for_ever() -> None:
    found = prove(_log((3, 6), np.random.default_rng(5), effect=0.0, day_sd=0.12))
    assert _only(found).more_runs is None
    assert "no number of runs after it would tell" in found.verdict
    assert _only(found).smallest_share > 0.05


def test_without_a_log_from_before_nothing_is_proved() -> None:
    found = prove(_log((0, 9), np.random.default_rng(5)))
    assert found.effects == ()
    assert "cannot be proved" in found.verdict
    assert "about 2 more runs" in prove(_log((6, 1), np.random.default_rng(5))).verdict


def test_no_change_is_said_when_there_is_enough_to_see_one() -> None:
    found = prove(_log((25, 25), np.random.default_rng(8), effect=0.0))
    assert "No change of 5% or more is likely" in found.verdict


def test_speed_at_the_same_revolutions_is_the_other_measure() -> None:
    cut = _log((9, 9), np.random.default_rng(2))
    faster = tuple(replace(run, fuel_l_h=np.nan, rev_s=run.speed_m_s * (10.0 if run.phase == "before" else 9.5))
                   for run in cut.runs)  # fmt: skip
    found = _only(prove(replace(cut, runs=faster)))
    assert found.measure == "speed"
    assert found.change_share == pytest.approx(1.0 / 0.95 - 1.0, rel=1e-6)


def test_like_is_compared_with_like() -> None:
    """Runs at 5 kn before and at 7 kn after say nothing of the job; where some speeds are common, only they count."""
    cut = _log((9, 9), np.random.default_rng(6))
    moved = tuple(replace(run, speed_m_s=run.speed_m_s + (2.0 if run.phase == "after" else 0.0)) for run in cut.runs)
    found = prove(replace(cut, runs=moved))
    assert found.effects == ()
    assert "Not comparable" in found.verdict
    assert "make runs after the launch at the speeds of before" in found.verdict
    added = (*cut.runs, *(replace(run, speed_m_s=9.0) for run in cut.runs if run.phase == "after"))
    assert _only(prove(replace(cut, runs=added))).runs == _only(prove(cut)).runs


def test_an_impeller_that_was_cleaned_is_noticed() -> None:
    rng = np.random.default_rng(4)
    runs = tuple(
        replace(run, ground_m_s=run.speed_m_s * (1.0 if run.phase == "before" else 0.95) + rng.normal(0.0, 0.05))
        for run in _log((9, 9), rng).runs
    )
    notes = prove(Cut(runs=runs, dropped=(), moments=0, by_hand=False)).notes
    assert any("The impeller reads" in note for note in notes)
    steady = tuple(replace(run, ground_m_s=run.speed_m_s + rng.normal(0.0, 0.2)) for run in runs)
    assert not any("impeller reads" in n for n in prove(Cut(runs=steady, dropped=(), moments=0, by_hand=False)).notes)


def _table(minutes: int, **columns: float | np.ndarray[tuple[int], np.dtype[np.float64]]) -> LogTable:
    """A log with a line every half minute."""
    count = 2 * minutes

    def filled(name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.broadcast_to(np.asarray(columns.get(name, np.nan), dtype=np.float64), (count,)).copy()

    return LogTable(
        time_s=30.0 * np.arange(count, dtype=np.float64),
        water_m_s=filled("water_m_s"),
        ground_m_s=filled("ground_m_s"),
        rev_s=filled("rev_s"),
        fuel_l_h=filled("fuel_l_h"),
        wind_m_s=filled("wind_m_s"),
        wind_deg=filled("wind_deg"),
    )


def test_a_run_ends_where_the_throttle_moves() -> None:
    revs = np.repeat([20.0, 30.0], 60)
    found = cut_runs(_table(60, water_m_s=3.0, rev_s=revs, fuel_l_h=5.0), hauled_s=1e6, launched_s=2e6)
    assert [round(run.rev_s) for run in found.runs] == [20, 30]
    assert {run.phase for run in found.runs} == {"before"}


def test_what_is_left_out_is_counted_by_its_reason() -> None:
    wind = np.where(np.arange(120) < 60, 5.0, 12.0)
    found = cut_runs(_table(60, water_m_s=3.0, rev_s=20.0, wind_m_s=wind, wind_deg=0.0), hauled_s=1e6, launched_s=2e6)
    assert dict(found.dropped) == {"true wind above 7.9 m/s": 60}
    assert [run.moments for run in found.runs] == [60]
    assert found.runs[0].head_m_s == pytest.approx(5.0)


def test_apparent_wind_is_turned_into_true_wind() -> None:
    """9 m/s from ahead at 3 m/s is 6 m/s of true wind: in; 9 m/s from astern is 12: out."""
    ahead = replace(_table(30, water_m_s=3.0, rev_s=20.0, wind_m_s=9.0, wind_deg=0.0), wind_is_apparent=True)
    assert cut_runs(ahead, hauled_s=1e6, launched_s=2e6).runs[0].head_m_s == pytest.approx(6.0)
    astern = replace(ahead, wind_deg=np.full(60, 180.0))
    assert cut_runs(astern, hauled_s=1e6, launched_s=2e6).runs == ()


def test_the_days_ashore_are_not_runs() -> None:
    found = cut_runs(_table(60, water_m_s=3.0, rev_s=20.0), hauled_s=900.0, launched_s=1800.0)
    assert [run.phase for run in found.runs] == ["before", "after"]
    assert dict(found.dropped)["between haul-out and launch"] == 31


def test_a_log_kept_by_hand_has_a_run_a_line() -> None:
    table = _table(10, water_m_s=3.0, rev_s=20.0)
    by_hand = replace(table, time_s=3600.0 * np.arange(20, dtype=np.float64))
    found = cut_runs(by_hand, hauled_s=1e6, launched_s=2e6)
    assert found.by_hand
    assert len(found.runs) == 20
    assert cut_runs(table, hauled_s=1e6, launched_s=2e6, filters=Filters(run_min_s=1e5)).runs == ()
