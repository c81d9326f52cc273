"""The shop's own kinds of work, such as a call-out or an inspection: rows of its labour table that count only where they are requested.

`counted_by` says where a kind of work can be requested, and how it is counted. `quote`: once, for the boat as a whole. `assembly`: once per
assembly, requested for one assembly, or at the quote for every assembly that can be built. `hour`: by the hour, for the boat as a whole.
`each`: a number, at either. Work requested for an assembly counts for each of its pieces, as fittings do.
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
AT = "wire"  # the place of an assembly's own work: the wire as a whole, not one of its ends
ONE = Decimal(1)
AT_THE_QUOTE, AT_AN_ASSEMBLY = ("quote", "assembly", "hour", "each"), ("assembly", "each")
Fault = tuple[str, str, str]


class OwnWork(NamedTuple):
    """The own work requested: for the boat as a whole, with its quantity, and for one piece of each assembly."""

    of_the_boat: tuple[tuple[Labour, Decimal], ...]
    of_each: tuple[tuple[tuple[Labour, Work], ...], ...]


def asked_at(row: Labour) -> tuple[str, ...]:
    """Where a kind of work can be requested: at the `quote`, at an `assembly`, or both."""
    return tuple(place for place, counted in (("quote", AT_THE_QUOTE), ("assembly", AT_AN_ASSEMBLY)) if row.counted_by in counted)


def own_work(request: QuoteRequest, known: Mapping[str, Labour]) -> OwnWork:
    """The shop's own work in a request; `known`: its kinds by code. Raises RequestError with every fault."""
    faults = [*_faults(request.work, "/work", AT_THE_QUOTE, known)]
    everywhere = [each.operation for each in request.work if each.operation in known and known[each.operation].counted_by == "assembly"]
    for place, assembly in enumerate(request.assemblies):
        faults += _faults(assembly.work, f"/assemblies/{place}/work", AT_AN_ASSEMBLY, known, everywhere)
    if faults:
        raise RequestError(faults)
    every = tuple((known[each], Work(each, 1, AT)) for each in everywhere)
    boat = tuple((known[each.operation], each.quantity or ONE) for each in request.work if each.operation not in everywhere)
    return OwnWork(boat, tuple((*every, *_of_one(assembly.work, known)) for assembly in request.assemblies))


def _of_one(requested: Sequence[WorkAsked], known: Mapping[str, Labour]) -> Iterator[tuple[Labour, Work]]:
    for each in requested:
        yield known[each.operation], Work(each.operation, int(each.quantity or 1), AT)


def _faults(
    requested: Sequence[WorkAsked], at: str, counted: Sequence[str], known: Mapping[str, Labour], everywhere: Sequence[str] = ()
) -> Iterator[Fault]:
    """(pointer, code, detail) of each faulty entry; `everywhere`: the operations requested at the quote for every assembly."""
    seen: set[str] = set()
    for place, each in enumerate(requested):
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
            yield f"{here}/operation", "not_at_an_assembly", f"{_counted_by(row)}: ask for it in `work` of the quote"
        elif (fault := _quantity_fault(each.quantity, row)) is not None:
            yield f"{here}/quantity", *fault
        seen.add(each.operation)


def _quantity_fault(quantity: Decimal | None, row: Labour) -> tuple[str, str] | None:
    if row.counted_by == "hour":
        return ("required", "say how many hours, as text, such as '1.5'") if quantity is None else None
    if quantity is None:
        return None
    if row.counted_by != "each":
        return None if quantity == ONE else ("counted_once", f"{_counted_by(row)}: leave the quantity out, or write '1'")
    return None if quantity == int(quantity) else ("part_of_a_piece", "it is counted in whole numbers: write one, such as '2'")


def _counted_by(row: Labour) -> str:
    """How the labour table counts this kind of work, in words."""
    counted = {"quote": "once in a quote", "assembly": "once for each piece of an assembly", "hour": "by the hour, for the whole boat"}
    return f"in the labour table, {row.operation} is counted {counted.get(row.counted_by or '', 'by the piece')}"


def _unknown(operation: str, known: Mapping[str, Labour]) -> str:
    meant = nearest(operation, known)
    suggestion = f"did you mean {meant!r}? " if meant else ""
    if not known:
        return "the shop's labour table has no kinds of work of its own: leave it out, or add a row that says what it is counted by"
    return f"{suggestion}Of its own, the shop's labour table has: {', '.join(known)}"
