"""The demo shop with articles that have a last day, for tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from pricing.catalogue import Catalogue
from pricing.catalogue.indexing import index_of
from pricing.catalogue.selling import ENDING
from pricing.document import rendered
from pricing.measurement.assembly import Assembly, Boat, QuoteRequest
from pricing.quote import make_quote

from .shop import DAY, checked, demo

YESTERDAY = DAY - timedelta(days=1)


def ending(*skus: str, until: date = YESTERDAY) -> Catalogue:
    """The demo catalogue, in which these articles are sold until a day."""
    catalogue = demo()[0]
    tables = replace(
        catalogue.tables, **{kind: tuple(_row(row, skus, until) for row in getattr(catalogue.tables, kind)) for kind in ENDING}
    )
    return replace(catalogue, tables=tables, index=index_of(tables))


def _row(row: Any, skus: tuple[str, ...], until: date) -> Any:
    return replace(row, until=until) if row.sku in skus else row


def ask_of(catalogue: Catalogue, *assemblies: Assembly, day: date = DAY, **request: Any) -> dict[str, Any]:
    """The complete quote's document by other tables than the demo's, after asserting that its findings have words for every reader."""
    asked = QuoteRequest(assemblies, **{"boat": Boat("Tern", Decimal(8400)), **request})
    return checked(rendered(make_quote(asked, catalogue, demo()[1], day)), asked.language)


def sold(quote: dict[str, Any]) -> dict[str, str]:
    """The article numbers that a bill sells: kept parts are the customer's own."""
    return {each["sku"]: each["quantity"] for each in quote["bill_of_materials"] if not each["kept"]}
