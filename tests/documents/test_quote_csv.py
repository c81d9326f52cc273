"""A quote's lines and bill read back by the csv module. RFC 4180: lines end with CRLF, a field with a quote, comma or line end is quoted."""

import csv
import io
from collections import defaultdict
from decimal import Decimal

import pytest

from service.documents.csv import quote
from service.documents.csv.quote import BILL, LINES

from . import made, quotes

lines, bill = made.of(quote.lines), made.of(quote.bill)


def rows(listed):
    return list(csv.DictReader(io.StringIO(listed.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize("name", quotes.CASES)
def test_the_rows_add_up_to_the_quote_before_tax_and_to_what_each_tax_is_taken_of(name):
    document = quotes.case(name)
    taxable, digits = defaultdict(Decimal), Decimal(document["totals"]["tax_exclusive"])
    for row in rows(lines(document)):
        if row["entry"] == "line":
            amount = (Decimal(row["quantity"]) * Decimal(row["unit_price"])).quantize(digits, "ROUND_HALF_UP")
            assert Decimal(row["amount"]) == amount
            assert Decimal(row["net"]) == amount - Decimal(row["allowances"]) + Decimal(row["charges"])
        if row["entry"] != "assembly":
            taxable[row["tax_category"], row["tax_rate"]] += Decimal(row["net"])
        assert row["currency"] == document["currency"]
    assert sum(taxable.values()) == Decimal(document["totals"]["tax_exclusive"])
    assert taxable == {(each["category"], each["rate"]): Decimal(each["taxable"]) for each in document["totals"]["tax"]}


@pytest.mark.parametrize("name", quotes.CASES)
def test_every_line_charge_and_article_of_the_quote_has_its_row(name):
    document = quotes.case(name)
    said = ("id", "sku", "name", "note", "group", "rule", "quantity", "unit", "unit_price", "amount", "net")
    found = rows(lines(document))
    assert [[row[each] for each in said] for row in found if row["entry"] == "line"] == [
        [line[each] for each in said] for line in document["lines"]
    ]
    off = [(row["name"], row["rule"], row["net"]) for row in found if row["entry"] == "allowance"]
    assert off == [(each["reason"], each["rule"], f"-{each['amount']}") for each in document.get("allowances", ())]
    charges = [(row["name"], row["rule"], row["net"]) for row in found if row["entry"] == "charge"]
    assert charges == [(each["reason"], each["rule"], each["amount"]) for each in document["charges"]]
    articles = [[row[each] for each in BILL] for row in rows(bill(document))]
    assert articles == [
        [
            document["number"],
            str(document["revision"]),
            each["sku"],
            each["name"],
            each["quantity"],
            each["unit"],
            "yes" if each["kept"] else "no",
        ]
        for each in document["bill_of_materials"]
    ]


@pytest.mark.parametrize("name", quotes.CASES)
def test_the_prices_of_the_assemblies_add_up_to_the_lines(name):
    document = quotes.case(name)
    found = rows(lines(document))
    priced = [row for row in found if row["entry"] == "assembly"]
    assert [(row["tag"], row["quantity"], row["assembly_price"]) for row in priced] == [
        (each["tag"], str(each["quantity"]), each["price"]["net"]) for each in document["assemblies"] if each.get("price")
    ]
    assert all(row["net"] == "" for row in priced)
    assert all(row["assembly_price"] == row["tag"] == "" for row in found if row["entry"] != "assembly")
    net = sum(Decimal(row["net"]) for row in found if row["entry"] == "line" and not quotes.of_no_assembly(row))
    if name not in ("first release", "a charge on a line"):  # shares of the first release were not kept; the charge is put in by hand
        assert sum(Decimal(row["assembly_price"]) for row in priced) == net


def test_why_a_line_is_cheaper_or_dearer_is_said():
    found = rows(lines(quotes.case("a charge on a line")))
    (dearer,) = [row for row in found if row["charges"] == "5.00"]
    assert dearer["reasons"].endswith("Work outside hours")
    assert (found[0]["allowances"], found[0]["reasons"]) == ("28.91", "Price list fleet 22 %")  # 22 % of 131.39 is 28.9058


@pytest.mark.parametrize("nasty", quotes.NASTY)
def test_texts_are_harmless_and_numbers_stay_numbers(nasty):
    document = quotes.nasty(nasty)
    document["lines"][0]["net"] = "-12.50"
    found = rows(lines(document))
    first, (charge, *_) = found[0], [row for row in found if row["entry"] == "charge"]
    shown = (
        "".join(each for each in nasty if each in "\t\n\r" or each >= " ")
        .translate(dict.fromkeys([0x7F, 0xFFFE, 0xFFFF]))
        .replace("\ud800", "?")
    )
    expected = f"'{shown}" if nasty.strip()[0] in "=+-@＝" else shown
    assert (first["name"], first["note"], charge["name"]) == (expected, expected, expected)
    assert rows(bill(document))[0]["name"] == expected
    assert first["net"] == "-12.50"


def test_a_quote_with_nothing_ready_is_two_head_lines():
    document = quotes.case("none ready")
    assert lines(document) == b"\xef\xbb\xbf" + ",".join(LINES).encode() + b"\r\n"
    assert bill(document) == b"\xef\xbb\xbf" + ",".join(BILL).encode() + b"\r\n"


def test_lines_end_as_the_standard_says_and_equal_quotes_give_equal_bytes():
    listed = lines(quotes.case("metric, sent"))
    assert listed.count(b"\r\n") == listed.count(b"\n") == 1 + 22 + 1 + 5  # head, lines, freight, assemblies
    assert listed == lines(quotes.case("metric, sent"))
