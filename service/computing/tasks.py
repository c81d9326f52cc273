"""The computations, as module-level functions, so that they can be pickled by name. Each takes the engine and returns a picklable value."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from pricing.document import previewed as preview_of
from pricing.document import rendered, written
from pricing.measurement.assembly import QuoteRequest
from pricing.model import Quote
from pricing.purchasing.wire import WireNeed
from pricing.stock.pieces import QuoteToPlan
from pricing.stock.plan_order import PlanOrder
from service.encoding import json
from service.engine import tables
from service.engine.engine import Document, Engine
from service.http.bodies import decoded
from service.http.problems import Problem
from service.schemas import read_request, request_of_earlier
from service.schemas.plan import read_plan_order

if TYPE_CHECKING:
    from pricing.catalogue.differences import TableDifference
    from pricing.rows import StockRow

#: Selects what is shown of a quote; None shows the whole document. Defined at module level, so that it can be pickled by name.
Shown = Callable[[Document], Document] | None


def read(engine: Engine, body: bytes, price_lists: Collection[str]) -> QuoteRequest:
    """Parse a request for a quote. Raises Problem: 400 if the body is not JSON, 422."""
    return read_request(decoded(body), price_lists)


def read_earlier(_: Engine, body: bytes) -> QuoteRequest | None:
    """A request that a quote was made from; None if this release can no longer read it."""
    return request_of_earlier(body)


def previewed(engine: Engine, request: QuoteRequest, shown: Shown) -> bytes:
    """The response body of a preview."""
    quote = preview_of(engine.quote(request))
    return written(quote) if shown is None else json.write(shown(rendered(quote)))


def read_and_previewed(engine: Engine, body: bytes, price_lists: Collection[str], shown: Shown) -> bytes:
    """Parse and preview in one task, so that a large request is sent to the process once and never back."""
    return previewed(engine, read(engine, body, price_lists), shown)


def document(engine: Engine, request: QuoteRequest, shown: Shown) -> Document:
    """The document of a quote, or the part of it that `shown` selects: the rest need not leave the process."""
    document = rendered(engine.quote(request))
    return document if shown is None else shown(document)


def quoted(engine: Engine, request: QuoteRequest) -> Quote:
    """A quote."""
    return engine.quote(request)


def read_order(engine: Engine, body: bytes) -> PlanOrder:
    """Parse an order for a cutting plan. Raises Problem (400, 422)."""
    return read_plan_order(decoded(body), engine.planner.digits(engine.today()))


def pieces(engine: Engine, order: PlanOrder, stock: tuple[StockRow, ...]) -> Document:
    """A plan for lengths typed in by hand. Raises RequestError."""
    return engine.planner.pieces(order, engine.today(), stock)


def together(engine: Engine, order: PlanOrder, quotes: Sequence[QuoteToPlan], stock: tuple[StockRow, ...]) -> Document:
    """One plan for many quotes. Raises RequestError."""
    return engine.planner.together(order, quotes, engine.today(), stock)


def of_quote(engine: Engine, quote: QuoteToPlan, stock: tuple[StockRow, ...]) -> Document:
    """A quote's own plan. Raises RequestError."""
    return engine.planner.of_quote(quote, engine.today(), stock)


def wire_needs(engine: Engine, quotes: Sequence[QuoteToPlan], stock: tuple[StockRow, ...]) -> tuple[WireNeed, ...]:
    """How much of each wire many quotes need. Raises RequestError."""
    return engine.planner.wire_needs(quotes, engine.today(), stock)


def made(engine: Engine, maker: Callable[..., bytes], *given: Any) -> bytes:
    """Render a document with `maker`."""
    return maker(*given)


def checked_tables(engine: Engine, files: tables.Files, day: date) -> tables.Checked:
    """Check a shop's tables that are to count from a day on; prices are compared with those in force. Raises TableError."""
    return tables.checked(files, day, engine.catalogue)


def counted_rows(_: Engine, files: tables.Files, text: str) -> tuple[StockRow, ...]:
    """The rows of a stock count in a file. Raises TableError."""
    return tables.counted(files, text)


def tables_difference(_: Engine, before: tables.Files, after: tables.Files) -> tuple[TableDifference, ...]:
    """The tables that differ. Raises TableError."""
    return tables.difference(before, after)


def tables_tried(
    engine: Engine, files: tables.Files, boats: Sequence[Any], opened: Sequence[bytes], day: date, seconds: float, own: bool = True
) -> tuple[tables.Tried, tables.Tried]:
    """The outcomes for boats and for open quotes, each with the engine's tables and with these; both groups have half of the seconds. Raises
    TableError; Problem (422) for one of the shop's own boats that cannot be read.
    """
    for place, boat in enumerate(boats if own else ()):
        try:
            read_request(boat, engine.price_lists(day))
        except Problem as problem:
            raise problem.below(f"#/boats/{place}") from None
    bodies = [*map(json.write, boats)]
    return tables.tried_both(engine, files, bodies, opened, day, seconds)
