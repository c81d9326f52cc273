"""Checks on the wire to cut from: ids are unambiguous, each item has a price, and amounts are whole minor units of the shop's currency."""

from __future__ import annotations

from decimal import Decimal

from pricing.catalogue.reading import BAD, Sheets
from pricing.money import MINOR_UNITS, MoneyError, exact_money

AMOUNTS = (("spools", "price"), ("stock", "price"), ("stock", "price_per_metre"), ("stock", "touch"))


def stock_ids(sheets: Sheets) -> None:
    """Ids identify an item on their own, as cutting plans require.

    No id is both in stock and available to buy, and a spool's id always means the same wire and length.
    """
    spools = {text: line for line, text, _ in sheets["spools"].cells("id")}
    for line, text, _ in sheets["stock"].cells("id"):
        if text in spools:
            sheets["stock"].note(line, "id", text, f"an id that line {spools[text]} of spools.csv has not")
    first: dict[object, tuple[object, int]] = {}
    for line, (name, *same) in sheets["spools"].rows(("id", "wire", "length")):
        was, at = first.setdefault(name, (same, line))
        if BAD not in same and was != same:
            sheets["spools"].note(line, "id", str(name), f"the wire and length of line {at}: another length needs an id of its own")


def stock_worth(sheets: Sheets) -> None:
    """Each row has a price for the whole item or a price per metre, but not both."""
    for line, (whole, by_metre) in sheets["stock"].rows(("price", "price_per_metre")):
        if BAD not in (whole, by_metre) and (whole is None) == (by_metre is None):
            found = "neither price" if whole is None else "both prices"
            sheets["stock"].note(line, "price", found, "either price (of the whole object) or price_per_metre")


def stock_money(sheets: Sheets) -> None:
    """No amount is finer than the minor unit of any currency named in the terms."""
    codes = sorted({value for _, (key, value) in sheets["terms"].rows(("key", "value")) if key == "currency"} & MINOR_UNITS.keys())
    for kind, column in AMOUNTS:
        for line, text, _ in sheets[kind].cells(column):
            for code in codes:
                try:
                    exact_money(Decimal(text), code)
                except MoneyError as error:
                    sheets[kind].note(line, column, text, str(error))
