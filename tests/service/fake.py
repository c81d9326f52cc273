"""A small engine of the real one's shape, so that the service's tests do not wait for tables: what it says is invented, and closed by schema."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from pricing.assembly import QuoteRequest
from service.engine import Engine

DAY = date(2026, 11, 25)


class FakeCatalogue:
    """Two tables of a row or two."""

    version, price_version = "c0ffee", "f00d"

    def kinds(self) -> tuple[str, ...]:
        return ("wires", "pins")

    def rows(self, kind: str) -> tuple[dict[str, Any], ...]:
        pins = tuple({"sku": f"PIN-{size}", "diameter": {"mm": str(size), "text": f"{size} mm"}, "source": "invented"} for size in (8, 10))
        return {"wires": ({"sku": "W-4", "constructions": ["1x19"], "source": "invented"},), "pins": pins}[kind]


def fake_quote(request: QuoteRequest, day: date) -> dict[str, Any]:
    """A quote document with a line for each assembly."""
    lines = [{"tag": each.tag, "readiness": "hold"} for each in request.assemblies]
    return {
        "binding": "estimate",
        "issued_on": day.isoformat(),
        "valid_until": (day + timedelta(days=30)).isoformat(),
        "currency": "USD",
        "assemblies": lines,
        "totals": {"payable": "0.00"},
        "provenance": {"catalogue": "c0ffee", "price_table": "f00d"},
    }


def fake_engine() -> Engine:
    """An engine on a fixed day."""
    edition = {"name": "Fake", "day": "2026-01-01"}
    return Engine(FakeCatalogue(), edition, lambda: DAY, lambda _: ("retail", "trade"), fake_quote)
