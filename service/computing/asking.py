"""Runs computations for the views: small ones in the calling thread, large ones in a computing process."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

from pricing.measurement.assembly import QuoteRequest
from pricing.model import Quote
from pricing.purchasing.wire import WireNeed
from pricing.stock.pieces import QuoteToPlan
from pricing.stock.plan_order import PlanOrder
from service.computing import tasks
from service.computing.budget import Lane
from service.computing.weight import SMALL_BODY, SMALL_DOCUMENT, SMALL_PLAN, is_heavy, is_heavy_to_set
from service.engine.engine import Document, Engine
from service.engine.tables import Checked, Files, Tried
from service.http.current import computing, engine, price_lists
from service.storage import Stored, StoredPlan

if TYPE_CHECKING:
    from pricing.catalogue.differences import TableDifference
    from pricing.rows import StockRow

Done = TypeVar("Done")


def read_quote_request(body: bytes) -> QuoteRequest:
    """Parse a body into a quote request. Raises Problem: 400, 422."""
    return apart_if(len(body) > SMALL_BODY, tasks.read, body, price_lists())


def read_earlier_request(body: bytes) -> QuoteRequest | None:
    """The request that a stored quote was made from; None if it can no longer be read."""
    return apart_if(len(body) > SMALL_BODY, tasks.read_earlier, body)


def previewed(body: bytes, shown: tasks.Shown, judge: Callable[[QuoteRequest], None] | None = None) -> bytes:
    """The response body of a preview of the request in `body`; `shown`: selects what is shown of the quote; `judge` may refuse the request.
    Raises Problem: 400, 422.
    """
    if judge is None and len(body) > SMALL_BODY and computing().apart:
        return computed(True, tasks.read_and_previewed, body, price_lists(), shown)
    request = read_quote_request(body)
    if judge is not None:
        judge(request)
    return computed(is_heavy(engine(), request), tasks.previewed, request, shown)


def document_of(request: QuoteRequest, shown: tasks.Shown) -> Document:
    """The document of a quote, or the part of it that `shown` selects."""
    return computed(is_heavy(engine(), request), tasks.document, request, shown)


def quoted(request: QuoteRequest) -> Quote:
    """A quote."""
    return computed(is_heavy(engine(), request), tasks.quoted, request)


def read_order(body: bytes) -> PlanOrder:
    """Parse a body into an order for a cutting plan. Raises Problem: 400, 422."""
    return apart_if(len(body) > SMALL_BODY, tasks.read_order, body)


def plan_of_pieces(tables: Engine, order: PlanOrder, rows: tuple[StockRow, ...]) -> Document:
    """A plan for lengths typed in by hand. Raises RequestError."""
    return computing().run(Lane.PLANS, tasks.pieces, tables, order, rows)


def plan_together(tables: Engine, order: PlanOrder, quotes: Sequence[QuoteToPlan], rows: tuple[StockRow, ...]) -> Document:
    """One plan for many quotes. Raises RequestError."""
    return computing().run(Lane.PLANS, tasks.together, tables, order, tuple(quotes), rows)


def plan_of_quote(tables: Engine, quote: QuoteToPlan, rows: tuple[StockRow, ...]) -> Document:
    """A quote's own plan. Raises RequestError."""
    return computing().run(Lane.PLANS, tasks.of_quote, tables, quote, rows)


def wire_needs(tables: Engine, quotes: Sequence[QuoteToPlan], rows: tuple[StockRow, ...]) -> tuple[WireNeed, ...]:
    """How much of each wire many quotes need. Raises RequestError."""
    return computing().run(Lane.PLANS, tasks.wire_needs, tables, tuple(quotes), rows)


def checked_tables(files: Files, day: date) -> Checked:
    """Check a shop's tables that are to be in force from a day on. Raises TableError with every fault."""
    return computed(True, tasks.checked_tables, files, day)


def counted_rows(files: Files, text: str) -> tuple[StockRow, ...]:
    """The rows of a stock count in a file, checked beside these tables. Raises TableError with every fault."""
    return computed(True, tasks.counted_rows, files, text)


def tables_difference(before: Files, after: Files) -> tuple[TableDifference, ...]:
    """The tables that differ. Raises TableError."""
    return computed(True, tasks.tables_difference, before, after)


def tables_tried(
    before: Engine, files: Files, boats: Sequence[Any], opened: Sequence[bytes], day: date, seconds: float, own: bool = True
) -> tuple[Tried, Tried]:
    """The outcomes for boats and for open quotes, each with an engine and with other tables. `own`: the boats are the shop's. Raises TableError; Problem (422) for a
    boat of the shop's that cannot be read.
    """
    return computing().run(Lane.USUAL, tasks.tables_tried, before, files, tuple(boats), tuple(opened), day, seconds, own)


def made_of(stored: Stored | StoredPlan, maker: Callable[..., bytes], *given: Any) -> bytes:
    """Render a document of a stored quote or plan with `maker`."""
    most = SMALL_DOCUMENT if isinstance(stored, Stored) else SMALL_PLAN
    return apart_if(is_heavy_to_set(stored.document, stored.body(), most), tasks.made, maker, *given)


def computed(heavy: bool, what: Callable[..., Done], *given: Any) -> Done:
    """Call `what` with the engine: in a computing process if heavy, otherwise in this thread, in its turn."""
    if heavy:
        return computing().run(Lane.USUAL, what, engine(), *given)
    with computing().usual():
        return what(engine(), *given)


def apart_if(heavy: bool, what: Callable[..., Done], *given: Any) -> Done:
    """The same for work that is not the engine's: without computing processes, or if not heavy, it runs in this thread without
    waiting for a turn.
    """
    if heavy and computing().apart:
        return computing().run(Lane.USUAL, what, engine(), *given)
    return what(engine(), *given)
