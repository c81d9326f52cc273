"""What the engine knows: the catalogue's tables, for use in forms, and the codes of its findings."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.api.filters import matching
from service.api.listings import findings_document, kind_document, kinds_document
from service.encoding import json
from service.http.current import engine, price_lists
from service.http.parameters import validates_query_itself
from service.http.problems import unknown
from service.http.responses import reply_json, reply_tagged, unchanged

catalogue = Blueprint("catalogue", __name__)


@catalogue.get("/v1/catalogue")
def kinds() -> Response:
    """The tables, each with its number of rows."""
    etag = f"{engine().etag}-{len(price_lists())}"
    return unchanged(etag) or reply_tagged(json.write(kinds_document(engine(), price_lists())), etag)


@catalogue.get("/v1/catalogue/<kind>")
@validates_query_itself
def table(kind: str) -> Response:
    """The rows of one table: all of them, or those that match the filters."""
    if kind not in engine().catalogue.kinds():
        raise unknown(
            "kind",
            "unknown_part_of_catalogue",
            f"The catalogue has no table {kind[:40]!r}; its tables are {', '.join(engine().catalogue.kinds())}.",
        )
    rows = matching(engine().offered.rows(kind), request.args)
    return unchanged(engine().etag) or reply_tagged(json.write(kind_document(engine(), kind, rows)), engine().etag)


@catalogue.get("/v1/findings")
def findings() -> Response:
    """Every code that a finding can have, with its severity and meaning."""
    return reply_json(findings_document())
