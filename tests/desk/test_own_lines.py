"""Lines by hand and discount at the desk: seen first, then issued as a revision; the rest of the request stays as it was."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.desk.numbers import with_point
from tests.desk.colleague import Colleague, fields_of
from tests.desk.test_quote import asked, at, made, now

Json = dict[str, Any]
FIRST: Json = {"text-0": "Mast off and on", "quantity-0": "2", "unit-0": "hour", "unit_price-0": "78.00", "tax-0": "Z"}
WRONG: Json = {**FIRST, "quantity-0": "two"}
NOTHING: Json = {"text-0": "", "quantity-0": "", "unit_price-0": ""}
LINE = {"text": "Mast off and on", "quantity": "2", "unit": "hour", "unit_price": "78.00", "tax_category": "Z"}


def at_lines(desk: Flask, quote: Json) -> Colleague:
    counter = Colleague(desk, Role.COUNTER)
    assert counter.go(f"{at(quote)}/lines").status_code == 200
    return counter


def test_what_it_comes_to_is_seen_before_anything_is_issued(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    counter = at_lines(desk, quote)
    counter.press("Show what it comes to", **FIRST)
    after = Decimal(quote["totals"]["payable"]) + 2 * 78  # at 0 % tax
    assert f"It would come to US${after:,.2f}" in counter.text
    assert now(desk, quote)["status"] == "issued"
    kept = fields_of(counter.forms("Issue the revision")[0][0])
    assert {name: kept[name] for name in FIRST} == FIRST


def test_the_revision_has_the_lines_and_all_else_as_before(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    counter = at_lines(desk, quote)
    to, fields = counter.prepared("Issue the revision", **FIRST, reduction="10 %", reason="Winter discount")
    counter.send(to, fields)
    revision = counter.at.partition("?")[0].rpartition("/")[2]
    assert now(desk, {"id": revision}, "/request") == {
        **asked("GATE-P"),
        "extra_lines": [LINE],
        "discount": {"text": "Winter discount", "reduction": "10 %"},
    }
    assert now(desk, {"id": revision})["revision"] == 2
    counter.send(to, fields)  # pressed twice
    assert counter.at.partition("?")[0].rpartition("/")[2] == revision
    assert now(desk, {"id": revision})["status"] == "issued"


def test_lines_are_there_to_be_changed_and_taken_out(desk: Flask) -> None:
    quote = made(desk, {**asked("GATE-P"), "extra_lines": [LINE, {**LINE, "text": "Inspection", "tax_category": "S", "tax_rate": "7"}]})
    counter = at_lines(desk, quote)
    there = fields_of(counter.forms("Issue the revision")[0][0])
    assert (there["text-0"], there["text-1"], there["tax-1"], there["text-2"]) == ("Mast off and on", "Inspection", "S 7", "")
    counter.press("Issue the revision", **NOTHING)
    revision = counter.at.partition("?")[0].rpartition("/")[2]
    (line,) = now(desk, {"id": revision}, "/request")["extra_lines"]
    assert line == {**LINE, "text": "Inspection", "tax_category": "S", "tax_rate": "7"}


def test_what_cannot_be_priced_is_said_and_stays_typed(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    counter = at_lines(desk, quote)
    for button in ("Show what it comes to", "Issue the revision"):
        assert counter.press(button, **WRONG, reduction="a lot").status_code == 422
        kept = fields_of(counter.forms(button)[0][0])
        assert (kept["quantity-0"], kept["reduction"]) == ("two", "a lot")
    assert now(desk, quote)["status"] == "issued"


def test_a_revision_of_what_changed_meanwhile_is_refused(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = at_lines(desk, quote)
    other = Colleague(desk, Role.OWNER)
    other.go(at(quote))
    other.press("Settle this", words="As written.")
    assert counter.press("Issue the revision", **FIRST).status_code == 412
    assert "Someone else was quicker" in counter.text
    assert counter.press("Issue the revision").status_code == 200
    assert now(desk, quote)["status"] == "superseded"


@pytest.mark.parametrize(
    ("typed", "sent"),
    [
        ("2,5", "2.5"),
        (" 12,50 ", "12.50"),
        ("7,5 %", "7.5 %"),
        ("1,250", "1,250"),
        ("1.5", "1.5"),
        ("1,5,2", "1,5,2"),
        ("Bay 3,5", "Bay 3,5"),
    ],
)
def test_a_decimal_comma_is_taken_and_three_digits_behind_one_are_not_guessed(typed: str, sent: str) -> None:
    assert with_point(typed) == sent


def test_a_line_typed_with_decimal_commas_is_priced(desk: Flask) -> None:
    counter = at_lines(desk, made(desk, asked("GATE-P")))
    counter.press("Issue the revision", **{**FIRST, "quantity-0": "2,5", "unit_price-0": "12,50"})
    revision = counter.at.partition("?")[0].rpartition("/")[2]
    (line,) = now(desk, {"id": revision}, "/request")["extra_lines"]
    assert (line["quantity"], line["unit_price"]) == ("2.5", "12.50")
