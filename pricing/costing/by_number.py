"""Articles that the shop adds to a quote by article number, at the day's price less the price list's discount for their group.

They belong to no assembly, and nothing is computed from them. An article from sold_only.csv has no dimensions in the tables, so its fit,
strength and weight cannot be checked: a finding asks the shop to do so.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.costing.demand import Demand, printed_quantity
from pricing.errors import NoPrice, QuantityError, RequestError
from pricing.findings import Finding, code, finding
from pricing.fittings.ended import MOST, instead_of
from pricing.nearest import nearest
from pricing.rows import SoldOnly, Wire
from pricing.values import Text

if TYPE_CHECKING:
    from pricing.catalogue import Article, Catalogue
    from pricing.costing.rates import Rates
    from pricing.measurement.assembly import ExtraArticle

SOLD_NOT_COMPUTED = code(
    "sold-not-computed", "ask", "An article without dimensions in the tables was added by its number: nothing was computed from it."
)
LABOUR = "labour"


class ByNumber(NamedTuple):
    """The added articles: a demand for each, their total mass in kg as far as known, and findings."""

    demands: tuple[Demand, ...] = ()
    kg: Decimal = Decimal(0)
    findings: tuple[Finding, ...] = ()


def by_number(extra: Sequence[ExtraArticle], catalogue: Catalogue, rates: Rates) -> ByNumber:
    """The articles that a request adds by number. Raises RequestError with every article that cannot be added."""
    demands, findings, kg, faults = [], [], Decimal(0), []
    for place, each in enumerate(extra):
        at, row = f"/extra_articles/{place}", catalogue.article(each.sku)
        if row is None and (gone := catalogue.with_discontinued.article(each.sku)) is not None:
            faults.append((f"{at}/sku", "article_ended", _ended(gone, catalogue)))
            continue
        if row is None or catalogue.group(each.sku) == LABOUR:
            faults.append((f"{at}/sku", "unknown_article", _unknown(each.sku, catalogue)))
            continue
        demand = _demand(each, row)
        try:
            rates.price(each.sku, printed_quantity(demand))
        except QuantityError as error:
            faults.append((f"{at}/quantity", error.code, error.detail))
            continue
        except NoPrice as error:
            faults.append((f"{at}/sku", "no_price", str(error)))
            continue
        demands.append(demand)
        kg += each.quantity * _kg(row)
        if isinstance(row, SoldOnly):
            findings.append(finding(SOLD_NOT_COMPUTED, at, sku=Text(row.sku), name=Text(row.name)))
    if faults:
        raise RequestError(faults)
    return ByNumber(tuple(demands), kg, tuple(findings))


def _demand(extra: ExtraArticle, row: Article) -> Demand:
    unit = row.unit if isinstance(row, SoldOnly) else "m" if isinstance(row, Wire) else "each"
    return Demand(sku=row.sku, name=row.name, group="wire" if isinstance(row, Wire) else "fitting", quantity=extra.quantity, unit=unit)


def _kg(row: Article) -> Decimal:
    if isinstance(row, Wire):
        return row.kg_per_100m / 100
    return getattr(row, "mass_kg", Decimal(0))


def _ended(row: Article, catalogue: Catalogue) -> str:
    until, instead = getattr(row, "until", None), instead_of(row, catalogue)
    named = " or ".join(f"{each.sku!r}, {each.name}" for each in instead[:MOST])
    what = f"write {named}, which fits in its place" if named else "leave it out, or ask what can be sold in its place"
    return f"{row.sku!r}, {row.name}, is no longer sold, its last day was {until}: {what}"


def _unknown(sku: str, catalogue: Catalogue) -> str:
    if catalogue.group(sku) == LABOUR:
        return f"{sku[:60]!r} is work: ask for it in `work`, if it is of the shop's own kinds"
    meant = nearest(sku, catalogue.index.article)
    suggestion = f"; did you mean {meant!r}?" if meant else ""
    return f"the shop's tables have no article {sku[:60]!r}{suggestion}: write the number of one, or add it as a line of your own in `extra_lines`"
