"""What several formats of a quote ask of its document (a dictionary as `GET /v1/quotes/{id}` answers)."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from pricing.money import money_text

Document = dict[str, Any]
_CODE_LAST = frozenset({"US", "CA", "AU"})


def all_findings(document: Document) -> Iterator[tuple[str | None, Document]]:
    """Every finding with the tag of its assembly, those of the whole quote (without a tag) last."""
    for assembly in document["assemblies"]:
        for finding in assembly["findings"]:
            yield assembly["tag"], finding
    for finding in document["findings"]:
        yield None, finding


def cut_from(document: Document, line: Document) -> list[Document]:
    """The assemblies whose wire is cut from what a line sells; none for lines of fittings, work and waste."""
    if line["group"] != "wire":
        return []
    cut = (each for each in document["assemblies"] if each["cut_length"] is not None and each["wire"] is not None)
    return [each for each in cut if each["wire"]["sku"] == line["sku"]]


def address_lines(seller: Document) -> list[str]:
    """The seller's address as lines; none in quotes issued before it was told. The order of what stands in one line is that of its country.

    North America and Australia write city, region, code; other countries the code first (Universal Postal Union, S42, as far as two kinds go).
    """
    address = seller.get("address")
    if not address:
        return []
    city, region, code = (address[name] for name in ("city", "region", "postal_code"))
    if address["country"] in _CODE_LAST:
        place = [", ".join(each for each in (city, " ".join(each for each in (region, code) if each)) if each)]
    else:
        place = [" ".join(each for each in (code, city) if each), region or ""]
    return [each for each in (address["street"], *place, address["country"]) if each]


def adjusted(adjustments: list[Document], currency: str) -> str:
    """Sum of a line's allowances, or of its charges, with the currency's digits."""
    return money_text(sum((Decimal(each["amount"]) for each in adjustments), Decimal(0)), currency)


def reasons(line: Document) -> str:
    """Why a line has allowances and charges, such as "Price list trade 10 %"."""
    all_of = [*line["allowances"], *line["charges"]]
    return "; ".join(each["reason"] + ("" if each["percent"] is None else f" {each['percent']} %") for each in all_of)
