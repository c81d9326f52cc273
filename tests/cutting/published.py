"""Published cutting orders with proven optima, as orders of this planner.

Read from the folder that CUTTING_INSTANCES names, else from `check-values/cutting` in a folder beside the project; not part of it.

* `one-length.json`: one stock length, as few objects as possible. Items from the OR-Library (Beasley; Falkenauer 1996, "A hybrid
  grouping genetic algorithm for bin packing") and ESICUP/datasets (Schwerin and Waescher 1997; Waescher and Gau 1996; Scholl, Klein
  and Juergens 1997; Schoenfield's hard28), CC0-1.0. Optima: lower = upper bound in rafaelmartinelli/BPPLib.jl, data/Bounds.zip, MIT.
* `several-lengths/`: workshop orders, several stock lengths at a cost each. fontanf/packingsolver, data/onedimensional/users at
  f1ec8964, MIT. Optima (PROVEN.csv): all patterns written out and a MIP over them, or primal = dual of that solver.

The saw kerf lies between pieces only (NESTING_LENGTH is minus the kerf): each stock is one kerf longer here and every piece has one.
"""

from __future__ import annotations

import csv
import json
import os
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest

from pricing.cutting import Piece, Policy, Stock

BESIDE = sorted(Path(__file__).resolve().parents[2].parent.glob("*/check-values/cutting"))
FOLDER = Path(os.environ.get("CUTTING_INSTANCES") or next(iter(BESIDE), "published"))
MISSING = "the published cutting orders are not beside the project; CUTTING_INSTANCES may name their folder"
needs_instances = pytest.mark.skipif(not (FOLDER / "one-length.json").is_file(), reason=MISSING)
WORTHLESS = Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Published:
    """An order, and the cost that is published as its optimum."""

    name: str
    pieces: list[Piece]
    stock: list[Stock]
    policy: Policy
    optimum: Decimal

    @property
    def family(self) -> str:
        return self.name[:12] if self.name.startswith("Falkenauer") else self.name.split("_")[0]


def one_length() -> list[Published]:
    """Every object costs 1 and no remnant has a value: the cost is the number of objects."""
    if not (FOLDER / "one-length.json").is_file():
        return []
    rows = json.loads((FOLDER / "one-length.json").read_text(encoding="utf-8"))["instances"]
    return [
        Published(
            row["name"],
            [Piece(Decimal(size), many) for size, many in Counter(row["items"]).items()],
            [Stock("stock", Decimal(row["capacity"]), price=Decimal(1), count=None)],
            Policy(remnant_fee=WORTHLESS),
            Decimal(row["optimum"]),
        )
        for row in rows
    ]


def several_lengths() -> list[Published]:
    folder = FOLDER / "several-lengths"
    return [_workshop(row["instance"], Decimal(row["optimum"])) for row in _table(folder / "PROVEN.csv")]


def _table(path: Path) -> list[dict[str, str]]:
    if not path.is_file():
        return []
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _workshop(name: str, optimum: Decimal) -> Published:
    items = _table(FOLDER / "several-lengths" / f"{name}_items.csv")
    bins = _table(FOLDER / "several-lengths" / f"{name}_bins.csv")
    kerfs = {-Decimal(row.get("NESTING_LENGTH", "0")) for row in items}
    assert len(kerfs) == 1
    kerf = kerfs.pop()
    return Published(
        name,
        [Piece(Decimal(row["X"]), int(row["COPIES"])) for row in items],
        # without a COST column a bin costs its length (the format's default)
        [
            Stock(f"stock {row['ID']}", Decimal(row["X"]) + kerf, price=Decimal(row.get("COST", row["X"])), count=int(row["COPIES"]))
            for row in bins
        ],
        Policy(allowance=kerf, remnant_fee=WORTHLESS),
        optimum,
    )
