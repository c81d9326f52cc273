"""The workbook read back by openpyxl, which shares no code with what writes it, and by its own parts (ISO/IEC 29500, a zip of XML)."""

import io
import re
import zipfile
from decimal import Decimal
from functools import cache
from itertools import pairwise

import pytest
from lxml import etree
from openpyxl import load_workbook

from service.documents.csv.cells import formula_like, plain
from service.documents.workbook import quote
from service.documents.workbook.sheet import Column, Number, Workbook
from tests.counts import some_of

from . import made, quotes

workbook = made.of(quote.workbook)
SOME = some_of([*quotes.CASES], 6)
SHEETS = ["Summary", "Assemblies", "Bill of materials", "Lines", "Totals", "Findings"]


def opened(document):
    return load_workbook(io.BytesIO(workbook(document)))


@cache
def written(name):
    """The workbook of a case, which tests only read."""
    return workbook(quotes.case(name))


@cache
def read(name):
    return load_workbook(io.BytesIO(written(name)))


def table(book, name):
    """The rows as dictionaries of cells by heading."""
    head, *rows = book[name].iter_rows()
    return [dict(zip([cell.value for cell in head], row, strict=True)) for row in rows]


def exact(cell):
    """The decimal that a number cell shows: its value with the decimals of its format."""
    assert cell.data_type == "n"
    decimals = len(cell.number_format.partition(".")[2])
    assert cell.number_format == "#,##0" + ("." + "0" * decimals if decimals else "")
    shown = Decimal(repr(cell.value)).quantize(Decimal(1).scaleb(-decimals))
    assert shown == Decimal(repr(cell.value)), "the format hides a part of the number"
    return str(shown)


def money(cell):
    """The amount of a cell; None where it says in words that there is none."""
    return None if cell.value == "nothing is priced" else exact(cell)


@pytest.mark.parametrize("name", SOME)
def test_every_length_stands_in_millimetres_and_in_the_display_units(name):
    document = quotes.case(name)
    rows = table(read(name), "Assemblies")
    for row, each in zip(rows, document["assemblies"], strict=True):
        assert (row["Tag"].value, row["Readiness"].value, row["Quantity"].value) == (each["tag"], each["readiness"], each["quantity"])
        screws = each["turnbuckle"] or {}
        exposed = screws.get("build_setting") or {"upper_exposed": None, "lower_exposed": None}
        lengths = {
            "Measured": each["measured_length"], "Target": each["target_length"], "Cut": each["cut_length"],
            "Upper exposed thread": exposed["upper_exposed"], "Lower exposed thread": exposed["lower_exposed"],
            "Take-up left": screws.get("take_up"), "Let-out left": screws.get("let_out"),
        }  # fmt: skip
        for title, length in lengths.items():
            if length is None:
                assert (row[title].value, row[f"{title}, mm"].value) == (None, None)
            else:
                assert (row[title].value, exact(row[f"{title}, mm"])) == (length["text"], length["mm"])


@pytest.mark.parametrize("name", SOME)
def test_every_amount_and_quantity_is_a_number_with_the_documents_own_decimals(name):
    document, book = quotes.case(name), read(name)
    titles = {"Line": "id", "Quantity": "quantity", "Unit price": "unit_price", "Amount": "amount", "Net": "net"}
    lines = [[exact(row[title]) for title in titles] for row in table(book, "Lines")]
    assert lines == [[line[each] for each in titles.values()] for line in document["lines"]]
    assert [exact(row["Quantity"]) for row in table(book, "Bill of materials")] == [
        each["quantity"] for each in document["bill_of_materials"]
    ]
    totals, found = document["totals"], [(row["Total"].value, money(row["Amount"])) for row in table(book, "Totals")]
    prices = [None if row["Price before tax"].value is None else exact(row["Price before tax"]) for row in table(book, "Assemblies")]
    assert prices == [each["price"]["net"] if each.get("price") else None for each in document["assemblies"]]
    named = {
        "Sum of the lines": "lines",
        "Total before tax": "tax_exclusive",
        "Tax": "tax_amount",
        "Total with tax": "tax_inclusive",
        "Payable": "payable",
    }
    assert {title: amount for title, amount in found if title in named} == {title: totals[each] for title, each in named.items()}
    assert [amount for title, amount in found if title.startswith("Tax ")] == [each["amount"] for each in totals["tax"]]
    assert [amount for title, amount in found if title.startswith("Charge: ")] == [each["amount"] for each in document["charges"]]


