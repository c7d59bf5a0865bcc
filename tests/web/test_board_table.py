"""The board's table says of a pot what its batch card says."""

from __future__ import annotations

import pytest

from boottop.begun import no_plan_yet
from boottop.board_table import board_table
from boottop.coating.mixing import card_for_kits
from boottop.job.stock import pot_life_min
from tests.demo_job import DemoJob


@pytest.mark.parametrize("batch_c", [4.0, 12.5, 20.0, 31.3, 44.0])
def test_the_pot_life_on_the_board_is_that_of_the_batch_card(demo: DemoJob, batch_c: float) -> None:
    table = board_table(demo.ashore, demo.outlook, no_plan_yet(demo.ashore), made=demo.outlook.grid.start)
    shown = {one.product: pot_life_min(one.pot_life_min, batch_c) for zone in table.zones for one in zone.systems}
    cards = {
        system.sheet.name: card_for_kits(system.sheet, 1.0, batch_c=batch_c).pot_life
        for system in demo.ashore.job.plan.systems
    }
    assert shown == {product: pytest.approx(60.0 * life.hours, rel=2e-3) for product, life in cards.items()}
