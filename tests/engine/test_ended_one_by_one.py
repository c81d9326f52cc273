"""Each article of the demo shop ends alone: no quote takes it, and every quote that did not take it comes out as before, to the byte."""

from __future__ import annotations

import json
from functools import cache

import pytest

from pricing.document import rendered, written
from pricing.measurement.assembly import QuoteRequest
from pricing.model import Quote
from pricing.quote import make_quote
from service.demo import demo_names, demo_request
from service.schemas import read_request
from tests.counts import some_of

from .selling import ENDING, ending, sold
from .shop import DAY, demo

ARTICLES = [row.sku for kind in ENDING for row in getattr(demo()[0].tables, kind)]


@cache
def boats() -> tuple[QuoteRequest, ...]:
    lists = demo()[1].at(DAY).price_lists()
    return tuple(read_request(json.loads(demo_request(name)), lists) for name in demo_names())


@cache
def before() -> tuple[tuple[frozenset[str], bytes], ...]:
    """For each boat, the article numbers sold and the document, while all articles are sold."""
    return tuple(_made(make_quote(boat, *demo(), DAY)) for boat in boats())


def _made(quote: Quote) -> tuple[frozenset[str], bytes]:
    lines = {line.sku for line in quote.lines if line.sku is not None}
    return frozenset({*sold(rendered(quote)), *lines}), written(quote)


def _stops(quote: Quote) -> set[str]:
    return {found.code for assembly in quote.assemblies for found in assembly.findings if found.severity == "stop"}


ALWAYS = set[str]().union(*(_stops(make_quote(boat, *demo(), DAY)) for boat in boats()))
TAKEN = sorted(set[str]().union(*(skus for skus, _ in before())) & set(ARTICLES))


def judged(*gone: str) -> set[str]:
    """The codes that stop an assembly for lack of these articles. Asserts that none of them is sold and that a quote without them is unchanged."""
    catalogue, stops = ending(*gone), set()
    for boat, (skus, document) in zip(boats(), before(), strict=True):
        quote = make_quote(boat, catalogue, demo()[1], DAY)
        now, again = _made(quote)
        assert not now & set(gone)
        if not skus & set(gone):
            assert again == document
        stops |= _stops(quote)
    return stops - ALWAYS


@pytest.mark.parametrize("sku", some_of(TAKEN, 10))
def test_an_article_that_boats_take(sku: str) -> None:
    assert judged(sku) <= {"no-longer-sold"}  # or nothing, where another takes its place or the shop is asked


@pytest.mark.parametrize("sku", some_of([sku for sku in ARTICLES if sku not in TAKEN], 6))
def test_an_article_that_no_boat_takes(sku: str) -> None:
    judged(sku)


def test_all_that_no_boat_takes_at_once() -> None:
    """Findings may name fewer sizes to choose from; the articles sold and their prices stay the same."""
    catalogue = ending(*(sku for sku in ARTICLES if sku not in TAKEN))
    for boat, (skus, _) in zip(boats(), before(), strict=True):
        assert _made(make_quote(boat, catalogue, demo()[1], DAY))[0] == skus


def test_the_boats_take_articles_of_most_tables() -> None:
    of = {row.sku: kind for kind in ENDING for row in getattr(demo()[0].tables, kind)}
    assert len(TAKEN) > 40
    assert {of[sku] for sku in TAKEN} >= {
        "wires",
        "terminals",
        "turnbuckle_bodies",
        "screws",
        "links",
        "pins",
        "cotters",
        "sleeves",
        "balls",
    }
