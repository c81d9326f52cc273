"""What each assembly costs of the whole: articles are priced over the boat, with their price breaks, and each assembly bears its part of every line.

Method (common practice, no source): the net of a line is divided over the assemblies by what they take of it. Wire, its scrap and its rest go
by the length cut, allowances of cuts by the cuts, fittings and work by the piece; a customer's own parts cost nothing. What an assembly bears
of all lines is added up exactly and rounded only then: down to the minor unit of the money, and the units that are left over go one each to
those with the largest remainders, of equal ones to the first (the method of the largest remainder). So the shares add up to the sum of the
lines, and each differs from its exact value by less than one minor unit; two assemblies alike may differ by one.

Not shared are the charges on the document, such as freight and the difference to a minimum order, and the tax: they are of the whole order.
The shares and those charges together are the total before tax.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.money import minor_unit

if TYPE_CHECKING:
    from pricing.material import Counted
    from pricing.sheet import PricedLine

_FINE = 10**15  # parts of a minor unit that are told apart: equal shares stay equal, and no order of boats is near it
CUTS = "cut_allowance"  # the rule whose lines go by cuts


def shares(counted: Sequence[Counted | None], lines: Sequence[PricedLine], currency: str) -> tuple[Decimal | None, ...]:
    """Each assembly's share of the lines before tax, all of its quantity together; None for one that is not priced. In the order given.

    Raises LookupError for a line that no assembly takes anything of.
    """
    borne = [0] * len(counted)
    takers = _takers(counted)
    total = 0
    for line in lines:
        weights = takers.get(f"{CUTS} {line.sku}" if line.rule == CUTS else line.sku)
        if not weights:
            raise LookupError(f"line {line.id} ({line.sku}) is of no assembly")
        net = _units(line.net, currency)
        total += net
        fine, whole = net * _FINE, sum(weights.values())
        for place, weight in weights.items():
            borne[place] += fine * weight // whole
    rounded = _rounded(borne, total)
    digits = minor_unit(currency)
    return tuple(None if each is None else Decimal(units).scaleb(-digits) for each, units in zip(counted, rounded, strict=True))


def _takers(counted: Sequence[Counted | None]) -> dict[str, dict[int, int]]:
    """Of each article, the places of the assemblies that take of it, and how much in whole numbers: tenths of a millimetre, cuts, pieces."""
    found: dict[str, dict[int, int]] = {}

    def take(name: str, place: int, weight: int) -> None:
        of = found.setdefault(name, {})
        of[place] = of.get(place, 0) + weight

    for place, each in enumerate(counted):
        if each is None:
            continue
        many, wire = each.built.assembly.quantity, each.wire.sku
        take(wire, place, many * int(each.cut * 10))
        take(f"{CUTS} {wire}", place, many)
        for part in each.parts:
            if not part.kept:
                take(part.sku, place, many * part.quantity)
        for labour, work in each.work:
            take(labour.sku, place, many * work.quantity)
    return found


def _units(amount: Decimal, currency: str) -> int:
    return int(amount.scaleb(minor_unit(currency)))


def _rounded(borne: Sequence[int], total: int) -> list[int]:
    """Whole minor units that add up to `total`, by the largest remainder."""
    found = [each // _FINE for each in borne]
    by_remainder = sorted(range(len(borne)), key=lambda place: -(borne[place] % _FINE))
    for place in by_remainder[: total - sum(found)]:
        found[place] += 1
    return found
