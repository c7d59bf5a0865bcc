"""The order as a table that a spreadsheet opens: one line an item to buy."""

from __future__ import annotations

import csv
import io

from boottop.base.money import plain_money
from boottop.coating.takeoff import TakeOff

COLUMNS = ("what", "quantity", "unit", "for", "weight kg", "price")


def order_csv(order: TakeOff, *, currency: str) -> str:
    """CSV (RFC 4180, UTF-8) of kits and consumables; a text that a spreadsheet would take for a formula is quoted."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for line in order.orders:
        price = "" if line.cost_minor is None else plain_money(line.cost_minor, currency)
        coats = max(coat.coat for coat in line.coats)
        row = (line.product, str(line.kits), "kits", f"{line.role}, {coats} coats", f"{line.freight_kg:.1f}", price)
        writer.writerow([_harmless(cell) for cell in row])
    for item in order.consumables:
        row = (item.what, f"{item.quantity:g}", item.unit, item.because, "", "")
        writer.writerow([_harmless(cell) for cell in row])
    return out.getvalue()


def _harmless(cell: object) -> str:
    text = str(cell)
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r", "\n"} else text
