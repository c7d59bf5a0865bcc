"""Film readings from gauges' CSV: separators, decimal commas, mixed units, remembered columns, clear refusals."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest

from boottop.base.errors import InputError
from boottop.files.film_csv import FilmImport, read_film_csv
from boottop.files.loose_csv import ColumnMap
from boottop.files.record_data import readings_csv
from boottop.record.record import Record

ZONES = ["port side", "starboard side", "running gear"]


def read(
    text: str, *, encoding: str = "utf-8", remembered: ColumnMap | None = None, **given: dict[str, str]
) -> FilmImport:
    """The readings of a text."""
    return read_film_csv(
        text.encode(encoding),
        name="gauge.csv",
        zone_names=ZONES,
        yard_zone=ZoneInfo("Europe/Lisbon"),
        given=ColumnMap(**given),
        remembered=lambda _: remembered,
    )


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize(("mark", "number"), [(";", "281,5"), ("\t", "281,5"), (",", "281.5"), (";", "281.5")])
def test_any_separator_any_decimal_mark_any_encoding(mark: str, number: str, encoding: str) -> None:
    rows = [("Zone", "Dicke [µm]", "Probe"), ("port side", number, "ultrasonic"), ("port side", number, "ultrasonic")]
    found = read("\n".join(mark.join(row) for row in rows), encoding=encoding)
    assert [one.low_um for one in found.readings] == [281.5, 281.5]


def test_mil_and_um_in_one_column_are_each_read_by_their_own_unit() -> None:
    found = read("zone,DFT,gauge\nport side,11 mil,us\nport side,281 um,us\nport side,0.285 mm,us\n")
    assert [round(one.low_um, 1) for one in found.readings] == [279.4, 281.0, 285.0]
    assert "units in this file" in found.notes[-1]


def test_mil_and_um_without_units_are_refused_by_line() -> None:
    with pytest.raises(InputError, match=r"line 3.*8 times off.*mil and um mixed"):
        read("zone,DFT (um),gauge\nport side,280,us\nport side,11,us\nport side,290,us\nport side,275,us\n")


def test_a_column_of_units_counts_row_by_row() -> None:
    found = read("zone,DFT,unit,gauge\nport side,11,mil,us\nport side,281,um,us\n")
    assert [round(one.low_um, 1) for one in found.readings] == [279.4, 281.0]


def test_no_unit_is_asked_for_and_given() -> None:
    text = "zone,DFT,gauge\nport side,11,us\n"
    with pytest.raises(InputError, match=r"without a unit.*--unit mil"):
        read(text)
    assert read(text, fixed={"unit": "mil"}).readings[0].low_um == pytest.approx(279.4)


def test_columns_are_asked_for_given_and_remembered() -> None:
    text = "Ort,Messung 1,Sonde\nport side,281 um,ultrasonic\n"
    with pytest.raises(InputError, match=r"no column of film readings.*'Messung 1'.*--map"):
        read(text)
    found = read(text, columns={"value": "Messung 1", "zone": "Ort", "method": "Sonde"})
    again = read(text, remembered=found.mapping)
    assert again.readings == found.readings
    assert again.signature == "ort|messung 1|sonde"


def test_a_column_that_is_not_there_is_named_with_the_nearest() -> None:
    with pytest.raises(InputError, match="Did you mean 'DFT 1'"):
        read("zone,DFT 1,gauge\nport side,281 um,us\n", columns={"value": "DFT1"})


def test_comb_readings_are_intervals() -> None:
    found = read("zone,last wet,first dry,coat\nport side,100 um,125 um,1\n")
    one = found.readings[0]
    assert (one.method, one.low_um, one.high_um, one.coat) == ("comb", 100.0, 125.0, 1)
    found = read("zone,wft,gauge\nport side,4 mil,comb\n")
    assert found.readings[0].high_um == pytest.approx(101.6 + 13.0)


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("zone,DFT,gauge\nport sid,281 um,us\n", "did you mean port side"),
        ("zone,DFT,gauge\n,281 um,us\n", "found no zone"),
        ("zone,DFT,gauge\nport side,281 um,thumb\n", "'thumb'"),
        ("zone,DFT,gauge\nport side,281 um,\n", "--method ultrasonic"),
        ("zone,DFT,gauge\nport side,281 kg,us\n", "281 kg"),
        ("zone,DFT,gauge\nport side,28100 mm,us\n", "1 to 20000 um"),
        ("zone,DFT,gauge\nport side,wet um,us\n", "wet um"),
        ("zone,DFT,gauge,coat\nport side,281 um,us,many\n", "the coat 'many'"),
        ("zone,DFT,gauge,time\nport side,281 um,us,yesterday\n", "the time 'yesterday'"),
        ("zone,DFT,gauge\nport side,281,5 um,us\n", "more cells than the header"),
        ("zone,last wet,first dry\nport side,125 um,100 um\n", "below the last wet one"),
        ("zone,DFT,gauge\n", "no row below the header"),
        ("", "no row below the header"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, match: str) -> None:
    with pytest.raises(InputError, match=match):
        read(text)


def test_all_bad_rows_are_named_at_once_and_none_is_taken() -> None:
    with pytest.raises(InputError, match="line 2") as error:
        read("zone,DFT,gauge\nport sid,281 um,us\nport side,281 um,us\nport side,281 lb,us\n")
    assert [one.where.split(",")[0] for one in error.value.problems] == ["gauge.csv line 2", "gauge.csv line 4"]


def test_binary_is_no_csv() -> None:
    with pytest.raises(InputError, match="no text"):
        read_film_csv(b"\x89PNG\r\n\x1a\n\x00\x00", name="x.csv", zone_names=ZONES, yard_zone=ZoneInfo("UTC"),
                      given=ColumnMap())  # fmt: skip


def test_the_readings_of_a_record_are_read_back(record: Record) -> None:
    found = read_film_csv(
        readings_csv(record).encode(),
        name="back.csv",
        zone_names=[zone.name for zone in record.zones],
        yard_zone=ZoneInfo("UTC"),
        given=ColumnMap(),
    )
    assert len(found.readings) == len(record.readings)
    for ours, back in zip(record.readings, found.readings, strict=True):
        assert (back.zone, back.method, back.spot, back.area, back.coat) == (
            ours.zone, ours.method, ours.spot, ours.area, ours.coat,
        )  # fmt: skip
        assert (back.low_um, back.high_um) == pytest.approx((ours.low_um, ours.high_um), rel=1e-5)
        assert (back.at_s, back.station_m) == (ours.at_s, ours.station_m)
