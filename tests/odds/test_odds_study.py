"""A study on real weather: pieces, what holes cost, folders that are taken up again, the same from any worker."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.files.documents import as_json
from boottop.files.odds_json import odds_document
from boottop.files.weather.stretches import Stretches, load_stretches
from boottop.odds_ask import Ask, answer, days_wanted, season_of, study_ways
from boottop.odds_places import Place, ashore_at
from boottop.odds_spread import Spread, digest, part_bytes, read_part, run_study
from boottop.odds_wish import Wish
from boottop.odds_work import Part, Season, pieces_of, walk_piece, weekly_lifts
from boottop.plan.odds_result import Question
from boottop.report.odds_of import placed, read_odds
from boottop.report.odds_page import odds_page
from boottop.report.odds_picture import PRINT, STEPS, picture_svg, png_of, step_of
from boottop.workflow import Ashore
from tests.demo_job import DEMO_DIR
from tests.odds.study import STUDY, demo_ashore, small_answer


@lru_cache(maxsize=1)
def demo() -> tuple[Ashore, Stretches]:
    """The demonstration job and its weather."""
    ashore = demo_ashore()
    return ashore, load_stretches(DEMO_DIR / "weather.csv", site=ashore.job.site)


@lru_cache(maxsize=1)
def part() -> Part:
    """The one piece of the study, walked."""
    ashore, stretches = demo()
    (piece,), _ = pieces_of(ashore.job, "demo", stretches.weathers, study=STUDY, covers=covered())
    return walk_piece(ashore, piece, STUDY)


def covered() -> tuple[date, date]:
    return date(2022, 4, 18), date(2022, 6, 15)


def same(one: Part, other: Part) -> bool:
    """Equal in every number."""
    arrays: list[tuple[Any, Any]] = [(one.start_day, other.start_day), (one.start_minute, other.start_minute)]
    arrays += [(getattr(one.outcomes, f.name), getattr(other.outcomes, f.name)) for f in fields(one.outcomes)]
    return all(np.array_equal(a, b) and a.dtype == b.dtype for a, b in arrays) and one.notes == other.notes


def test_starts_are_every_day_of_the_season_with_its_horizon_known() -> None:
    assert part().start_day.tolist() == [date(2022, 4, day).toordinal() for day in range(22, 28)]
    assert set(part().start_minute.tolist()) == {0}
    assert part().outcomes.days.shape == (2, 6)
    assert (part().outcomes.days >= -1).all()
    assert (part().outcomes.days <= 21).all()


def test_starts_whose_horizon_runs_off_the_weather_are_counted_not_walked() -> None:
    ashore, stretches = demo()
    study = replace(STUDY, season=Season(first=(5, 1), last=(6, 10)))
    (piece,), (year,) = pieces_of(ashore.job, "demo", stretches.weathers, study=study, covers=covered())
    assert piece.last_day == date(2022, 5, 24)
    assert (year.wanted, year.walked, year.left_out) == (41, 24, 17)


def test_a_hole_leaves_out_the_starts_before_it() -> None:
    ashore, stretches = demo()
    whole = stretches.weathers[0]
    early = replace(
        whole,
        filled={name: marks[:800] for name, marks in whole.filled.items()},
        **{
            f.name: getattr(whole, f.name)[:, :800]
            for f in fields(whole)
            if f.name.endswith(("_c", "_s", "_mm", "_m2"))
        },
        pressure_pa=whole.pressure_pa[:, :800],
        cloud=whole.cloud[:, :800],
    )
    pieces, (year,) = pieces_of(ashore.job, "demo", [early], study=replace(STUDY, season=Season()), covers=covered())
    assert pieces[0].last_day < date(2022, 5, 1)
    assert year.left_out == year.wanted - year.walked > 40


def test_every_slot_of_a_day_can_be_a_start() -> None:
    ashore, stretches = demo()
    study = replace(STUDY, every_slot=True, season=Season(first=(4, 25), last=(4, 25)))
    (piece,), _ = pieces_of(ashore.job, "demo", stretches.weathers, study=study, covers=covered())
    found = walk_piece(ashore, piece, study)
    assert found.start_day.size == 96
    assert np.all(np.diff(found.outcomes.ashore[0][found.outcomes.days[0] >= 0]) <= 0)


def test_the_weekly_lifts_of_the_sheet_are_carried_over_and_the_clock_stays_local() -> None:
    ashore, _ = demo()
    zone = ZoneInfo("America/New_York")
    begin = ashore.job.plan.wishes.earliest_haul.replace(month=10, day=31)
    found = weekly_lifts(ashore.job.plan, zone, begin=begin, end=begin + timedelta(days=14))
    assert {slot.astimezone(zone).strftime("%H:%M") for slot in found} == {"08:00", "13:00"}
    assert {slot.astimezone(zone).weekday() for slot in found} == set(range(5))
    tidal = replace(ashore.job.plan, yard=replace(ashore.job.plan.yard, tidal=True))
    with pytest.raises(InputError, match=r"lifts that go by the tide"):
        weekly_lifts(tidal, zone, begin=begin, end=begin + timedelta(days=14))


def test_a_part_survives_its_file_bit_by_bit_and_a_spoilt_file_is_noticed() -> None:
    content = part_bytes(part())
    again = read_part(content)
    assert again is not None
    assert same(part(), again)
    assert read_part(content[: len(content) // 2]) is None
    assert read_part(b"not an archive") is None


def test_a_folder_of_finished_pieces_is_taken_up_again(tmp_path: Path) -> None:
    ashore, stretches = demo()
    pieces, _ = pieces_of(ashore.job, "demo", stretches.weathers, study=STUDY, covers=covered())
    told: list[tuple[int, int]] = []
    for _ in range(2):
        (found,) = run_study(
            {"": ashore},
            pieces,
            STUDY,
            spread=Spread(folder=tmp_path, threads=2),
            told=lambda done, of: told.append((done, of)),
        )
        assert same(found, part())
    assert told == [(0, 1), (1, 1), (1, 1)]
    (kept,) = tmp_path.glob("*.npz")
    kept.write_bytes(kept.read_bytes()[:100])
    (found,) = run_study({"": ashore}, pieces, STUDY, spread=Spread(folder=tmp_path), told=lambda done, of: None)
    assert same(found, part())


def test_another_study_does_not_take_up_these_pieces() -> None:
    assert digest(STUDY) == digest(replace(STUDY))
    assert digest(STUDY) != digest(replace(STUDY, horizon_days=22))
    assert digest({"a": (1, 2.0)}) != digest({"a": (1, 2)})


def test_an_interrupt_keeps_what_is_done(tmp_path: Path) -> None:
    ashore, stretches = demo()
    both = [replace(STUDY, season=Season(first=(4, day), last=(4, day))) for day in (25, 26)]
    pieces = [
        pieces_of(ashore.job, f"day {index}", stretches.weathers, study=study, covers=covered())[0][0]
        for index, study in enumerate(both)
    ]

    def told(done: int, of: int) -> None:
        if done == 1 and of == 2 and not list(tmp_path.glob("stop")):
            (tmp_path / "stop").touch()
            raise KeyboardInterrupt

    study = replace(STUDY, season=Season())
    with pytest.raises(KeyboardInterrupt, match=r"^$"):
        run_study({"": ashore}, pieces, study, spread=Spread(folder=tmp_path, threads=1), told=told)
    assert len(list(tmp_path.glob("*.npz"))) == 1
    counts: list[int] = []
    run_study(
        {"": ashore}, pieces, study, spread=Spread(folder=tmp_path, threads=1), told=lambda done, _: counts.append(done)
    )
    assert counts[0] == 1


def test_answer_page_and_pictures() -> None:
    found = small_answer()
    (place,) = found.places
    (option,) = place.odds.options
    assert option.best.here is not None
    assert sum(row.never.starts for row in option.best.weeks) == place.odds.starts == 6
    page = odds_page(odds_document(found))
    assert "One year says nothing of how years differ" in page
    assert "<script" not in page
    assert "6 of 6 start days walked" in page
    svg = picture_svg([place.odds], title="a < b", currency="USD")
    assert "a &lt; b" in svg
    assert png_of(svg, pixels_per_inch=36.0)[:8] == b"\x89PNG\r\n\x1a\n"


def test_cells_change_ground_where_they_say() -> None:
    assert [step_of(share) for share in (0.0, *STEPS, 1.0)] == [0, 1, 2, 3, 4, 4]


def test_figures_in_cells_stand_out_seven_to_one() -> None:
    """Contrast by WCAG 2.1, relative luminance (read)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for ground, ink in zip(PRINT.grounds, PRINT.inks, strict=True):
        low, high = sorted((luminance(ground), luminance(ink)))
        assert (high + 0.05) / (low + 0.05) >= 7.0


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        (Wish(people=(1,)), "an own job that takes 2"),
        (Wish(people=(3,), tents=(True,)), ""),
    ],
)
def test_wishes_are_held_against_the_job(wish: Wish, says: str) -> None:
    ashore, _ = demo()
    if says:
        with pytest.raises(InputError, match=says):
            study_ways(ashore, wish)
    else:
        assert {way.option.tent for way in study_ways(ashore, wish)} == {True}


