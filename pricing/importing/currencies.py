"""Currencies as lists write them, in headers, cells and number formats; a list in another one than the shop's is asked about."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from csv import DictReader
from io import StringIO
from typing import TYPE_CHECKING

from pricing.importing.vocabulary import PRICE

if TYPE_CHECKING:
    from pricing.importing.grid import Place
    from pricing.importing.taking import Taken

CURRENCY = "currency"  # said for a whole list: its prices are of it, whatever it writes
MONEY_COLUMNS = frozenset({"unit_price", "price", "price_per_metre", "cost", "touch"})
_DOLLARS, _CROWNS = frozenset({"USD", "CAD", "AUD", "NZD", "HKD", "SGD"}), frozenset({"SEK", "NOK", "DKK", "ISK"})
# ISO 4217 codes as they are written, and signs, which several currencies may share; those of other countries are not read
_MEANT = {"€": frozenset({"EUR"}), "euro": frozenset({"EUR"}), "£": frozenset({"GBP"}), "us$": frozenset({"USD"}), "$": _DOLLARS, "kr": _CROWNS, "sfr": frozenset({"CHF"}), "¥": frozenset({"JPY", "CNY"})}  # fmt: skip
_CODES = ("EUR", "GBP", "CHF", "PLN", "CZK", "HUF", "JPY", "CNY", "ZAR", "INR", *sorted(_DOLLARS), *sorted(_CROWNS))
SIGN = re.compile(rf"(?<![^\W_])(?:US\$|[€$£¥]|euro|sfr|kr|{'|'.join(_CODES)})(?![^\W\d_])", re.IGNORECASE)
_OF_FORMAT = re.compile(r"\[\$([^\[\]-]+)(?:-[^\[\]]*)?\]")


def meant(text: str) -> frozenset[str]:
    """The currencies that the first one written in a text may be, by ISO 4217; none if none is written."""
    match = SIGN.search(text)
    if match is None:
        return frozenset()
    return _MEANT.get(match[0].casefold()) or frozenset({match[0].upper()})


def of_format(code: str) -> str:
    """The currency that a number format's first section shows (ECMA-376 part 1, 18.8.31), as it shows it; blank if it shows none."""
    section = code.partition(";")[0]
    own = _OF_FORMAT.search(section)
    found = SIGN.search(own[1] if own else re.sub(r"\[[^\[\]]*\]", "", section).replace("\\", ""))
    return found[0] if found else ""


def said_in(found: Taken) -> Iterator[tuple[str, frozenset[str], Place]]:
    """Each price column's currencies: as written, which it may be, and where it is first; its header's before those of its cells."""
    for header, target in found.part.columns.items():
        if not (target in MONEY_COLUMNS or target.startswith(PRICE)):
            continue
        at = found.head.names.index(header)
        if codes := meant(f"{header} {found.head.below[at]}"):
            yield header, codes, found.grid.place(found.grid.rows.index(found.head.row), at, header)
        texts = found.grid.cells[at].to_numpy()
        first = {texts[row]: row for row in reversed(found.rows)}
        seen = {codes: row for text, row in reversed(first.items()) if (codes := meant(text))}
        yield from ((texts[row], codes, found.grid.place(row, at, header)) for codes, row in seen.items())


def of_shop(folder: Mapping[str, str]) -> str:
    """The currency of the shop's terms, the newest one; blank if there are none."""
    rows = [row for row in DictReader(StringIO(folder.get("terms.csv", ""))) if (row.get("key") or "").strip() == CURRENCY]
    newest = max(rows, key=lambda row: (row.get("from_day") or "").strip(), default={})
    return (newest.get("value") or "").strip()


def asked(found: Taken, shop: str, how: str) -> Iterator[tuple[Place, str, str]]:
    """Where a sheet's prices are of another currency than the shop's: the place, what is written there, and what to do. `how`: what says that they are
    the shop's all the same.
    """
    told = found.part.constants.get(CURRENCY, "").upper()
    if not shop or told == shop or any(column.name == CURRENCY for column in found.table.columns):  # rows of such a table say it themselves
        return
    if told:
        yield found.grid.place(), told, f"is said to be the list's currency, and the shop's terms say {shop}: convert the prices first"
        return
    for written, codes, place in said_in(found):
        if shop not in codes:
            yield (
                place,
                written,
                f"says another currency than the shop's terms, {shop}: convert the prices, or, if they are {shop} all the same, say {how}",
            )
