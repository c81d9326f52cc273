"""Correct tables of other invented shops, made from the demo shop's: half the rows, other prices, other dimensions, only a few rows."""

from __future__ import annotations

import csv
import random
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path

from pricing.catalogue import DEMO_FOLDER
from pricing.catalogue.tables import TABLES

Rows = dict[str, list[dict[str, str]]]
ARTICLES = tuple(table.kind for table in TABLES if table.article and (DEMO_FOLDER / table.file).exists())
TAKING_WIRE = ("terminals", "thimbles", "sleeves", "balls", "cones", "backing_plates")
MM = {"mm": 1.0, "in": 25.4}
LISTS = {
    "terminals": ("mass",),
    "screws": ("runout", "mass"),
    "links": ("length", "mass"),
    "turnbuckle_bodies": ("length", "mass"),
    "pins": ("mass",),
}


def demo() -> Rows:
    found: Rows = {}
    for path in DEMO_FOLDER.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as stream:
            found[path.stem] = list(csv.DictReader(stream))
    return found


def written(tables: Rows, folder: Path) -> Path:
    folder.mkdir()
    for kind, rows in tables.items():
        with (DEMO_FOLDER / f"{kind}.csv").open(encoding="utf-8", newline="") as stream:
            header = next(csv.reader(stream))
        with (folder / f"{kind}.csv").open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, header)
            writer.writeheader()
            writer.writerows(rows)
    return folder


def closed(tables: Rows) -> Rows:
    """The tables without rows that refer to rows that were removed."""
    skus = {row["sku"] for kind in ARTICLES for row in tables.get(kind, ())}
    sizes, materials = {row["diameter"] for row in tables["wires"]}, {row["material"] for row in tables["wires"]}
    for kind in TAKING_WIRE:
        for row in tables[kind]:
            row["wire_sizes"] = ";".join(size for size in row["wire_sizes"].split(";") if size in sizes)
            if row.get("materials"):
                row["materials"] = ";".join(each for each in row["materials"].split(";") if each in materials) or "none"
        tables[kind] = [row for row in tables[kind] if row["wire_sizes"] and row.get("materials") != "none"]
    for kind, column in (("prices", "sku"), ("purchases", "sku"), ("spools", "wire"), ("stock", "wire"), ("growths", "terminal")):
        tables[kind] = [row for row in tables[kind] if row[column] in skus]
    tables["growths"] = [row for row in tables["growths"] if row["wire_size"] in sizes]
    return tables


def metric() -> Rows:
    """The metric rows alone, with the terminals that take both a metric wire and one in inches."""
    tables = demo()
    tables["wires"] = [row for row in tables["wires"] if row["diameter"].endswith("mm")]
    for kind in ("turnbuckle_bodies", "screws", "locknuts", "threads"):
        tables[kind] = [row for row in tables[kind] if "UNF" not in row.get("thread", row.get("designation", ""))]
    tables["terminals"] = [row for row in tables["terminals"] if "UNF" not in row["thread"]]
    return closed(closed(tables))


def priced(factor: float) -> Rows:
    tables = demo()
    for kind, column in (("prices", "unit_price"), ("purchases", "cost")):
        for row in tables[kind]:
            row[column] = f"{float(row[column]) * factor:.2f}"
    return tables


def other_make(seed: int) -> Rows:
    """Each family longer, heavier and dearer than the demo's by a factor of its own, each row by some per cent."""
    tables, draw = demo(), random.Random(seed)
    own: dict[tuple[str, ...], float] = {}

    def by(family: tuple[str, ...], share: float, row_share: float = 0.06) -> float:
        return own.setdefault(family, draw.uniform(1 - share, 1 + share)) * draw.uniform(1 - row_share, 1 + row_share)

    families = {row["sku"]: (kind, row.get("family", ""), row.get("kind", "")) for kind in ARTICLES for row in tables.get(kind, ())}
    factors = {sku: by(("price", *family), 0.35) for sku, family in families.items()}
    for kind, column in (("prices", "unit_price"), ("purchases", "cost")):
        for row in tables[kind]:
            row[column] = f"{float(row[column]) * factors[row['sku']]:.2f}"
    for kind, columns in LISTS.items():
        for row in tables[kind]:
            for column in columns:
                value, unit = _read(row[column])
                family = next((row[name] for name in ("family", "end", "kind", "body") if row.get(name)), "")
                row[column] = f"{value * by((kind, column, family), 0.15):.4f} {unit}"
    for row in tables["wires"]:
        value, unit = _read(row["break"])
        row["break"] = f"{value * draw.uniform(0.97, 1.03):.3f} {unit}"
    for row in tables["terminals"]:
        inside = _mm(row["depth"]) + (_mm(row["thread_length"]) if row["thread_length"] else 0)
        beyond = (_mm(row["reach"]) - inside) * by(("beyond", row["family"], row["attachment"]), 0.15)
        row["reach"] = f"{inside + beyond:.2f} mm"
    return tables


def few(seed: int) -> Rows:
    """Three wires, five terminals and what goes with them."""
    tables, draw = demo(), random.Random(seed)
    tables["wires"] = draw.sample([row for row in tables["wires"] if row["material"] == "316"], 3)
    sizes, laid = {row["diameter"] for row in tables["wires"]}, {row["construction"] for row in tables["wires"]}
    fit = [row for row in tables["terminals"] if set(row["wire_sizes"].split(";")) & sizes and set(row["constructions"].split(";")) & laid]
    tables["terminals"] = draw.sample(fit, min(5, len(fit)))
    threads = {row["thread"] for row in tables["terminals"]} - {""}
    tables["threads"] = [row for row in tables["threads"] if row["designation"] in threads] or tables["threads"][:1]
    threads = {row["designation"] for row in tables["threads"]}
    for kind in ("turnbuckle_bodies", "locknuts"):
        tables[kind] = [row for row in tables[kind] if row["thread"] in threads]
    tables["screws"] = [row for row in tables["screws"] if row["thread"] in threads and row["end"] == "fork"]
    pins = {row["pin"] for kind in ("terminals", "screws") for row in tables[kind]} - {""}
    tables["links"] = [row for row in tables["links"] if row["pin"] in pins][:2]
    tables["pins"] = [row for row in tables["pins"] if row["diameter"] in pins]
    return closed(closed(tables))


def _read(text: str) -> tuple[float, str]:
    number, unit = text.rsplit(" ", 1)
    return float(sum((Fraction(part) for part in number.split()), Fraction(0))), unit


def _mm(text: str) -> float:
    number, unit = _read(text)
    return number * MM[unit]


SHOPS: Mapping[str, Callable[[], Rows]] = {
    "metric": metric,
    "dearer by a third": lambda: priced(1.3),
    "cheaper by four tenths": lambda: priced(0.6),
    **{f"another make {seed}": lambda seed=seed: other_make(seed) for seed in range(4)},
    **{f"few rows {seed}": lambda seed=seed: few(seed) for seed in range(8)},
}
