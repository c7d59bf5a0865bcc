"""The order as a table: read back by a CSV reader, and harmless in a spreadsheet."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest

from boottop.coating.takeoff import TakeOff
from boottop.files.order_csv import COLUMNS, order_csv
from tests.demo_job import DemoJob


def rows(order: TakeOff) -> list[dict[str, str]]:
    """The table, read back."""
    return [*csv.DictReader(io.StringIO(order_csv(order, currency="USD"), newline=""), strict=True)]


def test_every_kit_and_every_consumable_has_its_line(demo: DemoJob) -> None:
    order = demo.ashore.order
    found = rows(order)
    assert tuple(found[0]) == COLUMNS
    assert [row["what"] for row in found] == [line.product for line in order.orders] + [
        item.what for item in order.consumables
    ]
    for row, line in zip(found, order.orders, strict=False):
        assert row["unit"] == "kits"
        assert int(row["quantity"]) == line.kits
        assert float(row["weight kg"]) == pytest.approx(line.freight_kg, abs=0.05)
        assert line.cost_minor is not None
        assert row["price"] == f"{line.cost_minor // 100}.{line.cost_minor % 100:02d} USD"


def test_lines_end_as_rfc_4180_asks(demo: DemoJob) -> None:
    text = order_csv(demo.ashore.order, currency="USD")
    assert text.count("\n") == text.count("\r\n") == len(rows(demo.ashore.order)) + 1


@pytest.mark.parametrize("evil", ['=HYPERLINK("x")', "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\n=1"])
def test_no_text_is_taken_for_a_formula(demo: DemoJob, evil: str) -> None:
    order = demo.ashore.order
    spoilt = replace(
        order,
        orders=(replace(order.orders[0], product=evil),),
        consumables=(replace(order.consumables[0], what=evil, unit=evil, because=evil),),
    )
    for row in rows(spoilt):
        assert row["what"] == f"'{evil}"
        assert all(value[:1] not in set("=+-@\t\r\n") for value in row.values())


def test_quotes_commas_and_lines_come_back_as_they_were(demo: DemoJob) -> None:
    order = demo.ashore.order
    name = 'Roller, "short" nap\nof 5 mm; ½'
    spoilt = replace(order, consumables=(replace(order.consumables[0], what=name),))
    assert rows(spoilt)[-1]["what"] == name


def test_without_a_price_the_cell_is_empty(demo: DemoJob) -> None:
    order = demo.ashore.order
    spoilt = replace(order, orders=(replace(order.orders[0], cost_minor=None),))
    assert rows(spoilt)[0]["price"] == ""
