"""`growth [--least N]`: the growth of each swaged terminal on each wire, computed from records of finished assemblies, ready for
growths.csv.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from contextlib import closing
from decimal import Decimal
from typing import Any

from sqlalchemy import select

from pricing.records.growth import Estimate, Grown, Swaged, estimates
from pricing.rows import Terminal, Wire
from pricing.units import parse_length
from service.cli.in_force import engine_in_force
from service.cli.out import refuse
from service.encoding import json
from service.encoding.gzip import unpack
from service.settings import Settings
from service.storage import Quotes
from service.storage.tables import as_built, quotes

COLUMNS = ("terminal", "construction", "wire_size", "growth", "growth_u", "records", "degrees_of_freedom", "remark")
NOT_APART = "too few records, or always together with another terminal: not told apart"


def growth(settings: Settings, least: int) -> int:
    """Print the table. Raises SQLAlchemyError, WrongSchema, TableError."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        catalogue = engine_in_force(settings, store).catalogue
        results = estimates(_finished(store, catalogue.index.article), least)
    if not results:
        return refuse("No record of a finished assembly with a swaged terminal: record some with POST /v1/quotes/{id}/as-built.")
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(COLUMNS)
    out.writerows(_line(each, catalogue) for each in results)
    return 0


def _finished(store: Quotes, articles: Any) -> Iterator[Grown]:
    """Each finished assembly that was judged by its length, with the swaged terminals of its quote."""
    joined = select(as_built.c.document, quotes.c.document).join(quotes, quotes.c.id == as_built.c.quote_id).order_by(as_built.c.id)
    with store.reading() as connection:
        for record, quote in connection.execute(joined):
            assemblies = {each["tag"]: each for each in json.read(unpack(quote))["assemblies"]}
            for each in json.read(unpack(record))["assemblies"]:
                if each["deviation"] is not None:
                    assembly = assemblies[each["tag"]]
                    yield Grown(Decimal(each["deviation"]["mm"]) + _reckoned(assembly), tuple(_swaged(assembly, articles)))


def _reckoned(assembly: Any) -> Decimal:
    """The growth that the quote assumed, summed over both ends, mm."""
    return -sum((Decimal(term["mm"]) for term in assembly["derivation"] if term.get("code", "").startswith("terminal-growth")), Decimal(0))


def _swaged(assembly: Any, articles: Any) -> Iterator[Swaged]:
    wire = articles.get(assembly["wire"]["sku"])
    if not isinstance(wire, Wire):
        return
    for part in assembly["parts"]:
        row = articles.get(part["sku"])
        if isinstance(row, Terminal) and row.attachment == "swage" and not part["kept"]:
            yield from [Swaged(row.sku, wire.construction, wire.size)] * part["quantity"]


def _line(estimate: Estimate, catalogue: Any) -> tuple[object, ...]:
    if estimate.growth is None:
        return (*estimate.swaged, "", "", estimate.records, estimate.degrees, NOT_APART)
    row = catalogue.growth(estimate.swaged.terminal, estimate.swaged.construction, parse_length(estimate.swaged.wire_size))
    remark = "not in the catalogue yet" if row is None else f"catalogue: {row.growth:.3f} mm"
    return (*estimate.swaged, f"{estimate.growth} mm", f"{estimate.uncertainty} mm", estimate.records, estimate.degrees, remark)
