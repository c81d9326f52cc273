"""What to buy, and what a quote leaves: for the shop's owner."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from flask import Blueprint, Response, request

from pricing.errors import RequestError
from pricing.purchasing.margin import margin
from pricing.purchasing.suppliers import Suppliers
from pricing.quoted_prices import seller_of
from service.batches.lookup import outcomes_of
from service.computing.asking import wire_needs
from service.engine.purchases import suppliers_in_force
from service.formats.purchases import FORMATS, in_form, supplier_asked
from service.http.current import batches, engine, settings, stock, store
from service.http.parameters import query_parameters
from service.http.problems import Problem, fault, parameter_fault
from service.http.responses import produces, reply_json
from service.quotes.actions import quote
from service.quotes.purchases import MOST_NAMED, named, needed, of_batch, waiting_to_be_cut
from service.storage import Editions, Stored

purchases = Blueprint("purchases", __name__)


@purchases.get("/v1/purchases/needed")
@produces(*FORMATS.values())
@query_parameters("batch", "format", "quotes", "supplier")
def what_to_buy() -> Response:
    """What to buy today, by supplier."""
    supplier, tables, rows = supplier_asked(), engine(), stock()
    held = _requested_quotes()
    try:
        document = needed(held, tables, _suppliers(), rows, settings().holidays, lambda quotes: wire_needs(tables, quotes, rows))
    except RequestError as refused:
        raise Problem(422, "The list cannot be made.", [fault("#", code, words) for _, code, words in refused.faults]) from None
    return in_form(document, supplier, seller_of(tables.planner.prices.at(tables.today()).terms))


@purchases.get("/v1/purchases/low")
def running_low() -> Response:
    """The wires of which the shelf has less than the shop's reorder level."""
    tables, rows = engine(), stock()
    wires = needed([], tables, _suppliers(), rows, None, lambda _: ())["wires"]
    kept = ("sku", "name", "on_shelf", "reorder_below")
    return reply_json({"wires": [{name: each[name] for name in kept} for each in wires if each["low"]]})


@purchases.get("/v1/quotes/<uuid:quote_id>/margin")
def margin_of(quote_id: UUID) -> Response:
    """The margin of a quote, line by line."""
    return reply_json(margin(quote(str(quote_id)).quote(), _suppliers()))


def _suppliers() -> Suppliers:
    return suppliers_in_force(engine(), Editions(store()))


def _requested_quotes() -> list[Stored]:
    """The quotes to buy for: those named, those of a batch, or all that wait to be cut. Raises Problem (422)."""
    by_id, by_batch = request.args.get("quotes"), request.args.get("batch")
    if by_id is not None and by_batch is not None:
        words = "send either `quotes` or `batch`, not both"
        raise Problem(422, "Name quotes or a batch.", [parameter_fault(each, "not_both", words) for each in ("quotes", "batch")])
    today = engine().today()
    if by_id is not None:
        return named(store(), _ids("quotes", by_id.split(",")), today)
    if by_batch is not None:
        (batch_id,) = _ids("batch", [by_batch])
        if batches().progress(batch_id) is None:
            raise Problem(422, "There is no such batch.", [parameter_fault("batch", "unknown_batch", "there is no batch with this id")])
        return of_batch(store(), _quote_ids_of(batch_id), today)
    return waiting_to_be_cut(store(), today)


def _quote_ids_of(batch_id: str) -> Iterator[str]:
    return (each.quote_id for each in outcomes_of(batch_id) if each.quote_id)


def _ids(parameter: str, texts: list[str]) -> list[str]:
    """The ids, each once. Raises Problem (422)."""
    if len(texts) > MOST_NAMED:
        words = f"name at most {MOST_NAMED} quotes, or leave the parameter out for all quotes that wait to be cut"
        raise Problem(422, "There are too many quote ids.", [parameter_fault(parameter, "too_many", words)])
    try:
        return list(dict.fromkeys(str(UUID(each.strip())) for each in texts))
    except ValueError:
        words = "write quote ids, separated by commas" if parameter == "quotes" else "write the id of a batch"
        raise Problem(422, "The parameter is not an id.", [parameter_fault(parameter, "not_an_id", words)]) from None