@pytest.mark.parametrize("nasty", some_of(quotes.NASTY, 5))
def test_a_text_is_a_text_whatever_it_says(nasty):
    document = quotes.nasty(nasty)
    book = opened(document)
    summary = {row[0].value: row[1] for row in book["Summary"].iter_rows()}
    cells = [
        summary["Customer"],
        summary["Boat"],
        summary["Customer's note"],
        table(book, "Lines")[0]["Name"],
        table(book, "Bill of materials")[0]["Name"],
    ]
    for cell in cells:
        assert (cell.data_type, cell.value, cell.quotePrefix) == ("s", plain(nasty), formula_like(plain(nasty)))
        assert cell.hyperlink is None


@pytest.mark.parametrize("name", [*SOME, "nasty"])
def test_no_sheet_holds_a_formula_a_link_or_anything_from_outside(name):
    made = workbook(quotes.nasty(quotes.NASTY[0])) if name == "nasty" else written(name)
    parts = zipfile.ZipFile(io.BytesIO(made))
    assert parts.testzip() is None
    for part in parts.namelist():
        root = etree.fromstring(parts.read(part))
        assert not root.xpath("//*[local-name() = 'f' or local-name() = 'hyperlink' or @TargetMode = 'External']"), part
        assert not re.search("vba|macro|externalLink|calcChain", part)
    assert load_workbook(io.BytesIO(made), read_only=True).sheetnames == SHEETS


def test_the_summary_has_the_customers_address_and_the_terms_of_payment():
    document = quotes.case("imperial")
    address = {"street": "3 Pelican Quay", "city": "Tern Point", "region": "ME", "postal_code": "00001", "country": "US"}
    document["customer"] |= {"address": address, "telephone": "+1 401 555 0142", "tax_number": "XX000000000", "external_id": "C-1042"}
    document["customer"]["delivery_address"] = {**address, "street": "4 Gannet Wharf"}
    document["boat"]["external_id"] = "B-0007"
    summary = {row[0].value: row[1].value for row in opened(document)["Summary"].iter_rows()}
    assert summary["Customer's address"] == "3 Pelican Quay, Tern Point, ME 00001, US"
    assert summary["Customer's telephone"] == "+1 401 555 0142"
    assert summary["Customer's tax number"] == "XX000000000"
    assert summary["Address for delivery"] == "4 Gannet Wharf, Tern Point, ME 00001, US"
    assert summary["Shop's own number of the customer"] == "C-1042"
    assert summary["Shop's own number of the boat"] == "B-0007"
    assert summary["Terms of payment"] == "Half on acceptance, the rest on collection or before the work is sent."


def test_days_are_dates_and_the_summary_says_what_is_left_out():
    document = quotes.case("120 assemblies")
    summary = {row[0].value: row[1].value for row in opened(document)["Summary"].iter_rows()}
    assert [summary[day].isoformat() for day in ("Issued on", "Valid until, inclusive")] == ["2026-11-25T00:00:00", "2026-12-25T00:00:00"]
    assert summary["Not in the total, on hold"] == ", ".join(document["left_out"])
    assert len(document["left_out"]) == 17
    assert str(summary["Payable, USD"]) == document["totals"]["payable"].rstrip("0")


def test_every_finding_is_listed_with_its_assembly():
    document = quotes.case("120 assemblies")
    found = [(row["Tag"].value, row["Code"].value, row["Finding"].value) for row in table(opened(document), "Findings")]
    expected = [(each["tag"], finding["code"], finding["message"]) for each in document["assemblies"] for finding in each["findings"]]
    assert found == expected + [(None, each["code"], each["message"]) for each in document["findings"]]


def test_a_note_of_5000_characters_is_whole():
    summary = {row[0].value: row[1].value for row in opened(quotes.case("note of 5000"))["Summary"].iter_rows()}
    assert summary["Customer's note"] == "帆" * 5000


def test_a_number_longer_than_a_spreadsheet_keeps_stands_as_text():
    book = Workbook("", quotes.DAY)
    book.add("Numbers", (Column("Number", 20),), ([Number("-1234567890123.45")], [Number("12345678901234.567")], [Number("0.00")]))
    kept, long, zero = (row[0] for row in load_workbook(io.BytesIO(book.written()))["Numbers"].iter_rows(min_row=2))
    assert (exact(kept), long.data_type, long.value, exact(zero)) == ("-1234567890123.45", "s", "12345678901234.567", "0.00")


def test_equal_quotes_give_equal_bytes_without_a_clock():
    files = [workbook(quotes.case("imperial")) for _ in range(2)]
    assert all(one == other for one, other in pairwise(files))
    parts = zipfile.ZipFile(io.BytesIO(files[0]))
    assert {each.date_time for each in parts.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert set(re.findall(rb"\d{4}-\d\d-\d\dT[0-9:]+Z", parts.read("docProps/core.xml"))) == {b"2026-11-25T00:00:00Z"}
