"""Each assembly's share of the cost.

Articles are priced for the whole boat, with their price breaks, and each assembly bears its part of every line. Method (common practice,
no source): the net amount of a line is divided among the assemblies in proportion to their use. Wire, its scrap and its remnant are divided
by the length cut, cut allowances by the number of cuts, fittings and labour by the piece; a customer's own parts cost nothing. Work for the
boat as a whole takes its part of its line as an assembly would, but belongs to no assembly's share. An assembly's part of all lines is
added up exactly and rounded only at the end, by the largest remainder method: down to the minor unit of the currency, and the units left
over go one each to the largest remainders, ties to the earlier assembly. So the shares and the part of the boat as a whole add up to the
sum of the lines, and each differs from its exact value by less than one minor unit; two identical assemblies may differ by one.

Charges on the document, such as freight and the minimum order, and tax are not shared: they apply to the whole order. The shares and those
charges together are the total before tax.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import ceil
from typing import TYPE_CHECKING

from pricing.money import minor_unit

if TYPE_CHECKING:
    from pricing.costing.bill import Counted
    from pricing.costing.priced_lines import PricedLine

_FINE = 10**15  # resolution within a minor unit: equal shares stay equal, and no order is large enough to exhaust it
CUTS = "cut_allowance"  # the rule whose lines are divided by cuts


Takers = Mapping[str, Mapping[int, int]]


def shares(
    counted: Sequence[Counted | None],
    lines: Sequence[PricedLine],
    currency: str,
    of_the_boat: Mapping[str, Decimal] = {},
    takers: Takers | None = None,
) -> tuple[Decimal | None, ...]:
    """Each assembly's share of the lines before tax, for its whole quantity, in the order given; None if it is not priced.

    `of_the_boat`: by article, the quantities that belong to no assembly. `takers`: the result of `takers_of` for the two, if already known.
    Raises LookupError for a line that nothing uses.
    """
    borne, digits = [0] * (len(counted) + 1), minor_unit(currency)  # the last is the boat as a whole
    takers = takers_of(counted, of_the_boat) if takers is None else takers
    total = 0
    for line in lines:
        weights = takers.get(f"{CUTS} {line.sku}" if line.rule == CUTS else line.sku)
        if not weights:
            raise LookupError(f"line {line.id} ({line.sku}) belongs to no assembly")
        net = int(line.net.scaleb(digits))
        total += net
        fine, whole = net * _FINE, sum(weights.values())
        for place, weight in weights.items():
            borne[place] += fine * weight // whole
    rounded = _rounded(borne, total)
    return tuple(None if each is None else Decimal(units).scaleb(-digits) for each, units in zip(counted, rounded[:-1], strict=True))


def takers_of(counted: Sequence[Counted | None], of_the_boat: Mapping[str, Decimal] = {}) -> Takers:
    """For each article, the indices of the assemblies that use it, with amounts in whole numbers: tenths of a millimetre, cuts, pieces.

    `of_the_boat`: by article, the quantities that belong to no assembly; their index is one past the last assembly's.
    """
    amounts: dict[str, defaultdict[int, int]] = defaultdict(lambda: defaultdict(int))
    for place, each in enumerate(counted):
        if each is None:
            continue
        many, wire = each.built.assembly.quantity, each.wire.sku
        amounts[wire][place] += many * int(each.cut * 10)
        amounts[f"{CUTS} {wire}"][place] += many
        for part in each.parts:
            if not part.kept:
                amounts[part.sku][place] += many * part.quantity
        for labour, work in each.work:
            amounts[labour.sku][place] += many * work.quantity
    for sku, quantity in of_the_boat.items():
        amounts[sku][len(counted)] = ceil(quantity)  # rounding up an hour changes nothing: its line is used by the boat alone
    return amounts


def _rounded(borne: Sequence[int], total: int) -> list[int]:
    """Round to whole minor units that add up to `total`, by the largest remainder."""
    parts = [each // _FINE for each in borne]
    by_remainder = sorted(range(len(borne)), key=lambda place: -(borne[place] % _FINE))
    for place in by_remainder[: total - sum(parts)]:
        parts[place] += 1
    return parts
