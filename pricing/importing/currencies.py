"""Currencies as price lists write them: in headers, cells and number formats. A list in another currency than the shop's raises a question."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from csv import DictReader
from io import StringIO
from typing import TYPE_CHECKING

from pricing.importing.vocabulary import PRICE

if TYPE_CHECKING:
    from pricing.importing.grid import Place
    from pricing.importing.mapped_sheet import MappedSheet

CURRENCY = "currency"  # the constant that declares the currency of a whole list, whatever its cells say
MONEY_COLUMNS = frozenset({"unit_price", "price", "price_per_metre", "cost", "touch"})
_DOLLARS, _CROWNS = frozenset({"USD", "CAD", "AUD", "NZD", "HKD", "SGD"}), frozenset({"SEK", "NOK", "DKK", "ISK"})
# Signs, which several currencies may share. ISO 4217 codes of other currencies than those below are not recognised.
_MEANT = {"€": frozenset({"EUR"}), "euro": frozenset({"EUR"}), "£": frozenset({"GBP"}), "us$": frozenset({"USD"}), "$": _DOLLARS, "kr": _CROWNS, "sfr": frozenset({"CHF"}), "¥": frozenset({"JPY", "CNY"})}  # fmt: skip
_CODES = ("EUR", "GBP", "CHF", "PLN", "CZK", "HUF", "JPY", "CNY", "ZAR", "INR", *sorted(_DOLLARS), *sorted(_CROWNS))
SIGN = re.compile(rf"(?<![^\W_])(?:US\$|[€$£¥]|euro|sfr|kr|{'|'.join(_CODES)})(?![^\W\d_])", re.IGNORECASE)
_OF_FORMAT = re.compile(r"\[\$([^\[\]-]+)(?:-[^\[\]]*)?\]")


def meant(text: str) -> frozenset[str]:
    """The ISO 4217 codes that the first currency in a text may stand for; empty if there is no currency in it."""
    match = SIGN.search(text)
    if match is None:
        return frozenset()
    return _MEANT.get(match[0].casefold()) or frozenset({match[0].upper()})


def of_format(code: str) -> str:
    """The currency shown by the first section of a number format (ECMA-376 part 1, 18.8.31), as written there; blank if none."""
    section = code.partition(";")[0]
    own = _OF_FORMAT.search(section)
    sign = SIGN.search(own[1] if own else re.sub(r"\[[^\[\]]*\]", "", section).replace("\\", ""))
    return sign[0] if sign else ""


def currencies_written(sheet: MappedSheet) -> Iterator[tuple[str, frozenset[str], Place]]:
    """(text, possible ISO 4217 codes, place of the first occurrence) for each currency in the price columns, headers first."""
    for header, target in sheet.mapping.columns.items():
        if not (target in MONEY_COLUMNS or target.startswith(PRICE)):
            continue
        at = sheet.head.names.index(header)
        if codes := meant(f"{header} {sheet.head.below[at]}"):
            yield header, codes, sheet.grid.place(sheet.grid.rows.index(sheet.head.row), at, header)
        texts = sheet.grid.cells[at].to_numpy()
        first = {texts[row]: row for row in reversed(sheet.rows)}
        seen = {codes: row for text, row in reversed(first.items()) if (codes := meant(text))}
        yield from ((texts[row], codes, sheet.grid.place(row, at, header)) for codes, row in seen.items())


def of_shop(folder: Mapping[str, str]) -> str:
    """The newest currency in the shop's terms; blank if there is none. `folder`: texts by file name."""
    rows = [row for row in DictReader(StringIO(folder.get("terms.csv", ""))) if (row.get("key") or "").strip() == CURRENCY]
    newest = max(rows, key=lambda row: (row.get("from_day") or "").strip(), default={})
    return (newest.get("value") or "").strip()


def currency_mismatches(sheet: MappedSheet, shop: str, how: str) -> Iterator[tuple[Place, str, str]]:
    """(place, text, advice) wherever a sheet's prices seem to be in another currency than the shop's. `how`: the option that overrides this."""
    declared = sheet.mapping.constants.get(CURRENCY, "").upper()
    if (
        not shop or declared == shop or any(column.name == CURRENCY for column in sheet.table.columns)
    ):  # a table with a currency column declares it row by row
        return
    if declared:
        yield sheet.grid.place(), declared, f"is said to be the list's currency, and the shop's terms say {shop}: convert the prices first"
        return
    for written, codes, place in currencies_written(sheet):
        if shop not in codes:
            yield (
                place,
                written,
                f"says another currency than the shop's terms, {shop}: convert the prices, or, if they are {shop} all the same, say {how}",
            )
