"""Folders of a shop that differ from the demo shop, and requests that differ from each other."""

from __future__ import annotations

import copy
import csv
import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from pricing.catalogue import DEMO_FOLDER
from service.demo import demo_names, demo_request
from tests.catalogue.conftest import SMALL, Loft

Row = dict[str, str]


def shop(folder: Path) -> Path:
    """A copy of the demo shop's tables."""
    folder.mkdir()
    for path in DEMO_FOLDER.glob("*.csv"):
        shutil.copy(path, folder / path.name)
    return folder


def small_shop(folder: Path) -> Loft:
    """A small loft's tables, which are compiled in no time, with nothing in them that is doubted."""
    loft = Loft(Path(shutil.copytree(SMALL, folder)))
    for file, line, column, text in (
        ("pins.csv", 3, "name", "Pin, long"),
        ("labour.csv", 3, "name", "Swage, thick"),
        ("labour.csv", 9, "time", "5 min"),
    ):
        loft.cell(file, line, column, text)
    return loft


def rewritten(path: Path, change: Callable[[Row], Row]) -> None:
    """Rewrite every row of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = [change(row) for row in csv.DictReader(file)]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def dearer(folder: Path) -> Path:
    """A copy of the demo shop that asks a tenth more for everything, and a cent, from the first day on."""
    changed = shop(folder)
    rewritten(changed / "prices.csv", lambda row: {**row, "unit_price": f"{float(row['unit_price']) * 1.1 + 0.01:.2f}"})
    return changed


def many_requests(count: int) -> Iterator[dict[str, Any]]:
    """Requests of both demo boats, no two alike: other assemblies, quantities, price lists and deliveries."""
    boats = [json.loads(demo_request(name)) for name in demo_names()]
    for number in range(count):
        asked = copy.deepcopy(boats[number % len(boats)])
        every = asked["assemblies"]
        start = number % len(every)
        asked["assemblies"] = (every + every)[start : start + 1 + number % 4][: len(every)]
        for assembly in asked["assemblies"]:
            assembly["quantity"] = 1 + number % 7
        asked |= {
            "price_list": ("retail", "trade", "fleet")[number % 3],
            "delivery": ("collect", "ship")[number % 2],
            "note": f"No. {number}",
        }
        yield asked
