"""What must hold for any readings, any log file and any estimate."""

from __future__ import annotations

from contextlib import suppress
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.files.film_csv import read_film_csv
from boottop.files.logger_csv import read_logger_csv
from boottop.files.loose_csv import ColumnMap
from boottop.record.acceptance import iso19840_readings, iso19840_verdict, pa2_areas, pa2_verdict
from boottop.record.balance import balance, combined
from boottop.record.history import YEAR_S, Visit, wear
from boottop.record.readings import FilmReading, Mean, comb_reading, comb_step_um, mean_of

FILMS = st.floats(10.0, 2000.0)


def gauge(films: list[float]) -> list[FilmReading]:
    return [
        FilmReading(method="ultrasonic", zone="side", low_um=um, high_um=um, spot=str(number))
        for number, um in enumerate(films)
    ]


@given(st.floats(0.0, 5000.0))
def test_comb_steps_never_shrink_and_hold_the_film(last_wet_um: float) -> None:
    assert comb_step_um(last_wet_um) <= comb_step_um(last_wet_um + 100.0)
    read = comb_reading(last_wet_um, zone="side")
    assert read.low_um <= read.middle_um <= read.high_um


@given(st.floats(0.1, 5000.0), st.floats(0.1, 5000.0))
def test_more_area_never_wants_fewer_readings(one_m2: float, other_m2: float) -> None:
    small, large = sorted((one_m2, other_m2))
    assert pa2_areas(small) <= pa2_areas(large)
    assert iso19840_readings(small) <= iso19840_readings(large)


@given(st.lists(FILMS, min_size=1, max_size=30), st.floats(1.0, 3.0))
def test_a_thicker_film_is_never_judged_thinner(films: list[float], factor: float) -> None:
    """Against a rule without an upper limit in reach."""
    nominal_um = 300.0
    thin = iso19840_verdict(gauge(films), area_m2=1.0, nominal_um=nominal_um)
    thick = iso19840_verdict(gauge([min(um * factor, 800.0) for um in films]), area_m2=1.0, nominal_um=nominal_um)
    if thin.passed is True and max(films) <= 800.0:
        assert thick.passed is True


@given(st.lists(FILMS, min_size=1, max_size=30))
def test_a_verdict_always_says_why_it_is_not_met(films: list[float]) -> None:
    verdict = pa2_verdict(gauge(films), area_m2=9.0, low_um=200.0, high_um=300.0)
    assert (verdict.passed is True) == (verdict.reasons == ())


@given(st.lists(FILMS, min_size=1, max_size=30))
def test_a_mean_lies_among_its_readings_and_its_doubt_is_positive(films: list[float]) -> None:
    mean = mean_of(gauge(films))
    assert mean is not None
    assert min(films) - 1e-6 <= mean.mean_um <= max(films) + 1e-6
    assert mean.sd_um > 0.0


@given(FILMS, st.floats(1.0, 100.0), FILMS, st.floats(1.0, 100.0))
def test_together_is_between_and_surer_than_either(  # noqa: PLR0917 - as they are drawn
    one_um: float, one_sd: float, other_um: float, other_sd: float
) -> None:
    both = combined((one_um, one_sd), Mean(mean_um=other_um, sd_um=other_sd, count=5, least_um=1.0, most_um=2.0))
    assert both is not None
    assert min(one_um, other_um) - 1e-6 <= both.dry_um <= max(one_um, other_um) + 1e-6
    assert both.sd_um < min(one_sd, other_sd)


@given(st.floats(0.1, 50.0), st.floats(0.5, 100.0), st.floats(0.0, 0.6), st.floats(0.2, 1.0))
def test_litres_are_kept(litres: float, area_m2: float, loss: float, solids: float) -> None:  # noqa: PLR0917
    found = balance(litres, area_m2=area_m2, area_sd_m2=0.1, loss_fraction=loss, solids_fraction=solids, from_pot=False)
    assert found.wet_um * area_m2 / 1000.0 == pytest.approx(litres * (1.0 - loss))
    assert found.dry_um <= found.wet_um
    assert found.dry_sd_um / found.dry_um > found.wet_sd_um / found.wet_um


@given(st.lists(st.tuples(st.floats(0.0, 9.0), st.floats(50.0, 400.0)), min_size=2, max_size=8), st.floats(1.0, 60.0))
def test_the_due_range_holds_the_due_date(points: list[tuple[float, float]], sd_um: float) -> None:
    visits = [
        Visit(at_s=int(1.6e9 + t * YEAR_S), kind="film", zone=None, film_um=um, film_sd_um=sd_um) for t, um in points
    ]
    found = wear(visits, zone="side", least_um=40.0, now_s=1_700_000_000)
    if found is None or found.due_s is None:
        return
    assert found.due_early_s is not None
    assert found.due_early_s <= found.due_s
    assert found.due_late_s is None or found.due_s <= found.due_late_s


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    for reader in (
        lambda: read_film_csv(content, name="x", zone_names=["side"], yard_zone=ZoneInfo("UTC"), given=ColumnMap()),
        lambda: read_logger_csv(content, name="x", yard_zone=ZoneInfo("UTC"), job="j", given=ColumnMap()),
    ):
        with suppress(InputError):  # anything else is a fault of ours
            reader()


@given(st.text(alphabet="zonetimeDFTumil,;\t\n0123456789.-/: °C%\"'", max_size=200))
def test_any_table_is_read_or_refused(text: str) -> None:
    test_any_bytes_are_read_or_refused.hypothesis.inner_test(text.encode())  # type: ignore[attr-defined]