def test_a_season_is_two_days_of_the_year_and_may_run_over_new_year() -> None:
    winter = season_of("11-15", "02-10")
    assert winter.holds(date(2021, 12, 31))
    assert not winter.holds(date(2021, 7, 1))
    with pytest.raises(InputError, match="a day such as 04-15"):
        season_of("13-40", "02-10")


def test_the_target_is_what_the_sheet_wants() -> None:
    assert days_wanted(demo()[0]) == 21


def test_years_and_places_give_the_same_bits_on_any_number_of_workers(tmp_path: Path) -> None:
    copy = tmp_path / "cape.csv"
    copy.write_bytes((DEMO_DIR / "weather.csv").read_bytes())
    places = (
        Place(name="Harbour", files=(DEMO_DIR / "weather.csv",)),
        Place(name="Cape", files=(copy,), degrees=(43.5, -70.2), zone_name="America/Halifax"),
    )
    study = replace(STUDY, season=Season(first=(4, 25), last=(4, 26)))
    ask = Ask(places=places, study=study, question=Question(week=16))
    one, two = (
        answer(demo_ashore(), ask, spread=Spread(threads=threads, folder=folder), told=lambda done, of: None)
        for threads, folder in ((1, tmp_path / "kept"), (2, None))
    )
    for mine, other in zip(one.places, two.places, strict=True):
        for field in fields(mine.starts.outcomes):
            here, there = getattr(mine.starts.outcomes, field.name), getattr(other.starts.outcomes, field.name)
            assert np.array_equal(here, there)
    assert [place.odds for place in one.places] == [place.odds for place in two.places]
    assert len(list((tmp_path / "kept").glob("*.npz"))) == 2
    alone = answer(demo_ashore(), replace(ask, places=places[1:]), spread=Spread(threads=1), told=lambda done, of: None)
    assert alone.places[0].odds == one.places[1].odds


def test_lifts_stand_at_the_same_clock_times_at_another_place() -> None:
    there, words = ashore_at(demo_ashore(), Place(name="x", files=(), degrees=(53.3, -9.0), zone_name="Europe/Dublin"))
    own = {slot.astimezone(ZoneInfo("America/New_York")).time() for slot in demo_ashore().job.plan.yard.lift_slots}
    assert {slot.astimezone(ZoneInfo("Europe/Dublin")).time() for slot in there.job.plan.yard.lift_slots} == own
    assert there.job.site.zone_name == "Europe/Dublin"
    assert words == "place: 53.30 N 9.00 W, as given; clock: Europe/Dublin"


def test_a_result_read_back_draws_the_same_pictures() -> None:
    found = small_answer()
    document = read_odds(as_json(odds_document(found)), where="odds.json")
    again = placed(document.places[0], document)
    assert picture_svg([again], title="x", currency="USD") == picture_svg(
        [found.places[0].odds], title="x", currency="USD"
    )
