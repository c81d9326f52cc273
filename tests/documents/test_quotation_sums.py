"""What an accountant adds up in a quotation, on its page and its paper: rows to groups, groups to the total before tax, and taxes to what is to be paid."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
import pytest
from pypdf import PdfReader

from pricing.document import read
from service.documents.quotation import content, html, paper
from service.documents.speech import speech_in
from tests.counts import some_of
from tests.documents import made
from tests.documents.quotes import case, demo, fleet, in_currency, revised

page = made.of(html.page)
on_paper = made.of(paper.paper)
XHTML = "{http://www.w3.org/1999/xhtml}"
Json = dict[str, Any]


def with_two_taxes() -> Json:
    """The demo's untaxed work at 19 %, added up by hand: 526.86 · 0.19 = 100.1034."""
    document = case("imperial")
    for line in document["lines"]:
        if line["group"] == "labour":
            line["tax"] = {"category": "S", "rate": "19"}
    (work,) = (each for each in document["totals"]["tax"] if each["category"] == "Z")
    assert work["taxable"] == "526.86"
    work |= {"category": "S", "rate": "19", "amount": "100.10"}
    document["totals"] |= {"tax_inclusive": "1515.64", "payable": "1515.64"}  # 1415.54 + 100.10
    return document


QUOTES: dict[str, Callable[[], Json]] = {
    "imperial": demo,
    "metric, sent": lambda: demo(1, delivery="ship"),
    "one on hold": lambda: demo(2),
    "fittings by assembly": lambda: {**demo(0), "fittings_priced": "by_assembly"},
    "by a price list": revised,
    "eight": lambda: fleet(8),
    "a minimum order": lambda: case("one small order"),
    "yen": lambda: in_currency("JPY", ("spools.csv", "stock.csv", "freight.csv")),
    "dinar": lambda: in_currency("KWD"),
    "not subject to tax": lambda: case("not subject to tax"),
    "a charge on a line": lambda: case("a charge on a line"),
    "two taxes": with_two_taxes,
    "lines and a discount by hand": lambda: case("lines and a discount by hand"),
    "work of the shop's own": lambda: case("work of the shop's own"),
}


def amount_in(text: str) -> Decimal:
    """An amount of money as English writes it."""
    found = Decimal(re.sub(r"[^\d.]", "", text))
    return -found if text.lstrip().startswith("−") else found


def tables(document: Json) -> Iterator[list[list[str]]]:
    """The cells of each table of the page, row by row, without the heads of columns."""
    for table in html5lib.parse(page(document).decode()).iter(f"{XHTML}table"):
        (body,) = table.findall(f"{XHTML}tbody")
        yield [[" ".join("".join(cell.itertext()).split()) for cell in row] for row in body]


@cache
def tables_of(name: str) -> list[list[list[str]]]:
    """Those of one of these quotes."""
    return list(tables(QUOTES[name]()))


def test_amounts_are_read_with_their_sign() -> None:
    assert [amount_in(each) for each in ("−$57.52", "+$5.00", "JPY 1,234", "$0.00")] == [Decimal("-57.52"), 5, 1234, 0]


@pytest.mark.parametrize("name", some_of([*QUOTES], 7))
def test_rows_add_up_to_groups_groups_to_the_total_and_taxes_to_what_is_to_be_paid(name: str) -> None:
    document = QUOTES[name]()
    *groups, totals = tables_of(name)
    sums = []
    for *rows, (_, total) in groups:
        assert sum(amount_in(row[-1]) for row in rows) == amount_in(total), rows
        sums.append(amount_in(total))
    rows = {row[0]: amount_in(row[-1]) for row in totals}
    before = list(rows).index("Before tax")
    (lines, *charges), taxes = list(rows.values())[:before], list(rows.values())[before + 1 : -1]
    assert sum(sums) == lines
    assert lines + sum(charges) == rows["Before tax"]
    assert rows["Before tax"] + sum(taxes) == rows["To be paid"] == Decimal(document["totals"]["payable"])


