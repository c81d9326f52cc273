"""A plan order carried out: the quotes it names are looked up here, since the engine knows no database."""

from __future__ import annotations

from uuid import UUID

from pricing.bench.order import PlanOrder
from pricing.errors import RequestError
from service.engine import Document, Engine
from service.parts import stock, store


def planned(order: PlanOrder, engine: Engine) -> Document:
    """The plan of today. Raises RequestError with every fault."""
    if not order.quotes:
        return engine.planner.pieces(order, engine.today(), stock())
    return engine.planner.together(order, _documents(order.quotes), engine.today(), stock())


def _documents(ids: tuple[str, ...]) -> list[Document]:
    found = [store().get(each) if _is_id(each) else None for each in ids]
    missing = [(f"/quotes/{place}", "unknown_quote", "there is no quote with this id") for place, each in enumerate(found) if each is None]
    if missing:
        raise RequestError(missing)
    return [{**each.said(), "number": each.number} for each in found if each is not None]


def _is_id(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True
