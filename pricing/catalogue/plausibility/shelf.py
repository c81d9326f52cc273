"""Spools and stock: their value against the selling price per metre, their lengths against the spools on sale."""

from __future__ import annotations

from collections.abc import Iterator

import pandas

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.catalogue.tables_prices import TERM_CELLS
from pricing.errors import Doubt

# cost of wire as a share of its selling price; lengths in mm: common practice, no source
SPOOLS = (
    Scale("length", "", 10_000, 2_000_000, among=("inch",), apart=0),
    Scale("price", "sold_mm", 0.25, 1.1, among=("construction", "material"), apart=1.8),
)
STOCK = (
    Scale("price_per_metre", "sold", 0.25, 1.1, apart=1.8),
    Scale("price", "sold_mm", 0.25, 1.1, apart=1.8),
    Scale("touch", "sold", 0, 60, apart=3),
)
WORDS = Wording(lambda row: "wire of this price", {"sold": "per metre", "sold_mm": "for this length"})
SEVERAL = 6  # opened spools or offcuts of one length: common practice, no source
MANY_NEW = 100
LONGEST_OFFCUT = 20_000  # mm; a longer piece is an opened spool: common practice, no source
LEAST = 300.0  # mm, where the terms keep every piece


def spools(examined: Examined) -> Iterator[Doubt]:
    """A spool's cost against its length at the selling price per metre."""
    frame = _with_selling_price(examined, "spools")
    frame["inch"] = [text.endswith(("ft", "in")) for text in examined.sheets["spools"].text["length"]]
    yield from scaled(examined, "spools", frame, SPOOLS, WORDS)
    for _, own in frame.groupby("inch"):
        lengths = own["length"].value_counts()
        if len(own) >= 8:
            for at, wire, length in zip(own.index, own["wire"], own["length"], strict=True):
                if lengths[length] * 20 < len(own):
                    usual = ", ".join(f"{each / 1000:.4g} m" for each in sorted(lengths.index[lengths * 20 >= len(own)]))
                    if usual:
                        yield examined.doubt(
                            "spools", at, "length", f"one of {usual}", f"{length / 1000:.4g} m of {wire} where other spools have {usual}"
                        )
    rate = frame["price"] / frame["length"]
    longest = frame.sort_values("length").drop_duplicates("wire", keep="last").set_index("wire")
    least = frame["wire"].map(longest["price"] / longest["length"])
    for at in frame.index[(rate < 0.8 * least) & (frame["length"] < frame["wire"].map(longest["length"]))]:
        reason = f"a metre of {frame['wire'][at]} costs less on the shorter spool"
        yield examined.doubt("spools", at, "price", "no less a metre than the longer spool", reason)


def stock(examined: Examined) -> Iterator[Doubt]:
    """Implausible values, lengths and counts of stock."""
    frame = _with_selling_price(examined, "stock")
    yield from scaled(examined, "stock", frame, STOCK, WORDS)
    kept = _minimum_remnant(examined)
    bought = examined.frame("spools").groupby("wire")["length"]
    longest, every = bought.max(), bought.apply(lambda lengths: set(lengths.round(1)))
    for at, wire, kind, length, count in zip(frame.index, frame["wire"], frame["kind"], frame["length"], frame["count"], strict=True):
        if wire in longest.index and length > longest[wire] * 1.02:
            yield examined.doubt(
                "stock",
                at,
                "length",
                f"at most {longest[wire] / 1000:.4g} m, the longest spool of {wire}",
                f"{length / 1000:.4g} m of it in one piece",
            )
        elif kind == "new" and wire in every.index and round(length, 1) not in every[wire]:
            lengths = ", ".join(f"{each / 1000:.4g} m" for each in sorted(every[wire]))
            yield examined.doubt(
                "stock", at, "length", f"one of {lengths}, in which {wire} is bought", f"an unopened spool of {length / 1000:.4g} m"
            )
        elif length < kept:
            expected = f"at least {kept / 1000:g} m, the shop's minimum_remnant"
            yield examined.doubt("stock", at, "length", expected, f"a piece of {length:.0f} mm is shorter than what the shop keeps")
        elif kind == "opened" and length < 5_000:
            yield examined.doubt(
                "stock", at, "length", "at least 5 m, or the kind offcut", f"an opened spool with {length / 1000:.3g} m left"
            )
        elif kind == "offcut" and length > LONGEST_OFFCUT:
            expected = f"at most {LONGEST_OFFCUT / 1000:g} m, or the kind opened"
            yield examined.doubt("stock", at, "length", expected, f"an offcut of {length / 1000:.4g} m")
        if count > (MANY_NEW if kind == "new" else SEVERAL):
            yield examined.doubt(
                "stock", at, "count", f"at most {MANY_NEW if kind == 'new' else SEVERAL}", f"{count} pieces of one length, {kind}"
            )


def _with_selling_price(examined: Examined, kind: str) -> pandas.DataFrame:
    frame = examined.frame(kind).copy()
    prices = examined.frame("prices")
    usual = prices[prices["unit_price"] > 0].groupby("sku")["unit_price"].median()
    wires = examined.frame("wires").set_index("sku")
    for column in ("construction", "material"):
        frame[column] = frame["wire"].map(wires[column])
    frame["sold"] = frame["wire"].map(usual)
    frame["sold_mm"] = frame["sold"] * frame["length"] / 1000
    return frame


def _minimum_remnant(examined: Examined) -> float:
    """The shop's minimum remnant in mm; the smallest over all days, but at least LEAST."""
    cell, _ = TERM_CELLS["minimum_remnant"]
    rows = examined.sheets["terms"].rows(("key", "value", "unit"))
    lengths = [float(cell.read(f"{value} {unit}")) for _, (key, value, unit) in rows if key == "minimum_remnant"]
    return max(min(lengths, default=LEAST), LEAST)
