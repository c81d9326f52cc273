"""Wire on the shelf of the invented shop, and the spools that it can buy."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from pricing.data.recipes.common import INVENTED, Row, money
from pricing.data.recipes.shop import FIRST

COST = Fraction(55, 100)  # the shop's own cost as a share of the price by the metre
WORTH = Fraction(94, 100)  # opened spools and offcuts are valued at the longest spool's cost per metre
# length: share of that cost (a longer spool is cheaper by the metre).
SPOOLS = {
    "inch": {"250 ft": Fraction(1), "1000 ft": Fraction(94, 100)},
    "metric": {"100 m": Fraction(1), "250 m": Fraction(95, 100)},
    "for_the_job": {"25 m": Fraction(112, 100), "50 m": Fraction(104, 100), "100 m": Fraction(1)},
}
METRES = {
    name: Fraction(text)
    for name, text in {"250 ft": "76.2", "1000 ft": "304.8", "25 m": "25", "50 m": "50", "100 m": "100", "250 m": "250"}.items()
}
# Opened spools and offcuts of the wires that sell most.
OPENED = {
    "WIRE-1X19-316-5-32IN": ("31.4 m",), "WIRE-1X19-316-3-16IN": ("44.7 m", "12.85 m"), "WIRE-1X19-316-1-4IN": ("38.25 m",),
    "WIRE-1X19-316-9-32IN": ("52 m",), "WIRE-1X19-316-5MM": ("63.5 m",), "WIRE-1X19-316-6MM": ("27.3 m",), "WIRE-7X19-316-5MM": ("48.2 m",),
}  # fmt: skip
OFFCUTS = {
    "WIRE-1X19-316-5-32IN": ("7.62 m", "4.15 m"), "WIRE-1X19-316-3-16IN": ("9.87 m", "6.4 m", "3.05 m"), "WIRE-1X19-316-1-4IN": ("11.3 m", "5.2 m"),
    "WIRE-1X19-316-5MM": ("10.45 m", "4.9 m", "2.2 m"), "WIRE-1X19-316-6MM": ("8.1 m",), "WIRE-7X19-316-5MM": ("6.75 m",),
}  # fmt: skip


def spools(wires: Iterable[Row]) -> list[Row]:
    """spools.csv."""
    return [row for wire in wires for row in _spools(wire)]


def stock(wires: Iterable[Row]) -> list[Row]:
    """stock.csv."""
    return [row for wire in wires for row in (*_kept(wire, "opened", OPENED), *_kept(wire, "offcut", OFFCUTS))]


def lengths(wire: Row) -> dict[str, Fraction]:
    """The lengths of spool that this wire is sold in, each with its share of the usual cost per metre."""
    kind = "for_the_job" if wire["bought"] == "for_the_job" else "inch" if wire["diameter"].endswith("in") else "metric"
    return SPOOLS[kind]


def _spools(wire: Row) -> Iterable[Row]:
    for length, share in lengths(wire).items():
        price = money(METRES[length] * Fraction(wire["_price"]) * COST * share)
        yield {
            "id": f"{_short(wire)}-{length.replace(' ', '').upper()}", "wire": wire["sku"], "length": length, "price": price,
            "from_day": FIRST, "source": INVENTED,
        }  # fmt: skip


def _kept(wire: Row, kind: str, lengths: dict[str, tuple[str, ...]]) -> Iterable[Row]:
    for place, length in enumerate(lengths.get(wire["sku"], ()), 1):
        by_metre = money(Fraction(wire["_price"]) * COST * WORTH)
        yield {
            "id": f"{_short(wire)}-{kind.upper()}-{place}", "wire": wire["sku"], "kind": kind, "length": length, "price_per_metre": by_metre,
            "count": "1", "source": INVENTED,
        }  # fmt: skip


def _short(wire: Row) -> str:
    return wire["sku"].removeprefix("WIRE-")
