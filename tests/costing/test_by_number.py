"""Articles that the shop adds by their numbers: priced like their group, part of no assembly, and asked about where nothing was computed from them.

Prices and percentages are the demo tables' own rows, read in pricing/data: COTTER-1-16IN each, fittings on the trade list, tax on fittings.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.catalogue.indexing import index_of
from pricing.costing.rates import PriceTable
from pricing.errors import RequestError
from pricing.measurement.assembly import End, ExtraArticle, QuoteRequest
from pricing.quote import make_quote
from pricing.rows import Price, SoldOnly
from tests.engine.test_wordings import DAY, FORK, STRAND, assert_worded_for_all, demo, flat, plain, rendered, shroud

D = Decimal
ONLY = SoldOnly("BT-7", "Stud M10", "stud", "each", "invented for tests", ("shank_before", "bore"))


def shop():
    """The demo shop, which sells a stud for 12.50 of which it has no dimensions."""
    catalogue, prices = demo()
    tables = replace(catalogue.tables, sold_only=(ONLY,))
    price = Price(sku="BT-7", unit="each", from_day=DAY, from_quantity=D(0), unit_price=D("12.50"), source="invented for tests")
    return replace(catalogue, tables=tables, index=index_of(tables)), replace(prices, prices=(*prices.prices, price))


def quoted(*articles: tuple[str, str], price_list: str = "retail", upper: End = FORK):
    catalogue, prices = shop()
    extra = tuple(ExtraArticle(sku, D(quantity)) for sku, quantity in articles)
    assembly = shroud(upper, FORK, STRAND, flat(9000))
    return rendered(make_quote(QuoteRequest((assembly,), price_list=price_list, extra_articles=extra), catalogue, prices, DAY))


def test_an_article_is_priced_and_belongs_to_no_assembly() -> None:
    before, after = quoted(), quoted(("BT-7", "3"))
    line = after["lines"][-1]
    assert (line["sku"], line["name"], line["group"], line["rule"]) == ("BT-7", "Stud M10", "extra", "extra_article")
    assert (line["quantity"], line["unit"], line["unit_price"], line["net"]) == ("3", "each", "12.50", "37.50")  # 3 x 12.50
    assert line["tax"]["rate"] == "7"  # fittings, in tax.csv
    assert D(after["totals"]["lines"]) - D(before["totals"]["lines"]) == D("37.50")
    assert [each["price"] for each in after["assemblies"]] == [each["price"] for each in before["assemblies"]]


def test_a_price_list_takes_off_what_it_takes_off_fittings() -> None:
    percent = next(row.percent for row in demo()[0].discounts if (row.price_list, row.group) == ("trade", "fitting"))
    assert percent > 0
    line = quoted(("BT-7", "4"), price_list="trade")["lines"][-1]  # 4 x 12.50 = 50.00
    assert D(line["net"]) == D("50.00") * (100 - percent) / 100


def test_one_question_says_that_nothing_was_computed_from_these_articles() -> None:
    made = quoted(("BT-7", "1"), ("COTTER-1-16IN", "2"))
    (found,) = [each for each in made["findings"] if each["code"] == "sold-not-computed"]
    assert (found["severity"], found["pointer"]) == ("ask", "/extra_articles/0")
    assert_worded_for_all(found)


def test_such_an_article_cannot_be_an_end_of_a_wire() -> None:
    (found,) = [each for each in quoted(upper=replace(FORK, sku="BT-7"))["assemblies"][0]["findings"] if each["code"] == "sku-does-not-fit"]
    assert (found["severity"], found["wording"]) == ("stop", "sold_only")
    assert [each["phrase"] for each in found["values"]["lacks"]["items"]] == ["dimension.shank_before", "dimension.bore"]
    assert_worded_for_all(found)


@pytest.mark.parametrize(
    ("article", "field", "code"),
    [
        (("BT-8", "1"), "sku", "unknown_article"), (("WORK-SWAGE-A", "1"), "sku", "unknown_article"), (("BT-7", "1.5"), "quantity", "part_of_a_piece"),
    ],
)  # fmt: skip
def test_an_article_that_cannot_be_added_is_refused_at_its_place(article: tuple[str, str], field: str, code: str) -> None:
    with pytest.raises(RequestError) as caught:
        quoted(("COTTER-1-16IN", "1"), article)
    assert [each[:2] for each in caught.value.faults] == [(f"/extra_articles/1/{field}", code)]


def test_an_article_without_a_price_on_the_day_is_refused() -> None:
    catalogue, prices = shop()
    bare = PriceTable(
        tuple(row for row in prices.prices if row.sku != "BT-7"), prices.discounts, prices.tax, prices.freight, prices.terms, prices.spools
    )
    with pytest.raises(RequestError, match="no price for BT-7"):
        make_quote(QuoteRequest((plain(),), extra_articles=(ExtraArticle("BT-7", D(1)),)), catalogue, bare, DAY)
