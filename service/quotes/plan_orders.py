"""Makes the cutting plans that requests order. The quotes are looked up here, since the engine has no access to the database."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from pricing.errors import RequestError
from pricing.stock.pieces import QuoteToPlan
from pricing.stock.plan_order import PlanOrder
from service.computing.asking import plan_of_pieces, plan_together
from service.computing.asking import plan_of_quote as plan_alone
from service.engine.engine import Document, Engine
from service.http.current import engine, plans, shelves, stock, store
from service.http.problems import Problem, fault
from service.lifecycle.statuses import REASONS, Status
from service.quotes.actions import quote as quote_of
from service.storage import Stored, StoredPlan

# Statuses in which the customer may still want the wires.
PLANNABLE = frozenset({Status.ISSUED.value, Status.ACCEPTED.value, Status.IN_WORK.value})


def planned(order: PlanOrder, tables: Engine) -> Document:
    """A plan with today's stock and terms. Raises RequestError with every fault, Problem (503) if too many plans are waiting or this one exceeds
    its budget.
    """
    if not order.quotes:
        return plan_of_pieces(tables, order, stock())
    return plan_together(tables, order, _quotes(order.quotes, tables.today()), stock())


def plan_of_quote(quote_id: str) -> StoredPlan:
    """A quote's own plan for the current shelf and tables, made now unless it already exists. For a quote that can no longer be planned, the
    last plan made. Raises NoQuote; Problem: 409 if there is no such plan, or if the quote cannot be planned with the shop's tables; 503.
    """
    quote, shelf = quote_of(quote_id), shelves().now(engine().catalogue.stock)
    basis = f"{shelf.version} {quote.standing_version} {engine().etag}"
    kept = plans().of_quote(quote_id, basis if quote.status in PLANNABLE else None)
    if kept is not None:
        return kept
    if quote.status not in PLANNABLE:
        words = (
            f"{quote.number}, revision {quote.revision}, is {quote.status}, and no plan was made for it. {REASONS[Status(quote.status)]}."
        )
        raise Problem(409, words, [fault("#", "quote_not_open", words)])
    try:
        made = plan_alone(engine(), QuoteToPlan.of(quote.quote()), shelf.rows)
    except RequestError as refused:
        raise Problem(409, "This quote cannot be planned.", [fault("#", code, words) for _, code, words in refused.faults]) from None
    return plans().add_own(made, quote_id, basis)


def _quotes(ids: tuple[str, ...], day: date) -> list[QuoteToPlan]:
    found = [store().get(each) for each in ids]
    missing = [(f"/quotes/{place}", "unknown_quote", "there is no quote with this id") for place, each in enumerate(found) if each is None]
    if missing:
        raise RequestError(missing)
    held = [each.on(day) for each in found if each is not None]
    if refused := [*_ended(held), *_doubled(held)]:
        raise RequestError(refused)
    return [QuoteToPlan.of(each.quote()) for each in held]


def _ended(held: list[Stored]) -> Iterator[tuple[str, str, str]]:
    for place, each in enumerate(held):
        if each.status not in PLANNABLE:
            words = f"{each.number}, revision {each.revision}, is {each.status}. {REASONS[Status(each.status)]}"
            yield f"/quotes/{place}", "quote_not_open", f"{words}; leave it out of this plan."


def _doubled(held: list[Stored]) -> Iterator[tuple[str, str, str]]:
    first: dict[str, int] = {}
    for place, each in enumerate(held):
        if first.setdefault(each.number, place) != place:
            words = f"{each.number} is also quote {first[each.number]} of this list, as another revision: name each number once."
            yield f"/quotes/{place}", "repeated_number", words
