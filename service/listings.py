"""The documents that list what the engine knows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from pricing.findings import CODES
from service.engine import Engine


def kinds_document(engine: Engine, price_lists: Sequence[str]) -> dict[str, object]:
    """The catalogue's edition, versions, price lists, and its tables with their number of rows."""
    kinds = [{"kind": kind, "rows": len(engine.catalogue.rows(kind)), "href": f"/v1/catalogue/{kind}"} for kind in engine.catalogue.kinds()]
    return {**versions(engine), "price_lists": list(price_lists), "kinds": kinds}


def kind_document(engine: Engine, kind: str, rows: Sequence[dict[str, Any]]) -> dict[str, object]:
    """Rows of one table."""
    return {**versions(engine), "kind": kind, "rows": list(rows)}


def versions(engine: Engine) -> dict[str, object]:
    """Edition and versions of the tables, as they head every document that is made from them."""
    catalogue = engine.catalogue
    return {"edition": dict(engine.edition), "version": catalogue.version, "price_version": catalogue.price_version}


def findings_document() -> dict[str, object]:
    """Every code of a finding, in alphabetical order."""
    return {"findings": [asdict(CODES[name]) for name in sorted(CODES)]}
