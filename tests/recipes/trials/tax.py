"""The invented rate of tax: labour is taxed like goods from a day on, and not before."""

from __future__ import annotations

from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from flask.testing import FlaskClient

from pricing.document import rendered
from service.engine.engine import open_engine
from service.schemas import read_request
from service.settings import Settings


def rates(document: dict[str, Any]) -> dict[tuple[str, str], Decimal]:
    return {(each["category"], each["rate"]): Decimal(each["taxable"]) for each in document["totals"]["tax"]}


def test_it_is_charged_from_its_day_on(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo).json
    totals = made["totals"]
    assert rates(made) == {("S", "7"): Decimal(totals["tax_exclusive"])}
    seven_percent = (Decimal(totals["tax_exclusive"]) * 7 / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(totals["payable"]) == Decimal(totals["tax_exclusive"]) + seven_percent


def test_it_is_not_charged_on_the_day_before(demo: dict[str, Any]) -> None:
    engine = open_engine(Settings(today=date(2026, 9, 30)))
    earlier = rendered(engine.quote(read_request(demo, engine.known_price_lists())))
    assert set(rates(earlier)) == {("S", "7"), ("Z", "0")}
