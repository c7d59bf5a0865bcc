"""Weather for a plan: which service, what age, what is said, and what happens when the network is away."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.services.fetch import Wanted, fetch_past_years, fetch_weather
from boottop.services.http import Patience
from boottop.services.registry import SERVICES
from tests.services.answers import FALMOUTH, open_meteo, smhi, utc
from tests.services.server import Say, Service, client_of, said, sample

NOW = utc(2020, 7, 20, 11, 50)
LONDON = Site(latitude_deg=51.5, longitude_deg=-0.1, elevation_m=25.0, zone_name="Europe/London", bow_deg=0.0)
SOON = Wanted(start=utc(2020, 7, 21, 6), end=utc(2020, 7, 28))
GULF = Site(latitude_deg=30.02, longitude_deg=-84.98, elevation_m=4.0, zone_name="America/New_York", bow_deg=0.0)


def metno(service: Service, *then: Say) -> None:
    recorded = sample("metno-london-complete.json")
    times = {"Expires": recorded["headers"]["Expires"], "Date": "Mon, 20 Jul 2020 11:50:00 GMT"}
    service.say("/metno", said(recorded["data"], **times), *then)


def test_first_service_that_covers_the_place(service: Service, tmp_path: Path) -> None:
    metno(service)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, SOON, client=client, now=NOW)
    assert got.service == "metno"
    assert service.asked[0][0] == "/metno/complete?lat=51.5000&lon=-0.1000&altitude=25"
    assert got.known_from == utc(2020, 7, 20, 12)
    assert got.known_until == utc(2020, 7, 27, 23)
    assert got.issued == utc(2020, 7, 20, 1, 30) + timedelta(seconds=57)
    assert got.age_h == pytest.approx(10.3, abs=0.05)
    assert not got.stale
    assert got.notes == ("weather: 10 h old (MET Norway Locationforecast, 2020-07-20T01:30Z)",)
    assert got.weather.findings[:2] == (*got.notes, "Data: MET Norway, CC BY 4.0, modified")


def test_coordinates_are_cut_to_four_decimals(service: Service, tmp_path: Path) -> None:
    metno(service)
    near = replace(LONDON, latitude_deg=51.500049, longitude_deg=-0.1000199)
    with client_of(service, tmp_path) as (client, _):
        fetch_weather(near, SOON, client=client, now=NOW)
    assert "lat=51.5000&lon=-0.1000&" in service.asked[0][0]


def test_a_failing_service_is_told_and_the_next_one_asked(service: Service, tmp_path: Path) -> None:
    service.say("/metno", Say(status=500))
    service.say("/openmeteo", said(open_meteo(utc(2020, 7, 17), 19 * 24)))
    with client_of(service, tmp_path) as (client, waits):
        got = fetch_weather(LONDON, SOON, client=client, now=NOW)
    assert got.service == "openmeteo"
    assert "MET Norway Locationforecast: status 500 (tried 3 times); asked the next service" in got.notes
    assert got.weather.findings[: len(got.notes)] == got.notes
    assert "free of charge for non-commercial use" in got.attribution
    assert len(waits.slept_s) == 2


def test_americans_go_to_their_own_service_in_two_steps(service: Service, tmp_path: Path) -> None:
    service.say("/nws/points/30.02,-84.98", said(sample("nws-points.json")))
    service.say("/nws/gridpoints/TAE/58,65", said(sample("nws-gridpoint-raw.json")))
    now = utc(2022, 2, 4, 4)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(GULF, Wanted(start=utc(2022, 2, 5)), client=client, now=now)
        fetch_weather(GULF, Wanted(start=utc(2022, 2, 5)), client=client, now=now + timedelta(hours=7))
    assert got.service == "nws"
    assert got.attribution == "Data: US National Weather Service, public domain"
    asked = [path.split("/")[2] for path, _ in service.asked]
    assert asked == ["points", "gridpoints", "gridpoints"]  # where the square lies is kept for a month


def test_a_place_beside_the_country_falls_to_the_next(service: Service, tmp_path: Path) -> None:
    metno(service)
    canada = replace(GULF, latitude_deg=49.3, longitude_deg=-123.1)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(canada, SOON, client=client, now=NOW)
    assert got.service == "metno"
    assert "status 404 (Data Unavailable For Requested Point)" in got.notes[1]


def test_swedes_after_the_norwegians(service: Service, tmp_path: Path) -> None:
    service.say("/smhi", said(smhi(utc(2026, 4, 2, 10), [1] * 48)))
    site = replace(FALMOUTH, latitude_deg=58.58, longitude_deg=16.16)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(site, Wanted(start=utc(2026, 4, 3)), client=client, now=utc(2026, 4, 2, 12))
    assert got.service == "smhi"
    assert service.asked[-1][0] == "/smhi/lon/16.1600/lat/58.5800/data.json"


def test_without_network_the_last_forecast_and_its_age(service: Service, tmp_path: Path) -> None:
    metno(service, Say(status=503))
    later = NOW + timedelta(hours=31)
    wanted = replace(SOON, start=utc(2020, 7, 22))
    with client_of(service, tmp_path) as (client, _):
        fetch_weather(LONDON, SOON, client=client, now=NOW)
        got = fetch_weather(LONDON, wanted, client=client, now=later)
    assert got.stale
    assert got.age_h == pytest.approx(41.3, abs=0.05)
    assert got.notes[0].startswith("OLD WEATHER: 41 h old (MET Norway Locationforecast, 2020-07-20T01:30Z), because")
    assert "status 503 (tried 3 times)" in got.notes[0]
    assert got.weather.findings[0] == got.notes[0]
    assert got.weather.start <= wanted.start


def test_an_answer_of_today_from_the_second_service_beats_an_old_one_of_the_first(
    service: Service, tmp_path: Path
) -> None:
    metno(service, Say(status=503))
    service.say("/openmeteo", said(open_meteo(utc(2020, 7, 17), 19 * 24)))
    with client_of(service, tmp_path) as (client, _):
        fetch_weather(LONDON, SOON, client=client, now=NOW)
        got = fetch_weather(LONDON, replace(SOON, start=utc(2020, 7, 22)), client=client, now=NOW + timedelta(hours=31))
    assert (got.service, got.stale) == ("openmeteo", False)


def test_of_old_answers_the_youngest(service: Service, tmp_path: Path) -> None:
    metno(service, Say(status=503))
    service.say("/openmeteo", said(open_meteo(utc(2020, 7, 17), 19 * 24)), Say(status=503))
    with client_of(service, tmp_path) as (client, _):
        fetch_weather(LONDON, SOON, client=client, now=NOW)
        fetch_weather(LONDON, replace(SOON, service="openmeteo"), client=client, now=NOW + timedelta(hours=1))
        got = fetch_weather(LONDON, replace(SOON, start=utc(2020, 7, 22)), client=client, now=NOW + timedelta(hours=31))
    assert (got.service, got.stale) == ("openmeteo", True)
    assert got.notes[0].startswith("OLD WEATHER: 30 h old (Open-Meteo, 2020-07-20T12:50Z), because no newer")


def test_a_forecast_that_the_service_itself_does_not_renew_is_told(service: Service, tmp_path: Path) -> None:
    metno(service)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, replace(SOON, start=utc(2020, 7, 22)), client=client, now=NOW + timedelta(hours=24))
    assert not got.stale
    assert got.notes[0].startswith("OLD WEATHER: 34 h old")
    assert "the service has no newer one" in got.notes[0]


def test_nothing_at_all_says_what_to_do(service: Service, tmp_path: Path) -> None:
    service.say("/metno", Say(kind="text/html", body=b"<html>"))
    service.say("/openmeteo", Say(status=500))
    with client_of(service, tmp_path) as (client, _), pytest.raises(InputError) as caught:
        fetch_weather(LONDON, SOON, client=client, now=NOW)
    found = [str(problem) for problem in caught.value.problems]
    assert "MET Norway Locationforecast: found text/html instead of weather" in found[0]
    assert "Open-Meteo: found status 500" in found[1]
    assert all("--weather FILE" in text for text in found)


def test_nothing_reached_ends_soon(tmp_path: Path) -> None:
    nowhere = Service(base="http://127.0.0.1:9")
    with (
        client_of(nowhere, tmp_path) as (client, waits),
        pytest.raises(InputError, match="no connection"),
    ):
        fetch_weather(LONDON, SOON, client=client, now=NOW)
    assert sum(waits.slept_s) <= 4.0


def test_a_forecast_that_ends_before_the_haul_out_says_until_when(service: Service, tmp_path: Path) -> None:
    metno(service)
    wanted = Wanted(start=utc(2020, 8, 3), end=utc(2020, 8, 20), service="metno")
    with (
        client_of(service, tmp_path) as (client, _),
        pytest.raises(InputError, match=r"found weather from 2020-07-20T12:00Z to 2020-07-29T06:00Z; allowed: .*"
                                        r"reaches 2020-08-03T00:00Z, the earliest haul-out\. Ask again nearer"),
    ):  # fmt: skip
        fetch_weather(LONDON, wanted, client=client, now=NOW)


def test_a_longer_forecast_is_asked_when_the_first_is_too_short(service: Service, tmp_path: Path) -> None:
    metno(service)
    service.say("/openmeteo", said(open_meteo(utc(2020, 7, 17), 19 * 24)))
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, Wanted(start=utc(2020, 8, 1)), client=client, now=NOW)
    assert got.service == "openmeteo"


def test_before_the_forecast_it_is_said_from_when_the_weather_is_known(service: Service, tmp_path: Path) -> None:
    metno(service)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, Wanted(start=utc(2020, 7, 19, 6)), client=client, now=NOW)
    assert got.known_from == utc(2020, 7, 20, 12)
    assert "the weather is known from 2020-07-20T12:00Z only; nothing is planned before that" in got.notes


def test_before_the_forecast_the_last_weeks_if_asked_for(service: Service, tmp_path: Path) -> None:
    metno(service)
    past = open_meteo(utc(2020, 6, 19), 32 * 24)
    service.say("/openmeteo-recent", said(past))
    wanted = Wanted(start=utc(2020, 7, 19, 6), fill_past=True)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, wanted, client=client, now=NOW)
    assert got.known_from == utc(2020, 7, 17, 6)
    hour = int((utc(2020, 7, 20, 11) - utc(2020, 6, 19)) / timedelta(hours=1))
    at = int((utc(2020, 7, 20, 11) - got.known_from) / timedelta(hours=1))
    assert got.weather.air_c[0, at] == pytest.approx(past["hourly"]["temperature_2m"][hour])
    assert got.weather.air_c[0, at + 1] == pytest.approx(
        sample("metno-london-complete.json")["data"]["properties"]["timeseries"][1]["data"]["instant"]["details"][
            "air_temperature"
        ]
    )
    assert np.isfinite(got.weather.air_c).all()
    assert np.isnan(got.weather.ghi_w_m2).all()  # the forecast has none: none at all, not half
    assert any("the hours before 2020-07-20T12:00Z are those of Open-Meteo, last weeks" in note for note in got.notes)
    assert "Open-Meteo" in got.weather.source
    assert "MET Norway" in got.weather.source


def test_the_forecast_stands_when_the_last_weeks_fail(service: Service, tmp_path: Path) -> None:
    metno(service)
    service.say("/openmeteo-recent", Say(status=404))
    wanted = Wanted(start=utc(2020, 7, 19, 6), fill_past=True)
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, wanted, client=client, now=NOW)
    assert got.known_from == utc(2020, 7, 20, 12)
    assert any("nothing is planned before that" in note for note in got.notes)
    assert any("status 404" in note for note in got.notes)


def test_ensemble(service: Service, tmp_path: Path) -> None:
    service.say("/openmeteo-ensemble", said(open_meteo(utc(2020, 7, 17), 38 * 24, members=7)))
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, replace(SOON, kind="ensemble"), client=client, now=NOW)
    assert got.weather.members == 7
    assert got.weather.hours == 24 * 9 - 6
    assert "forecast_days=35" in service.asked[0][0]
    assert "wind_speed_unit=ms" in service.asked[0][0]
    assert "timezone=GMT" in service.asked[0][0]
    assert "by Open-Meteo.com" in got.attribution


def test_archive_of_days_gone_by(service: Service, tmp_path: Path) -> None:
    service.say("/openmeteo-archive", said(open_meteo(utc(2019, 4, 29), 24 * 24)))
    wanted = Wanted(start=utc(2019, 5, 1), end=utc(2019, 5, 20), kind="archive")
    with client_of(service, tmp_path) as (client, _):
        got = fetch_weather(LONDON, wanted, client=client, now=NOW)
        fetch_weather(LONDON, wanted, client=client, now=NOW + timedelta(days=300))
    assert "start_date=2019-04-29&end_date=2019-05-20&models=era5" in service.asked[0][0]
    assert len(service.asked) == 1  # what is past does not change
    assert "ERA5" in got.attribution


def test_past_years_as_members(service: Service, tmp_path: Path) -> None:
    for year in range(2015, 2020):
        begin = utc(year, 5, 29)
        service.say(
            f"/openmeteo-archive?latitude=51.5000&longitude=-0.1000&elevation=25&hourly={','.join(HOURLY)}"
            f"&wind_speed_unit=ms&timeformat=iso8601&timezone=GMT&start_date={year}-05-30".replace(",", "%2C"),
            said(open_meteo(begin, 40 * 24, warmer_k=float(year - 2000))),
        )
    wanted = Wanted(start=utc(2020, 6, 1), end=utc(2020, 6, 22))
    with client_of(service, tmp_path) as (client, _):
        got = fetch_past_years(LONDON, wanted, years=5, client=client, now=utc(2020, 4, 1))
    assert got.weather.air_c.shape == (5, 23 * 24)
    assert got.weather.start == utc(2020, 5, 30)
    assert got.weather.air_c[:, 0] - got.weather.air_c[0, 0] == pytest.approx([0, -1, -2, -3, -4])
    assert "PAST YEARS, NOT A FORECAST: each member is these days as they were in 2019, 2018, 2017, 2016, 2015" in (
        got.notes
    )


HOURLY = (
    "temperature_2m", "dew_point_2m", "relative_humidity_2m", "wind_speed_10m", "precipitation", "surface_pressure",
    "cloud_cover", "shortwave_radiation", "direct_normal_irradiance", "diffuse_radiation",
)  # fmt: skip


def test_past_years_from_a_leap_day(service: Service, tmp_path: Path) -> None:
    service.say("/openmeteo-archive", said(open_meteo(utc(2027, 2, 20), 40 * 24)))
    wanted = Wanted(start=utc(2028, 2, 29, 8), end=utc(2028, 3, 5, 8))
    with client_of(service, tmp_path) as (client, _):
        got = fetch_past_years(LONDON, wanted, years=1, client=client, now=utc(2028, 2, 1))
    assert got.weather.start == utc(2028, 2, 27, 8)
    assert got.weather.hours == 7 * 24


def test_past_years_that_are_not_settled_are_passed_over(service: Service, tmp_path: Path) -> None:
    service.say("/openmeteo-archive", said(open_meteo(utc(2018, 7, 1), 60 * 24)))
    wanted = Wanted(start=utc(2020, 7, 22), end=utc(2020, 8, 12))
    with client_of(service, tmp_path) as (client, _):
        got = fetch_past_years(LONDON, wanted, years=1, client=client, now=utc(2019, 8, 14))
    assert "start_date=2018-07-20" in service.asked[0][0]
    assert "2018" in got.weather.source


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"service": "windy"}, "found windy; allowed: nws, metno, smhi, openmeteo"),
        ({"service": "openmeteo-archive"}, "found openmeteo-archive, which gives archive; allowed: nws"),
        ({"service": "nws"}, r"weather service nws: found a yard at 51.50, -0.10; allowed: 7 days, United States"),
        ({"start": utc(2020, 7, 21).replace(tzinfo=None)}, r"earliest haul-out: found .*State the offset"),
        ({"end": utc(2020, 7, 20)}, "an end at 2020-07-20T00:00Z before its start"),
    ],
)
def test_what_is_asked_wrongly(service: Service, tmp_path: Path, *, change: dict[str, object], words: str) -> None:
    with client_of(service, tmp_path) as (client, _), pytest.raises(InputError, match=words):
        fetch_weather(LONDON, replace(SOON, **change), client=client, now=NOW)  # type: ignore[arg-type]
    assert service.asked == []


def test_the_weather_of_a_whole_plan_offline_again_and_again(service: Service, tmp_path: Path) -> None:
    """Another start, another length: the same kept answer serves, because the question is always the same."""
    service.say("/openmeteo", said(open_meteo(utc(2020, 7, 17), 19 * 24)), Say(status=500))
    with client_of(service, tmp_path, patience=Patience(attempts=1)) as (client, _):
        fetch_weather(LONDON, replace(SOON, service="openmeteo"), client=client, now=NOW)
        for days in (1, 3, 6):
            wanted = Wanted(start=NOW + timedelta(days=days), service="openmeteo")
            assert fetch_weather(LONDON, wanted, client=client, now=NOW + timedelta(days=days)).stale


def test_every_service_is_credited_and_described() -> None:
    for service in SERVICES.values():
        assert service.attribution.startswith("Data: ")
        assert service.reach
    assert {service.kind for service in SERVICES.values()} == {"forecast", "ensemble", "recent", "archive"}
