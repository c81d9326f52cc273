"""Rows as a form or a page shows them, and the versions that identify their content."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue

from .conftest import Loft


def test_prices_are_not_among_the_kinds_that_are_shown(small: Catalogue) -> None:
    fittings = ("terminals", "threads", "turnbuckle_bodies", "screws", "links", "pins", "cotters", "thimbles", "sleeves", "balls")
    assert small.kinds() == ("wires", *fittings, "labour", "growths", "cones", "locknuts", "backing_plates", "sold_only")
    with pytest.raises(KeyError):
        small.rows("prices")


def test_a_row_shows_each_length_in_mm_and_as_written(small: Catalogue) -> None:
    row = small.rows("wires")[1]
    assert row["diameter"] == {"mm": "4.7625", "text": "3/16 in"}
    assert row["break"] == {"kN": "16.4584", "text": "3700 lbf"}
    assert row["source"] == "invented for tests"


def test_lists_and_blank_cells_are_shown_as_such(small: Catalogue) -> None:
    row = small.rows("terminals")[1]
    assert row["wire_sizes"] == [{"mm": "4", "text": "4 mm"}, {"mm": "4.7625", "text": "3/16 in"}]
    assert row["constructions"] == ["1x19", "7x19"]
    assert row["thread"] == "M8 x 1.25"
    assert row["pin"] is None


def leaves(value: object) -> Iterator[object]:
    if isinstance(value, dict):
        for one in value.values():
            yield from leaves(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from leaves(one)
    else:
        yield value


def test_every_row_shown_bears_a_source_and_holds_text_whole_numbers_or_nothing() -> None:
    demo = load_catalogue(DEMO_FOLDER)
    for kind in demo.kinds():
        assert all(row["source"] for row in demo.rows(kind))
        assert {type(leaf) for leaf in leaves(demo.rows(kind))} <= {str, int, type(None)}
        json.dumps(demo.rows(kind))


def test_a_price_changes_only_the_price_version(loft: Loft) -> None:
    before = loft.load()
    loft.cell("prices.csv", 2, "unit_price", "3.41")
    after = loft.load()
    assert after.version == before.version
    assert after.price_version != before.price_version


SHOP = [("tax.csv", "rate", "8"), ("terms.csv", "value", "NOK"), ("freight.csv", "price", "1"), ("price_lists.csv", "percent", "1")]
PARTS = [
    ("wires.csv", "break", "13.4 kN"),
    ("sleeves.csv", "constructions", "7x19"),
    ("labour.csv", "time", "6 min"),
    ("edition.csv", "day", "2026-01-02"),
    ("pins.csv", "source", "measured"),
]


@pytest.mark.parametrize(("file", "column", "text"), SHOP)
def test_each_table_of_the_shops_decisions_is_in_the_price_version(loft: Loft, file: str, column: str, text: str) -> None:
    before = loft.load()
    loft.cell(file, 2, column, text)
    assert loft.load().price_version != before.price_version
    assert loft.load().version == before.version


@pytest.mark.parametrize(("file", "column", "text"), PARTS)
def test_a_part_changes_only_the_catalogues_version(loft: Loft, file: str, column: str, text: str) -> None:
    before = loft.load()
    loft.cell(file, 2, column, text)
    after = loft.load()
    assert after.version != before.version
    assert after.price_version == before.price_version


def test_another_spelling_of_the_same_size_keeps_the_version(loft: Loft) -> None:
    before = loft.load()
    loft.cell("pins.csv", 2, "grip", "2.0 cm")
    assert loft.load().version == before.version
