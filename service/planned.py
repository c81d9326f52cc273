"""A plan order carried out: the quotes it names are looked up here, since the engine knows no database."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from pricing.bench.order import PlanOrder
from pricing.errors import RequestError
from service.engine import Document, Engine
from service.life.statuses import REASONS, Status
from service.parts import stock, store
from service.storage import Stored

#: A quote is cut while its customer may still want it.
PLANNABLE = frozenset({Status.ISSUED.value, Status.ACCEPTED.value})


def planned(order: PlanOrder, engine: Engine) -> Document:
    """The plan of today. Raises RequestError with every fault."""
    if not order.quotes:
        return engine.planner.pieces(order, engine.today(), stock())
    return engine.planner.together(order, _documents(order.quotes, engine.today()), engine.today(), stock())


def _documents(ids: tuple[str, ...], day: date) -> list[Document]:
    found = [store().get(each) for each in ids]
    missing = [(f"/quotes/{place}", "unknown_quote", "there is no quote with this id") for place, each in enumerate(found) if each is None]
    if missing:
        raise RequestError(missing)
    held = [each.on(day) for each in found if each is not None]
    if refused := [*_ended(held), *_doubled(held)]:
        raise RequestError(refused)
    return [{**each.said(), "id": each.id, "number": each.number, "revision": each.revision} for each in held]


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