@pytest.mark.parametrize("name", some_of([*QUOTES], 7))
def test_each_tax_is_its_rate_of_what_it_is_on_and_together_they_are_on_everything(name: str) -> None:
    *_, totals = tables_of(name)
    taxes = {row[0]: amount_in(row[-1]) for row in totals if "ax o" in row[0] and row[0] != "Before tax"}
    before = next(amount_in(row[-1]) for row in totals if row[0] == "Before tax")
    on = []
    for words, amount in taxes.items():
        found = re.fullmatch(r"(?:No tax|Tax of (?P<rate>[\d.]+)%) on (?P<on>[^\d]*[\d,.]*\d)(?:[ ,].*)?", words)
        assert found, words
        on.append(amount_in(found["on"]))
        exact = on[-1] * Decimal(found["rate"] or 0) / 100
        assert amount == exact.quantize(Decimal(1).scaleb(amount.as_tuple().exponent), ROUND_HALF_UP), words
    assert sum(on) == before


def test_where_there_are_several_taxes_each_says_what_it_is_on() -> None:
    *_, totals = tables(with_two_taxes())
    assert ["Tax of 7% on $830.54 (Wire; Fittings)", "$58.14"] in totals
    assert ["Tax of 19% on $526.86 (Work)", "$100.10"] in totals


def test_a_discount_and_a_surcharge_say_what_they_are() -> None:
    names = [row[0] for table in tables(case("a charge on a line")) for row in table]
    assert {"Discount, 22%: Price list fleet", "Surcharge: Work outside hours"} <= set(names)


@pytest.mark.parametrize(
    ("name", "language"),
    some_of(
        [
            (name, language)
            for name in ("imperial", "fittings by assembly", "a charge on a line", "two taxes", "one on hold")
            for language in ("en", "de")
        ],
        2,
    ),
)
def test_the_paper_has_every_row_and_sum_of_the_page_in_its_order(name: str, language: str) -> None:
    document = QUOTES[name]()
    quote, said = read(document), speech_in(language, document["display_units"])
    told = content.content(quote, language)
    assert told.totals is not None
    rows = [f"{told.payable}", said.say("Prices")]
    for group in told.groups:
        rows.append(group.title)
        rows += [f"{row.quantity} {row.each} {row.amount}" for row in group.rows]
        rows += [f"{row.name.text} {row.amount}" for row in group.adjusted]
        rows.append(f"{said.say('Sum')} {group.total}")
    sums = told.totals
    rows.append(f"{said.say('Sum of the groups')} {sums.lines}")
    rows += [f"{each.name.text} {each.amount}" for each in sums.charges]
    rows.append(f"{said.say('Before tax')} {sums.net}")
    rows += [f"{each.name} {each.amount}" for each in sums.tax]
    rows.append(f"{said.say('To be paid')} {sums.payable}")
    for wire in told.wires:
        rows.append(f"{wire.tag}: {wire.role}")
        rows += [f"{fact.name} {fact.value}" + (f" ({fact.other})" if fact.other else "") for fact in wire.facts]
        rows += [f"{said.say('Before tax')} {wire.price}"] if wire.price else []
    shown = " ".join(
        " ".join(each.extract_text() for each in PdfReader(io.BytesIO(on_paper(document, language))).pages).replace("\u200b", "").split()
    )
    at = 0
    for row in rows:
        found = shown.find(" ".join(row.split()), at)
        assert found >= 0, (row, shown[at : at + 300])
        at = found


def text_of(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_page_has_every_fact_by_its_name(language: str) -> None:
    document = demo(0)
    told = content.content(read(document), language)
    root = html5lib.parse(page(document, language).decode())
    shown = [(text_of(name), text_of(said)) for each in root.iter(f"{XHTML}dl") for name, said in zip(*[iter(each)] * 2, strict=True)]
    facts = [*told.about, *told.state, *(fact for wire in told.wires for fact in wire.facts)]
    assert shown == [(fact.name, fact.value + (f" ({fact.other})" if fact.other else "") + "".join(fact.rows)) for fact in facts]
    assert told.wires[0].facts[0].value.startswith("29 f" if language == "en" else "29 F")


@pytest.mark.parametrize("place", [0, 1])
def test_the_head_of_page_and_paper_says_what_is_to_be_paid_and_until_when(place: int) -> None:
    """30 days from 25 November 2026 is 25 December; what is to be paid is the document's."""
    document = demo(place)
    amount = f"{'$' if place == 0 else 'US$'}{Decimal(document['totals']['payable']):,}"
    head = f"To be paid {amount} Valid until {'December 25, 2026' if place == 0 else '25 December 2026'}"
    (box,) = [each for each in html5lib.parse(page(document).decode()).iter(f"{XHTML}div") if each.get("class") == "box"]
    assert text_of(box).startswith(head)
    assert head in " ".join(PdfReader(io.BytesIO(on_paper(document))).pages[0].extract_text().split())
