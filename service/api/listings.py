"""Documents that list the contents of the catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from pricing.costing.own_work import asked_at
from pricing.findings import CODES
from service.engine.engine import Engine


def kinds_document(engine: Engine, price_lists: Sequence[str]) -> dict[str, object]:
    """The catalogue's edition, versions and price lists, the shop's own kinds of work, and the tables with their row counts."""
    work = [
        {"operation": each.operation, "name": each.name, "counted_by": each.counted_by, "asked_at": list(asked_at(each))}
        for each in engine.catalogue.own_work.values()
    ]
    kinds = [{"kind": kind, "rows": len(engine.offered.rows(kind)), "href": f"/v1/catalogue/{kind}"} for kind in engine.catalogue.kinds()]
    return {**versions(engine), "price_lists": list(price_lists), "work": work, "kinds": kinds}


def kind_document(engine: Engine, kind: str, rows: Sequence[dict[str, Any]]) -> dict[str, object]:
    """The rows of one table."""
    return {**versions(engine), "kind": kind, "rows": list(rows)}


def versions(engine: Engine) -> dict[str, object]:
    """The edition and versions of the tables, as they appear at the top of every document made from them."""
    catalogue = engine.catalogue
    return {"edition": dict(engine.edition), "version": catalogue.version, "price_version": catalogue.price_version}


def findings_document() -> dict[str, object]:
    """Every finding code, in alphabetical order."""
    return {"findings": [asdict(CODES[name]) for name in sorted(CODES)]}
