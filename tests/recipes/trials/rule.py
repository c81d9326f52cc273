"""The invented pricing rule: a charge for packing what is shipped, taxed, totalled and printed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from flask.testing import FlaskClient


def quoted(client: FlaskClient, demo: dict[str, Any], delivery: str) -> Any:
    return client.post("/v1/quotes", json={**demo, "delivery": delivery})


def test_what_is_shipped_is_packed_at_a_price_and_what_is_collected_is_not(client: FlaskClient, demo: dict[str, Any]) -> None:
    sent, collected = (quoted(client, demo, delivery).json for delivery in ("ship", "collect"))
    assert [each["amount"] for each in sent["charges"] if each["rule"] == "packing"] == ["4.50"]
    assert not [each for each in collected["charges"] if each["rule"] == "packing"]
    totals = {name: Decimal(sent["totals"][name]) for name in ("lines", "charges", "tax_exclusive")}
    assert totals["charges"] == sum(Decimal(each["amount"]) for each in sent["charges"])
    assert totals["tax_exclusive"] == totals["lines"] + totals["charges"]  # EN 16931, BR-CO-13; the demo has no allowances on the document


def test_a_quote_says_by_which_engine_it_was_priced(client: FlaskClient, demo: dict[str, Any]) -> None:
    assert quoted(client, demo, "ship").json["provenance"]["engine"] == "99.0.0"


def test_papers_print_it_in_both_languages(client: FlaskClient, demo: dict[str, Any]) -> None:
    at = quoted(client, demo, "ship").headers["Location"]
    assert "Packing, " in client.get(f"{at}?format=html&lang=en").text
    assert "Verpackung, " in client.get(f"{at}?format=html&lang=de").text
    assert "packing" in client.get(f"{at}?format=csv").text
    assert "Packing, " in client.get(f"{at}?format=ubl").text
