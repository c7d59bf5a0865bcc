"""The sheets that come with boottop: every number arrives in SI, every time in UTC."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time
from importlib import resources
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.base.quantities import parse
from boottop.climate.weather import Site
from boottop.files.job import Job
from boottop.files.jobsheet import load_job, located, parse_job
from boottop.files.template import template_text, write_new
from boottop.measure.build import build_hull
from boottop.measure.hull import Layer
from boottop.plan.inputs import ExtraJob, Hours
from boottop.plan.tasks import WORK_KEYS
from tests.files.tide_files import write_harbour

DEMO = Path(str(resources.files("boottop.demo")))


@pytest.fixture(scope="module")
def demo() -> Job:
    return load_job(DEMO / "job.toml")


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Job:
    folder = tmp_path_factory.mktemp("new")
    write_new(folder)
    return load_job(folder / "job.toml")


def test_demo_boat(demo: Job) -> None:
    assert demo.boat.length_m == pytest.approx((37 * 12 + 9) * 0.0254)
    assert demo.boat.beam_m == pytest.approx(3.6576)
    assert demo.boat.draft_m == pytest.approx(76 * 0.0254)
    assert demo.boat.displacement_kg == pytest.approx(15900 * 0.45359237)
    assert 9.0 <= demo.boat.length_m <= 13.0


def test_demo_hull(demo: Job) -> None:
    hull = demo.hull
    assert hull.laminate == (Layer(material="grp", thickness_m=0.012),)
    assert (hull.substrate, hull.keel_material, hull.deadrise_deg) == ("grp", "lead", 18.0)
    assert hull.girths is not None
    assert (hull.girths.tape_sd_m, hull.girths.waterline_length_m) == (0.01, 9.92)
    assert [reading.half_girth_m for reading in hull.girths.readings][:3] == [0.0, 0.72, 1.22]
    keel, rudder, shaft, strut = hull.appendages
    assert (keel.zone, keel.material, keel.side) == ("sides", "lead", "centre")
    assert (rudder.zone, rudder.material) == ("running gear", "grp")
    assert shaft.thickness_m == pytest.approx(0.03175)
    assert (shaft.material, strut.material) == ("stainless", "bronze")
    pads, blocks, anode, transducer = hull.hidden
    assert pads.area_each_m2 == pytest.approx(0.09290304)
    assert transducer.area_each_m2 == pytest.approx(0.003)
    assert (blocks.kind, anode.count) == ("blocks", 2)


def test_demo_area_is_that_of_such_a_boat(demo: Job) -> None:
    # The canoe body alone, Simpson's rule over the taped half-girths by hand: 2 h/3 (y0 + 4 y1 + 2 y2 + ... + y8).
    girths = [0.0, 0.72, 1.22, 1.58, 1.78, 1.81, 1.64, 1.28, 0.71]
    weights = [1, 4, 2, 4, 2, 4, 2, 4, 1]
    body_m2 = 2 * 1.24 / 3 * sum(w * y for w, y in zip(weights, girths, strict=True))
    keel_m2 = 2 * 61 * 0.0254 * 53 * 0.0254
    hull = build_hull(demo.hull)
    assert hull.total_m2 == pytest.approx(body_m2 + keel_m2 + 2 * 0.508 * 1.3716, rel=0.05)
    assert [zone.name for zone in hull.zones] == ["port side", "starboard side", "running gear", "pads 1", "keel sole"]


def test_demo_place(demo: Job) -> None:
    assert demo.site == Site(
        latitude_deg=40.64,
        longitude_deg=-73.78,
        elevation_m=parse("10 ft", "length", where="here"),
        zone_name="America/New_York",
        bow_deg=225.0,
    )


def test_demo_yard(demo: Job) -> None:
    yard = demo.plan.yard
    assert yard.hours[0] == Hours(weekday=0, opens=time(7, 30), closes=time(16, 30))
    assert yard.hours[-1] == Hours(weekday=5, opens=time(8), closes=time(12))
    assert yard.closed == (date(2022, 5, 30),)
    assert (yard.lift_charge_minor, yard.day_charge_minor) == (46000, 4500)
    assert (yard.stand_move_h, yard.stand_lead_h, yard.wash_h, yard.lift_h) == (1.5, 24.0, 1.5, 1.0)


def test_demo_lift_slots_are_weekdays_twice_a_day_without_the_holiday(demo: Job) -> None:
    slots = demo.plan.yard.lift_slots
    assert len(slots) == 2 * (7 * 5 - 1)
    assert slots[0] == datetime(2022, 4, 25, 12, tzinfo=UTC)  # 08:00 summer time
    assert slots[-1] == datetime(2022, 6, 10, 17, tzinfo=UTC)
    assert not [slot for slot in slots if slot.date() == date(2022, 5, 30)]


def test_demo_crew_and_hire(demo: Job) -> None:
    crew, hire = demo.plan.crew, demo.plan.hire
    assert crew.rates_m2_h["roll"] == pytest.approx(150 * 0.09290304)
    assert set(crew.rates_m2_h) | set(crew.fixed_h) == set(WORK_KEYS)
    assert crew.fixed_h == {"mask": 2.0, "roll": 0.5}
    assert crew.hour_cost_minor == 2000
    assert hire.tent_from == datetime(2022, 4, 25, 4, tzinfo=UTC)
    assert (hire.tent_cost_minor, hire.helper_people, hire.helper_cost_minor) == (68000, 1, 54000)
    assert demo.coating.batch_c == pytest.approx((64 - 32) / 1.8)
    assert demo.coating.working_day_h == 10.5
    assert (demo.coating.barrier_sound, demo.coating.applicators) == (True, 2)


def test_demo_wishes_coatings_and_own_jobs(demo: Job) -> None:
    wishes = demo.plan.wishes
    assert wishes.earliest_haul == datetime(2022, 4, 25, 4, tzinfo=UTC)
    assert (wishes.wanted_launch, wishes.late_day_minor, wishes.strip) == (date(2022, 5, 16), 12000, True)
    primer, copper = demo.plan.systems
    assert (primer.role, primer.coats, primer.zones) == ("primer", 1, ("running gear",))
    assert (copper.role, copper.coats, copper.loss_fraction, copper.kit_price_minor) == ("antifouling", 4, 0.12, 24900)
    assert demo.plan.extra_jobs[2] == ExtraJob(
        name="polish topsides", duration_h=5.0, people=2, after=("coat", "new anodes"), dry_weather=True
    )
    assert demo.weather == DEMO / "weather.csv"
    assert demo.weather.is_file()


def test_template_loads_as_it_is(template: Job) -> None:
    assert template.plan.currency == "EUR"
    assert template.plan.yard.lift_slots[0] == datetime(2026, 4, 27, 7, tzinfo=UTC)  # Lisbon, summer time
    assert template.site.longitude_deg == -8.63
    assert template.plan.crew.hour_cost_minor == 0
    assert template.plan.hire.tent_from is None
    assert [system.role for system in template.plan.systems] == ["primer", "barrier", "antifouling"]
    assert [system.coats for system in template.plan.systems] == [1, 3, 4]
    assert build_hull(template.hull).total_m2 == pytest.approx(30.0, abs=1.0)


def test_template_notes_what_was_taken_for_granted(template: Job) -> None:
    assert any(note.startswith("job.wanted_launch not given") for note in template.notes)
    assert any(note.startswith("yard.shelter not given") for note in template.notes)


OTHER_METHODS = {
    "offsets": "#: [measure.offsets]",
    "dimensions": "#: [measure.dimensions]",
}


@pytest.mark.parametrize("method", ["girths", "offsets", "dimensions"])
def test_template_loads_with_every_optional_key_taken_in(method: str, tmp_path: Path) -> None:
    write_new(tmp_path)
    write_harbour(tmp_path)
    text = with_all_keys(template_text(), method)
    job = parse_job(text, folder=tmp_path)
    assert [job.hull.girths, job.hull.offsets, job.hull.dimensions].count(None) == 2
    assert job.hull.laminate[1] == Layer(material="foam", thickness_m=0.02)
    assert job.plan.hire.helper_cost_minor == 45000
    assert job.plan.wishes.dry_h == 48.0
    assert build_hull(job.hull).total_m2 > 10.0


def with_all_keys(text: str, method: str) -> str:
    """The template with every optional line taken in, measured by one method."""
    girths, offsets, dimensions = (
        re.search(pattern, text, re.S)
        for pattern in (r"girths = \[.*?\n\]\n", r"#: \[measure.offsets\].*?\n(?=# Or)", r"#: \[measure.dim.*?\n(?=\n)")
    )
    assert girths is not None
    assert offsets is not None
    assert dimensions is not None
    for name, match in (("girths", girths), ("offsets", offsets), ("dimensions", dimensions)):
        if name != method:
            text = text.replace(match[0], "")
    text = re.sub(r"#: hull_file.*\n", "", text)
    if method != "girths":
        text = re.sub(r"#: (tape_sd|girths_to).*\n", "", text)
    return text.replace('method = "girths"', f'method = "{method}"').replace("#: ", "")


def test_a_problem_of_the_measuring_room_gets_file_line_and_key(tmp_path: Path) -> None:
    write_new(tmp_path)
    path = tmp_path / "job.toml"
    path.write_text(template_text().replace('size = "30 cm x 30 cm"', 'size = "2 m x 3 m"'), encoding="utf-8")
    job = load_job(path)
    with pytest.raises(InputError, match=r"measure\.hidden") as caught:
        build_hull(job.hull)
    told = located(job, caught.value).problems[0].where
    assert re.fullmatch(r".*job\.toml, line \d+, hidden\[1\]", told)


def test_units_mixed_and_words_for_colours(tmp_path: Path) -> None:
    write_new(tmp_path)
    text = template_text().replace('#: colour = "copper" ', 'colour = "white" #').replace('"9.6 m"  ', '"31 ft 6 in" #')
    job = parse_job(text, folder=tmp_path)
    assert job.site.hull_absorptance == 0.25
    assert job.boat.waterline_length_m == pytest.approx(9.6012)


def test_explicit_slots_join_the_pattern_and_a_closed_day_is_noted(tmp_path: Path) -> None:
    write_new(tmp_path)
    text = template_text().replace("#: closed = [2026-05-01]", "closed = [2026-05-01]")
    text = text.replace("#: lift_slots = [", 'lift_slots = ["2026-05-01 06:30", 2026-06-20T18:15:00+02:00, ')
    slots = parse_job(text, folder=tmp_path).plan.yard.lift_slots
    assert datetime(2026, 5, 1, 5, 30, tzinfo=UTC) not in slots
    assert slots[-1] == datetime(2026, 6, 20, 16, 15, tzinfo=UTC)
    assert datetime(2026, 5, 1, 7, 0, tzinfo=UTC) not in slots
    assert list(slots) == sorted(set(slots))
    assert any("2026-05-01 06:30 lies on a day the yard is closed" in n for n in parse_job(text, folder=tmp_path).notes)
