"""The outcomes of requests with given tables on a day, and how they differ from those with other tables: in money, millimetres and readiness."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from service.http import problems
from service.http.bodies import decoded
from service.schemas import read_request

if TYPE_CHECKING:
    from pricing.model import Quote
    from service.engine.engine import Engine

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Piece:
    """An assembly: its tag, cut length in mm as decimal text (None where it cannot be cut), and readiness."""

    tag: str
    cut: str | None
    readiness: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """A quote in brief. `payable` is decimal text, None if nothing could be priced; `articles` are SKUs with quantities; `refused` says why there is
    no quote.
    """

    payable: str | None = None
    currency: str | None = None
    pieces: tuple[Piece, ...] = ()
    articles: tuple[tuple[str, str], ...] = ()
    refused: str | None = None


@dataclass(frozen=True, slots=True)
class Effect:
    """The outcomes of one request with both tables. `name`: the quote's number or the boat's; `issued`: the amount of the stored quote."""

    name: str
    before: Outcome
    after: Outcome
    issued: str | None = None

    @property
    def changed(self) -> bool:
        """Whether the outcomes differ."""
        return self.before != self.after


def outcomes(
    engine: Engine, bodies: Sequence[bytes], day: date, seconds: float, clock: Callable[[], float] = time.monotonic
) -> tuple[Outcome, ...]:
    """The outcomes of the requests on a day, in order. When the time is up, the remaining ones are left out."""
    until, results = clock() + seconds, list[Outcome]()
    for body in bodies:
        if clock() > until:
            break
        results.append(outcome(engine, body, day))
    return tuple(results)


def outcome(engine: Engine, body: bytes, day: date) -> Outcome:
    """The outcome of a request on a day."""
    try:
        return _of(engine.quote(read_request(decoded(body), engine.price_lists(day)), day))
    except problems.REFUSED as error:
        problem = problems.problem_of(error)
        return Outcome(refused="; ".join([problem.detail, *(str(each["detail"]) for each in problem.faults)])[:500])


def _of(quote: Quote) -> Outcome:
    payable = quote.totals.payable
    return Outcome(
        None if payable is None else str(payable),
        quote.currency,
        tuple(Piece(each.tag, None if each.cut_length is None else str(each.cut_length.mm), each.readiness) for each in quote.assemblies),
        tuple((sku, str(many)) for sku, many in _counted(quote).items()),
    )


def _counted(quote: Quote) -> dict[str, Decimal]:
    """The quantities sold, by SKU, without kept parts, which are the customer's own."""
    found: dict[str, Decimal] = {}
    for line in quote.bill_of_materials:
        if not line.kept:
            found[line.sku] = found.get(line.sku, Decimal(0)) + line.quantity
    return found


def effects(names: Sequence[str], before: Sequence[Outcome], after: Sequence[Outcome], issued: Sequence[str | None] = ()) -> list[Effect]:
    """The effects on the requests that have both outcomes. `issued`: the amounts of the stored quotes, if there are any."""
    stated = [*issued, *[None] * len(names)]
    return [Effect(*each) for each in zip(names, before, after, stated, strict=False)]


def effect_document(effect: Effect) -> Document:
    """An effect as JSON: totals before and after, and only what differs of lengths, readiness and articles."""
    before, after = effect.before, effect.after
    return {
        "name": effect.name,
        "currency": after.currency or before.currency,
        "issued": effect.issued,
        "before": before.payable,
        "after": after.payable,
        "change": money_change(effect),
        "lengths": list(_lengths(before, after)),
        "readiness": list(_readiness(before, after)),
        "articles": list(_articles(before, after)),
        "refused_before": before.refused,
        "refused_after": after.refused,
    }


def money_change(effect: Effect) -> str | None:
    """The change of the total, as decimal text; None if a total is missing or the currencies differ."""
    before, after = effect.before, effect.after
    if before.payable is None or after.payable is None or before.currency != after.currency:
        return None
    return str(Decimal(after.payable) - Decimal(before.payable))


def _pairs(before: Outcome, after: Outcome) -> Iterator[tuple[Piece, Piece]]:
    return zip(before.pieces, after.pieces, strict=False)


def _lengths(before: Outcome, after: Outcome) -> Iterator[Document]:
    for one, other in _pairs(before, after):
        if one.cut != other.cut:
            change = None if one.cut is None or other.cut is None else str(Decimal(other.cut) - Decimal(one.cut))
            yield {"tag": one.tag, "before_mm": one.cut, "after_mm": other.cut, "change_mm": change}


def _readiness(before: Outcome, after: Outcome) -> Iterator[Document]:
    for one, other in _pairs(before, after):
        if one.readiness != other.readiness:
            yield {"tag": one.tag, "before": one.readiness, "after": other.readiness}


def _articles(before: Outcome, after: Outcome) -> Iterator[Document]:
    one, other = dict(before.articles), dict(after.articles)
    for sku in sorted({*one, *other}):
        if one.get(sku) != other.get(sku):
            yield {"sku": sku, "before": one.get(sku), "after": other.get(sku)}
