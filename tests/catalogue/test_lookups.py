"""Look-ups on the small loft, whose few rows are written out in the files of folder `small`."""

from __future__ import annotations

import pickle
from decimal import Decimal

import pytest

from pricing.catalogue import Catalogue

FOUR, THREE_SIXTEENTHS, EIGHT = Decimal(4), Decimal("4.7625"), Decimal(8)


def skus(rows: tuple[object, ...]) -> list[str]:
    return [getattr(row, "sku", "") for row in rows]


def test_a_wire_is_found_only_by_its_exact_diameter(small: Catalogue) -> None:
    wire = small.wire("7x19", "316", THREE_SIXTEENTHS)
    assert wire is not None
    assert (wire.sku, wire.size) == ("W-316", "3/16 in")
    assert small.wire("7x19", "316", Decimal("4.76")) is None
    assert small.wire("7x7", "316", THREE_SIXTEENTHS) is None


def test_wires_come_thinnest_first(small: Catalogue) -> None:
    assert skus(small.wires_of("1x19", "316")) == ["W-4"]
    assert small.wires_of("1x19", "bronze") == ()


def test_a_terminal_is_found_for_each_wire_it_takes(small: Catalogue) -> None:
    assert skus(small.terminals("fork", "swage", "1x19", FOUR)) == ["T-FORK"]
    assert skus(small.terminals("stud", "compression", "7x19", THREE_SIXTEENTHS)) == ["T-STUD"]
    assert skus(small.terminals("stud", "compression", "1x19", FOUR)) == ["T-STUD"]
    assert small.terminals("fork", "swage", "7x19", FOUR) == ()
    assert small.terminals("fork", "compression", "1x19", FOUR) == ()


def test_an_article_of_any_kind_is_found_by_its_sku(small: Catalogue) -> None:
    kinds = {type(small.article(sku)).__name__ for sku in ("W-4", "T-FORK", "B-M8", "S-M8", "L-T8", "P-8-20", "C-2", "WK-TAG", "BS-316-A")}
    assert kinds == {"Wire", "Terminal", "Body", "Screw", "Link", "Pin", "Cotter", "Labour", "Ball"}
    assert small.article("nothing") is None


def test_groups_follow_the_kind(small: Catalogue) -> None:
    assert [small.group(sku) for sku in ("W-4", "P-8-20", "WK-TAG", "nothing")] == ["wire", "fitting", "labour", None]


@pytest.mark.parametrize("spelling", ["M8", "m8", "M8x1.25", "M8 X 1,25", "M8 x 1.25"])
def test_threads_bodies_and_screws_are_found_however_the_thread_is_spelled(small: Catalogue, spelling: str) -> None:
    thread, body = small.thread(spelling), small.body("open", spelling)
    assert thread is not None
    assert thread.designation == "M8 x 1.25"
    assert body is not None
    assert body.sku == "B-M8"
    assert skus(small.screws(spelling, "toggle")) == ["S-M8"]


def test_an_unreadable_or_unknown_thread_has_no_parts(small: Catalogue) -> None:
    assert small.thread("eight") is None
    assert small.body("open", "3/8-24 UNF") is None
    assert small.body("tubular", "M8") is None
    assert small.screws("M8", "fork") == ()


def test_pins_come_shortest_first_and_balls_smallest_first(small: Catalogue) -> None:
    assert skus(small.pins(EIGHT)) == ["P-8-12", "P-8-20"]
    assert skus(small.balls(THREE_SIXTEENTHS)) == ["BS-316-A", "BS-316-B"]
    assert small.pins(Decimal(9)) == ()


def test_links_come_by_kind(small: Catalogue) -> None:
    assert skus(small.links("toggle")) == ["L-T8"]
    assert skus(small.links("shackle")) == ["L-S8"]


def test_parts_of_a_thimble_eye_are_found_for_rope_and_not_for_strand(small: Catalogue) -> None:
    assert small.sleeve("7x19", THREE_SIXTEENTHS) is not None
    assert small.sleeve("1x19", THREE_SIXTEENTHS) is None
    thimble = small.thimble(THREE_SIXTEENTHS)
    assert thimble is not None
    assert thimble.crown_to_sleeve == 32
    assert small.thimble(FOUR) is None
    cotter = small.cotter(Decimal(2))
    assert cotter is not None
    assert cotter.sku == "C-2"


@pytest.mark.parametrize(
    ("diameter", "sku"),
    [("4", "WK-SWAGE-A"), ("4.7625", "WK-SWAGE-B"), ("0.5", "WK-SWAGE-A"), ("4.001", "WK-SWAGE-B"), ("8", "WK-SWAGE-B")],
)
def test_labour_is_found_by_class_over_and_up_to(small: Catalogue, diameter: str, sku: str) -> None:
    row = small.labour("swage", Decimal(diameter))
    assert row is not None
    assert row.sku == sku


def test_labour_beyond_the_classes_is_not_found(small: Catalogue) -> None:
    assert small.labour("swage", Decimal("8.1")) is None


def test_times_are_minutes(small: Catalogue) -> None:
    assert [small.labour(name, FOUR).minutes for name in ("proof_pull", "tag")] == [15, Decimal("0.5")]  # type: ignore[union-attr]


def test_a_compiled_catalogue_can_be_kept_as_bytes(small: Catalogue) -> None:
    again = pickle.loads(pickle.dumps(small))  # noqa: S301  # our own bytes
    assert again.tables == small.tables
    assert again.article("W-4") == small.article("W-4")
