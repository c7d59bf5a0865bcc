"""The names of the parts of a mix go to the phone with the board; a board kept from before has none."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from boottop.board_table import board_table
from boottop.coating.sheet import ProductSheet
from boottop.job.board import BoardStock
from boottop.job.coding import table_dict, table_of
from tests.demo_job import DemoJob


def test_parts_are_named_as_the_sheet_names_them(demo: DemoJob) -> None:
    table = board_table(demo.ashore, demo.outlook, demo.planned, made=datetime(2022, 4, 25, 6, tzinfo=UTC))
    sheets: dict[str, ProductSheet] = {one.sheet.name: one.sheet for one in demo.ashore.job.plan.systems}
    for stock in table.stock:
        assert stock.parts == tuple(part.name for part in sheets[stock.product].parts)
        assert len(stock.parts) >= 2
    assert table_of(table_dict(table)).stock == table.stock


def test_a_board_from_before_has_no_names(demo: DemoJob) -> None:
    table = board_table(demo.ashore, demo.outlook, demo.planned, made=datetime(2022, 4, 25, 6, tzinfo=UTC))
    kept = table_dict(table) | {"stock": [{"product": "old", "litres": 3.0}]}
    assert table_of(kept) == replace(table, stock=(BoardStock(product="old", litres=3.0),))
