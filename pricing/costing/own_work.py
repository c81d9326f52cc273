"""The shop's own kinds of work, such as a call-out or an inspection: rows of its labour table that the engine counts only where they are asked for.

What a kind is counted by says where it can be asked for, and how much of it there is. `quote`: once, for the boat as a whole. `assembly`: once for
each assembly, asked for at it, or at the quote for every one that can be built. `hour`: hours, for the boat as a whole. `each`: a number, at either. What
is asked for at an assembly is for one of its pieces, as its fittings are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.errors import RequestError
from pricing.fittings.base import Work
from pricing.nearest import nearest

if TYPE_CHECKING:
    from pricing.measurement.assembly import QuoteRequest, WorkAsked
    from pricing.rows import Labour

OWN_WORK = "work"  # the rule of its lines
AT = "wire"  # of an assembly's work: the whole, not one of its ends
ONE = Decimal(1)
AT_THE_QUOTE, AT_AN_ASSEMBLY = ("quote", "assembly", "hour", "each"), ("assembly", "each")
Fault = tuple[str, str, str]


class OwnWork(NamedTuple):
    """What was asked for: of the boat as a whole, with how much of it, and of one piece of each assembly."""

    of_the_boat: tuple[tuple[Labour, Decimal], ...]
    of_each: tuple[tuple[tuple[Labour, Work], ...], ...]


def asked_at(row: Labour) -> tuple[str, ...]:
    """Where a kind of work can be asked for: at the `quote`, at an `assembly`."""
    return tuple(place for place, counted in (("quote", AT_THE_QUOTE), ("assembly", AT_AN_ASSEMBLY)) if row.counted_by in counted)


def own_work(request: QuoteRequest, known: Mapping[str, Labour]) -> OwnWork:
    """The shop's own work that a request asks for; `known`: its kinds by code. Raises RequestError with all that cannot be asked for so."""
    faults = [*_faults(request.work, "/work", AT_THE_QUOTE, known)]
    everywhere = [each.operation for each in request.work if each.operation in known and known[each.operation].counted_by == "assembly"]
    for place, assembly in enumerate(request.assemblies):
        faults += _faults(assembly.work, f"/assemblies/{place}/work", AT_AN_ASSEMBLY, known, everywhere)
    if faults:
        raise RequestError(faults)
    every = tuple((known[each], Work(each, 1, AT)) for each in everywhere)
    boat = tuple((known[each.operation], each.quantity or ONE) for each in request.work if each.operation not in everywhere)
    return OwnWork(boat, tuple((*every, *_of_one(assembly.work, known)) for assembly in request.assemblies))


def _of_one(asked: Sequence[WorkAsked], known: Mapping[str, Labour]) -> Iterator[tuple[Labour, Work]]:
    for each in asked:
        yield known[each.operation], Work(each.operation, int(each.quantity or 1), AT)


def _faults(
    asked: Sequence[WorkAsked], at: str, counted: Sequence[str], known: Mapping[str, Labour], everywhere: Sequence[str] = ()
) -> Iterator[Fault]:
    """What cannot be asked for here; `everywhere`: what the quote asks for every assembly already."""
    seen: set[str] = set()
    for place, each in enumerate(asked):
        row, here = known.get(each.operation), f"{at}/{place}"
        if row is None:
            yield f"{here}/operation", "unknown_operation", _unknown(each.operation, known)
        elif each.operation in seen:
            yield f"{here}/operation", "duplicate_operation", "it stands here twice: keep one, with the quantity of both"
        elif each.operation in everywhere:
            yield (
                f"{here}/operation",
                "duplicate_operation",
                "the quote asks for it for every assembly already: leave it out here, or there",
            )
        elif row.counted_by not in counted:
            yield f"{here}/operation", "not_at_an_assembly", f"{_told(row)}: ask for it in `work` of the quote"
        elif (fault := _quantity_fault(each.quantity, row)) is not None:
            yield f"{here}/quantity", *fault
        seen.add(each.operation)


def _quantity_fault(quantity: Decimal | None, row: Labour) -> tuple[str, str] | None:
    if row.counted_by == "hour":
        return ("required", "say how many hours, as text, such as '1.5'") if quantity is None else None
    if quantity is None:
        return None
    if row.counted_by != "each":
        return None if quantity == ONE else ("counted_once", f"{_told(row)}: leave the quantity out, or write '1'")
    return None if quantity == int(quantity) else ("part_of_a_piece", "it is counted in whole numbers: write one, such as '2'")


def _told(row: Labour) -> str:
    """What the labour table says of its count."""
    counted = {"quote": "once in a quote", "assembly": "once for each piece of an assembly", "hour": "by the hour, for the whole boat"}
    return f"in the labour table, {row.operation} is counted {counted.get(row.counted_by or '', 'by the piece')}"


def _unknown(operation: str, known: Mapping[str, Labour]) -> str:
    meant = nearest(operation, known)
    asked = f"did you mean {meant!r}? " if meant else ""
    if not known:
        return "the shop's labour table has no kinds of work of its own: leave it out, or add a row that says what it is counted by"
    return f"{asked}Of its own, the shop's labour table has: {', '.join(known)}"
