"""What several formats need from a quote."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from msgspec import UNSET

from pricing.model import Address, Adjusted, Quote, QuotedAssembly, QuotedFinding, QuotedLine
from pricing.money import money_text

_CODE_LAST = frozenset({"US", "CA", "AU"})


class Head(NamedTuple):
    """A stored quote's identity and state."""

    id: str
    number: str
    revision: int
    status: str
    checksum: str


def head(quote: Quote) -> Head:
    """The head of a stored quote. Raises ValueError for a preview, which has none."""
    if quote.id is UNSET or quote.number is UNSET or quote.revision is UNSET or quote.status is UNSET or quote.checksum is UNSET:
        raise ValueError("the quote is not stored: it has no identity yet")
    return Head(quote.id, quote.number, quote.revision, quote.status, quote.checksum)


def all_findings(quote: Quote) -> Iterator[tuple[str | None, QuotedFinding]]:
    """Every finding with its assembly's tag; those of the whole quote (without a tag) come last."""
    for assembly in quote.assemblies:
        for finding in assembly.findings:
            yield assembly.tag, finding
    for finding in quote.findings:
        yield None, finding


def cut_from(quote: Quote, line: QuotedLine) -> list[QuotedAssembly]:
    """The assemblies whose wire is cut from what a line sells; none for fittings, labour and waste."""
    if line.group != "wire":
        return []
    return [each for each in quote.assemblies if each.cut_length is not None and each.wire is not None and each.wire.sku == line.sku]


def address_lines(address: Address | None) -> list[str]:
    """An address as lines; empty if there is none, as in quotes issued before it was included. The order within a line depends on the
    country.

    North America and Australia write city, region, postcode; other countries write the postcode first (Universal Postal Union, S42,
    reduced to these two orders).
    """
    if address is None:
        return []
    city, region, code = address.city, address.region, address.postal_code
    if address.country in _CODE_LAST:
        place = [", ".join(each for each in (city, " ".join(each for each in (region, code) if each)) if each)]
    else:
        place = [" ".join(each for each in (code, city) if each), region or ""]
    return [each for each in (address.street, *place, address.country) if each]


def adjusted(adjustments: tuple[Adjusted, ...], currency: str) -> str:
    """The sum of a line's allowances, or of its charges, with the currency's decimals."""
    return money_text(sum((each.amount for each in adjustments), Decimal(0)), currency)


def reasons(line: QuotedLine) -> str:
    """The reasons for a line's allowances and charges, such as "Price list trade 10 %"."""
    all_of = [*line.allowances, *line.charges]
    return "; ".join(each.reason + ("" if each.percent is None else f" {each.percent} %") for each in all_of)
