"""`growth [--least N]`: the growth of each swaged terminal as the records of finished assemblies have it, ready for terminals.csv."""

from __future__ import annotations

import csv
import gzip
import sys
from collections.abc import Iterator
from contextlib import closing
from decimal import Decimal
from typing import Any

from sqlalchemy import select

from pricing.catalogue.rows import Terminal
from pricing.growth import Estimate, Grown, estimates
from service import json
from service.commands.out import refuse
from service.engine import open_engine
from service.settings import Settings
from service.storage import Quotes
from service.storage.tables import as_built, quotes

USUAL = 5
COLUMNS = ("sku", "growth", "growth_u", "records", "degrees_of_freedom", "remark")
REMARKS = {
    None: "too few records, or always together with another terminal: not told apart",
    "derived": "the catalogue has no growth of its own to correct: make test swages",
}


def growth(settings: Settings, least: int) -> int:
    """Print the table. Raises SQLAlchemyError, WrongSchema, TableError."""
    articles = open_engine(settings).catalogue.index.article
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        found = estimates(_finished(store, articles), least)
    if not found:
        return refuse("No record of a finished assembly with a swaged terminal: record some with POST /v1/quotes/{id}/as-built.")
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(COLUMNS)
    out.writerows(_line(each, articles.get(each.sku)) for each in found)
    return 0


def _finished(store: Quotes, articles: Any) -> Iterator[Grown]:
    """Each finished assembly that was judged by length, with the swaged terminals of its quote."""
    joined = select(as_built.c.document, quotes.c.document).join(quotes, quotes.c.id == as_built.c.quote_id).order_by(as_built.c.id)
    with store.reading() as connection:
        for record, quote in connection.execute(joined):
            assemblies = {each["tag"]: each for each in json.read(gzip.decompress(quote))["assemblies"]}
            for each in json.read(gzip.decompress(record))["assemblies"]:
                if each["deviation"] is not None:
                    yield Grown(Decimal(each["deviation"]["mm"]), tuple(_swaged(assemblies[each["tag"]], articles)))


def _swaged(assembly: Any, articles: Any) -> Iterator[str]:
    for part in assembly["parts"]:
        row = articles.get(part["sku"])
        if isinstance(row, Terminal) and row.attachment == "swage" and not part["kept"]:
            yield from [part["sku"]] * part["quantity"]


def _line(each: Estimate, row: Any) -> tuple[object, ...]:
    if each.correction is None or not isinstance(row, Terminal) or row.growth is None:
        remark = REMARKS[None] if each.correction is None else REMARKS["derived"]
        return each.sku, "", "", each.records, each.degrees, remark
    return (
        each.sku,
        f"{row.growth + each.correction:.3f} mm",
        f"{each.uncertainty} mm",
        each.records,
        each.degrees,
        f"catalogue: {row.growth:.3f} mm",
    )
