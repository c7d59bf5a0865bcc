"""The record as open data: JSON with every number in SI and every time in UTC, and tables for a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from boottop.job.coding import event_dict, plain
from boottop.job.events import Json
from boottop.record.record import Record
from boottop.store.entry import Logged

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins with one of these is a formula to a spreadsheet; an apostrophe is put before it (CWE-1236)."""


def record_json(record: Record, log: Sequence[Logged]) -> str:
    """The record and the log that it was made from; names end in their unit, times are RFC 3339 in UTC."""
    content = _with_times(plain(record))
    assert isinstance(content, dict)
    content["stands"] = {number: _time(at_s) for number, at_s in record.stands.items()}
    for film, kept in zip(record.films, content["films"], strict=True):
        kept["share_of_nominal"] = film.share
    content["log"] = [
        {"seq": one.seq, "received": _time(int(one.received.timestamp())), "chain": one.chain, **event_dict(one.event)}
        for one in log
    ]
    return json.dumps(content, ensure_ascii=False, indent=1, allow_nan=False)


def _with_times(value: Json) -> Any:
    """Epoch seconds, which all end in _s, as times without that ending."""
    if isinstance(value, list):
        return [_with_times(one) for one in value]
    if not isinstance(value, dict):
        return value
    found: dict[str, Any] = {}
    for name, one in value.items():
        if name.endswith("_s") and (one is None or isinstance(one, int)):
            found[name.removesuffix("_s")] = None if one is None else _time(one)
        else:
            found[name] = _with_times(one)
    return found


def _time(at_s: int) -> str:
    return datetime.fromtimestamp(at_s, tz=UTC).isoformat().replace("+00:00", "Z")


def coats_csv(record: Record) -> str:
    """One row a coat."""
    rows = []
    for one in record.coats:
        seen = one.conditions
        spans = {"air": ("degC", seen.air_c), "humidity": ("1", seen.humidity), "surface": ("degC", seen.surface_c),
                 "margin": ("K", seen.margin_k), "surface_modelled": ("degC", seen.modelled_surface_c),
                 "margin_modelled": ("K", seen.modelled_margin_k)}  # fmt: skip
        row: dict[str, object] = {
            "zone": one.zone, "product": one.product, "role": one.role, "coat": one.coat.coat,
            "started": "" if one.coat.started_s is None else _time(one.coat.started_s),
            "finished": "" if one.coat.finished_s is None else _time(one.coat.finished_s),
            "people": one.coat.people, "by": one.coat.who, "volume[L]": one.coat.litres,
            "wet_low[um]": one.wet_low_um, "wet_high[um]": one.wet_high_um, "wet_by_volume[um]": one.litres_wet_um,
        }  # fmt: skip
        for name, (unit, span) in spans.items():
            row[f"{name}_least[{unit}]"] = None if span is None else span.least
            row[f"{name}_most[{unit}]"] = None if span is None else span.most
        rows.append(row)
    return _csv(rows)


def readings_csv(record: Record) -> str:
    """One row a film reading; `boottop readings` reads it back."""
    return _csv(
        {
            "zone": one.zone, "method": one.method, "from[um]": one.low_um, "high[um]": one.high_um, "area": one.area,
            "spot": one.spot, "coat": one.coat or "", "product": one.product,
            "time": "" if one.at_s is None else _time(one.at_s), "station[m]": one.station_m, "girth[m]": one.girth_m,
            "who": one.who, "written": one.as_written,
        }
        for one in record.readings
    )  # fmt: skip


def _csv(rows: Iterable[Mapping[str, object]]) -> str:
    every = list(rows)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    if every:
        writer.writerow(every[0])
        writer.writerows([_cell(value) for value in row.values()] for row in every)
    return out.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}"
    text = str(value)
    return f"'{text}" if text.startswith(FORMULA) else text
