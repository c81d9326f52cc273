"""Pins and swage shanks of the demo catalogue against published values.

Sources: ISO 2341 rows in an open data file; FAA AC 43.13-1B table 7-5 from memory, which the rows say.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue

D = Decimal


@pytest.fixture(scope="module")
def demo() -> Catalogue:
    return load_catalogue(DEMO_FOLDER)


@pytest.mark.parametrize(
    ("diameter", "head", "hole"), [("6", "10", "1.6"), ("8", "14", "2"), ("10", "18", "3.2"), ("12", "20", "3.2"), ("16", "25", "4")]
)
def test_metric_pins_have_the_heads_and_holes_of_iso_2341(demo: Catalogue, diameter: str, head: str, hole: str) -> None:
    """ISO 2341: d, head dk, split-pin hole; exact."""
    pins = demo.pins(D(diameter))
    assert len(pins) >= 3
    assert {(pin.head, pin.cotter) for pin in pins} == {(D(head), D(hole))}
    assert all("ISO 2341" in pin.source for pin in pins)
    assert demo.cotter(D(hole)) is not None


SHANKS = [
    ("1/8", ".250", ".141", "1.511", "1.438", ".219"), ("5/32", ".297", ".172", "1.761", "1.688", ".250"),
    ("3/16", ".359", ".203", "2.011", "1.938", ".313"), ("1/4", ".494", ".265", "2.511", "2.438", ".438"),
    ("5/16", ".635", ".328", "3.011", "2.938", ".563"),
]  # fmt: skip


@pytest.mark.parametrize(("size", "before", "bore", "depth", "length", "after"), SHANKS)
def test_swage_shanks_are_those_of_the_table_from_memory(
    demo: Catalogue, size: str, before: str, bore: str, depth: str, length: str, after: str
) -> None:
    """AC 43.13-1B table 7-5, straight swage shank, in inches: from memory."""
    top, bottom = size.split("/")
    rows = demo.terminals("fork", "swage", "1x19", D(top) / D(bottom) * D("25.4"))
    assert rows
    for row in rows:
        found = (row.shank_before, row.bore, row.depth, row.swaged_length, row.shank_after)
        assert found == tuple(D(value) * D("25.4") for value in (before, bore, depth, length, after))
        assert "AC 43.13-1B table 7-5, from memory" in row.source
