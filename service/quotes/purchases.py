"""What to buy for quotes and for low stock. The quotes are looked up here, since the engine has no access to the database."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, tzinfo
from typing import TYPE_CHECKING, Any

from msgspec import UnsetType

from pricing.model import Quote
from pricing.purchasing.needed import Needed, QuoteToBuy
from pricing.purchasing.suppliers import Suppliers
from pricing.settling import settlements_of
from pricing.wording import voice_for
from service.http.problems import Fault, Problem, fault, parameter_fault
from service.lifecycle import business_days
from service.lifecycle.statuses import Status
from service.quotes.plan_orders import PLANNABLE
from service.storage import Quotes, Stored
from service.storage.quote_filters import QuoteFilters, Waiting
from service.storage.quote_search import QuoteSearch

if TYPE_CHECKING:
    from pricing.purchasing.wire import WireNeed
    from pricing.rows import StockRow
    from pricing.stock.pieces import QuoteToPlan
    from service.engine.engine import Document, Engine

MOST_QUOTES = 500
MOST_NAMED = 100
_PAGE = 100
Plan = Callable[[Sequence["QuoteToPlan"]], "tuple[WireNeed, ...]"]


def waiting_to_be_cut(store: Quotes, today: date) -> list[Stored]:
    """Every accepted quote whose wire has not been cut yet, oldest first, including those with open findings. Raises Problem (422) if there
    are too many.
    """
    found: set[str] = set()
    for filters in _TO_BUY_FOR:
        for quote_id in _found(store, filters, today):
            found.add(quote_id)
            if len(found) > MOST_QUOTES:
                raise _too_many(f"more than {MOST_QUOTES} quotes wait to be cut")
    return [each for quote_id in sorted(found) if (each := store.get(quote_id)) is not None]


_TO_BUY_FOR = (
    QuoteFilters(waiting=Waiting.TO_CUT),
    *(QuoteFilters(waiting=Waiting.OPEN_ASKS, status=status) for status in (Status.ACCEPTED, Status.IN_WORK)),
)


def _found(store: Quotes, filters: QuoteFilters, today: date) -> Iterator[str]:
    search = QuoteSearch(store, today)
    page = search.page(filters, _PAGE)
    yield from (each.id for each in page.quotes)
    while page.following is not None:
        page = search.page(filters, _PAGE, page.following)
        yield from (each.id for each in page.quotes)


def named(store: Quotes, ids: Sequence[str], today: date) -> list[Stored]:
    """The quotes with these ids. Raises Problem (422) listing the ids that do not exist."""
    found = [(each, store.get(each)) for each in ids]
    missing = [each for each, stored in found if stored is None]
    if missing:
        words = [parameter_fault("quotes", "unknown_quote", f"there is no quote {each}: leave it out") for each in missing]
        raise Problem(422, "Some of these quotes do not exist.", words)
    return [stored.on(today) for _, stored in found if stored is not None]


def of_batch(store: Quotes, ids: Iterator[str], today: date) -> list[Stored]:
    """The quotes that a batch made. Raises Problem (422) if there are too many."""
    found: list[Stored] = []
    for each in ids:
        if len(found) == MOST_QUOTES:
            raise _too_many(f"the batch made more than {MOST_QUOTES} quotes")
        stored = store.get(each)
        if stored is not None:
            found.append(stored.on(today))
    return found


def _too_many(why: str) -> Problem:
    words = f"{why}, and one list covers at most {MOST_QUOTES}: name up to {MOST_NAMED} of them with `quotes`, and take the wire of one list before you request the next."
    return Problem(422, "There are too many quotes for one list.", [_fault(words)])


def _fault(words: str) -> Fault:
    return fault("#", "too_many_quotes", words)


def needed(
    held: Sequence[Stored], engine: Engine, suppliers: Suppliers, stock: tuple[StockRow, ...], country: str | None, plan: Plan
) -> Document:
    """What to buy today for these quotes and for low stock; quotes that are no longer open or in work are listed under `ended`. `country`:
    its public holidays are not business days. Raises RequestError.
    """
    plannable = [each for each in held if each.status in PLANNABLE]
    ended = [each for each in held if each.status not in PLANNABLE]
    quotes = [_to_buy(each.quote(), engine.zone, country) for each in plannable]
    voice = voice_for("en", "metric", "shop")
    wires = engine.catalogue.wires
    document = Needed(quotes, plan([each.plan for each in quotes]), stock, wires, suppliers, engine.today(), voice).document()
    heads = [{"id": each.id, "number": each.number, "revision": each.revision, "status": each.status} for each in ended]
    return {**document, "ended": heads}


def _to_buy(quote: Quote, zone: tzinfo, country: str | None) -> QuoteToBuy:
    return QuoteToBuy.of(quote, ready_by(quote, zone, country))


def ready_by(quote: Quote, zone: tzinfo, country: str | None) -> date | None:
    """The day by which an accepted quote is promised: its lead time in business days, counted from the acceptance or the last settlement,
    whichever is later, as the quotation promises it (`service.documents.quotation`). None for a quote that is not accepted.
    """
    accepted: Any = quote.accepted
    if isinstance(accepted, UnsetType) or accepted is None:
        return None
    moments = [accepted.at, *(each.settled_at for each in settlements_of(quote) if each.undone is None)]
    start = max(datetime.fromisoformat(each).astimezone(zone).date() for each in moments)
    return business_days.after(start, quote.lead_time_days, country)
