"""Writes the invented demo catalogue: `python -m pricing.data.make_demo [folder]`. The output is identical on every run and machine."""

from __future__ import annotations

import csv
import sys
from io import StringIO
from pathlib import Path

from pricing.catalogue.schema import Table
from pricing.catalogue.tables import TABLES
from pricing.data.recipes import eyes, growths, pins, purchases, shelf, shop, terminals, threads, wires
from pricing.data.recipes.common import Row

PARTS = {
    "wires": wires.wires,
    "terminals": terminals.terminals,
    "threads": threads.threads,
    "turnbuckle_bodies": threads.bodies,
    "screws": threads.screws,
    "links": pins.links,
    "pins": pins.pins,
    "cotters": pins.cotters,
    "thimbles": eyes.thimbles,
    "sleeves": eyes.sleeves,
    "balls": eyes.balls,
    "labour": shop.labour,
    "growths": growths.growths,
    "cones": terminals.cones,
    "locknuts": threads.locknuts,
    "backing_plates": terminals.backing_plates,
}


def demo_tables() -> dict[str, list[Row]]:
    """The rows of every table, by table name; every cell is text."""
    parts = {name: make() for name, make in PARTS.items()}
    articles = [
        (row["sku"], "hour" if row.get("counted_by") == "hour" else {"wires": "m", "labour": "work"}.get(name, "each"), row["_price"])
        for name, rows in parts.items()
        for row in rows
        if "sku" in row
    ]
    return {
        "edition": shop.edition(),
        **parts,
        "prices": shop.prices(articles),
        "price_lists": shop.price_lists(),
        "tax": shop.tax(),
        "freight": shop.freight(),
        "terms": shop.terms(),
        "spools": shelf.spools(parts["wires"]),
        "stock": shelf.stock(parts["wires"]),
        "purchases": purchases.purchases(parts),
    }


def demo_files() -> dict[str, str]:
    """The text of each file, by file name."""
    tables = demo_tables()
    return {table.file: _csv(table, tables[table.kind]) for table in TABLES if table.kind in tables}


def _csv(table: Table, rows: list[Row]) -> str:
    out = StringIO(newline="")
    ends = not table.ends or any(row.get("until") for row in rows)
    names = [column.name for column in table.columns if ends or column.name != "until"]
    writer = csv.DictWriter(out, names, restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def main(folder: Path) -> None:
    """Write all files into `folder`."""
    for name, text in demo_files().items():
        (folder / name).write_text(text, encoding="utf-8", newline="")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
