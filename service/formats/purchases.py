"""The formats of what to buy: JSON, a list as CSV, and one supplier's order as UBL."""

from __future__ import annotations

from functools import partial

from flask import Response, request

from pricing.model import Seller
from service.documents.csv.purchases import purchases
from service.documents.ubl.order import order
from service.engine.engine import Document
from service.formats.replies import CSV, XML, disposition
from service.http.problems import Problem, parameter_fault
from service.http.responses import JSON, chosen, reply, reply_json

FORMATS = {"json": JSON, "csv": CSV.media, "ubl": XML.media}


def supplier_asked() -> str | None:
    """The supplier whose order is requested; None for the other formats. Raises Problem: 406 for a format that is not offered, 422 for UBL without a supplier, or a supplier
    without UBL.
    """
    media, named = chosen(FORMATS), request.args.get("supplier")
    if media == XML.media and named is None:
        words = "name one of the list's suppliers: a UBL Order is that of one supplier"
        raise Problem(422, "Whose order is it to be?", [parameter_fault("supplier", "required", words)])
    if media != XML.media and named is not None:
        words = "leave it out, or ask for `format=ubl`: the other formats list every supplier"
        raise Problem(422, "Only a UBL Order is that of one supplier.", [parameter_fault("supplier", "not_with_this_format", words)])
    return named


def in_form(document: Document, supplier: str | None, buyer: Seller) -> Response:
    """The list in the format that the request prefers. Raises Problem (422) for a supplier of whom nothing is to be bought."""
    media, name = chosen(FORMATS), f"what-to-buy-{document['day']}"
    if media == JSON:
        response = reply_json(document)
    elif media == CSV.media:
        response = _saved(purchases(document), CSV.media, disposition(CSV, name))
    else:
        listed = next((each for each in document["suppliers"] if each["supplier"] == supplier), None)
        if listed is None:
            known = ", ".join(each["supplier"] for each in document["suppliers"]) or "nobody at all"
            words = f"nothing is to be bought from {str(supplier)[:60]!r}: the list has {known}"
            raise Problem(422, "There is no such order.", [parameter_fault("supplier", "unknown_supplier", words)])
        make = partial(order, listed, document["day"], document["currency"], buyer)
        response = _saved(make(), XML.media, disposition(XML, f"order-{supplier}-{document['day']}"))
    response.vary.add("Accept")
    return response


def _saved(body: bytes, media: str, name: str) -> Response:
    return reply(body, headers={"Content-Disposition": name, "Content-Language": "en"}, media=media)
