"""What to buy, computed by hand: packs, spools as the plan buys them, low stock, days, and nothing left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from pricing.catalogue import Catalogue, load_catalogue
from pricing.cutting import Limits
from pricing.errors import RequestError
from pricing.purchasing import wire as wire_room
from pricing.purchasing.needed import Needed, Part, QuoteToBuy
from pricing.purchasing.wire import Reels, WireNeed, wire_needs
from pricing.rows import Spool, StockRow
from pricing.stock.pieces import LeftOut, QuoteToPlan, WantedPieces
from pricing.wording import voice_for
from tests.catalogue.conftest import SMALL
from tests.costing.shop import JULY, build
from tests.purchasing.offers import TODAY, D, metres, offer, pieces, suppliers

SOURCE = "invented test data"
REEL = offer("W-4", "North Wire", "NW-100", metres("100"), "2.00", lead_time_days=12)
LONG = offer("W-4", "North Wire", "NW-250", metres("250"), "1.90", lead_time_days=12)
FORK = offer("FORK", "Sea Fittings", "SF-1", pieces(10), "4.00", lead_time_days=7)


@pytest.fixture(scope="module")
def small() -> Catalogue:
    """A small loft's tables."""
    return load_catalogue(SMALL)


def quote(*parts: Part, number: str = "Q-2026-000001", ready_by: date | None = None, left_out: tuple[LeftOut, ...] = ()) -> QuoteToBuy:
    plan = QuoteToPlan("id", number, 1, "Wagtail", "EUR", "metric", (), (), left_out)
    return QuoteToBuy(plan, parts, ready_by)


def bought(small: Catalogue, *offers: Any, quotes: Any = (), needs: Any = (), shelf: Any = ()) -> Any:
    return Needed(quotes, needs, shelf, small.wires, suppliers(*offers), TODAY, voice_for("en", "metric", "shop")).document()


def row(length: str, kind: str = "opened", count: int = 1) -> StockRow:
    return StockRow(f"{kind}-{length}", "W-4", kind, D(length) * 1000, None, D("2.00"), count, None, SOURCE)


def test_parts_of_all_quotes_are_added_up_and_ordered_in_whole_packs(small: Catalogue) -> None:
    """Seven and four forks are eleven: two packs of ten, 20 at 4.00 are 80.00; promised for 11 December, seven days before is the 4th."""
    quotes = [
        quote(Part("FORK", "Fork", 7), ready_by=date(2026, 12, 18)),
        quote(Part("FORK", "Fork", 4), number="Q-2026-000002", ready_by=date(2026, 12, 11)),
    ]
    (order,) = bought(small, FORK, quotes=quotes)["suppliers"]
    (line,) = order["lines"]
    assert (line["needed"], line["packs"], line["quantity"], line["cost"], order["cost"]) == ("11", 2, "20", "80.00", "80.00")
    assert (line["needed_by"], line["order_by"], line["late"]) == ("2026-12-11", "2026-12-04", False)
    assert (line["quotes"], line["reasons"], line["off_shelf"]) == (["Q-2026-000001", "Q-2026-000002"], ["quotes"], None)


def test_a_day_to_order_by_that_has_passed_is_reported(small: Catalogue) -> None:
    (order,) = bought(small, FORK, quotes=[quote(Part("FORK", "Fork", 1), ready_by=date(2026, 12, 1))])["suppliers"]
    assert (order["lines"][0]["order_by"], order["lines"][0]["late"]) == ("2026-11-24", True)
    (order,) = bought(small, FORK, quotes=[quote(Part("FORK", "Fork", 1), ready_by=date(2026, 12, 2))])["suppliers"]
    assert order["lines"][0]["late"] is False  # today


def test_articles_without_a_supplier_are_a_group_of_their_own(small: Catalogue) -> None:
    found = bought(small, quotes=[quote(Part("FORK", "Fork", 3))], needs=[WireNeed("W-4", "Strand", D(9), reels=(Reels(D(100), 1, D(9)),))])
    assert found["suppliers"] == []
    assert {each["sku"]: (each["to_buy"], each["reels"]) for each in found["without_supplier"]} == {
        "FORK": ("3", []),
        "W-4": ("100.000", [{"metres": "100.000", "count": 1}]),
    }


def test_reels_are_ordered_as_the_plan_buys_them(small: Catalogue) -> None:
    """Two of 100 m at 2.00 and one of 250 m at 1.90: 400.00 and 475.00."""
    need = WireNeed("W-4", "Strand", D(320), reels=(Reels(D(100), 2, D(99)), Reels(D(250), 1, D(140))), quotes=("Q-2026-000001",))
    (order,) = bought(small, REEL, LONG, needs=[need])["suppliers"]
    assert [(each["order_number"], each["packs"], each["cost"], each["note"]) for each in order["lines"]] == [
        ("NW-100", 2, "400.00", None),
        ("NW-250", 1, "475.00", None),
    ]
    assert order["cost"] == "875.00"


def test_a_shorter_reel_that_would_do_is_named(small: Catalogue) -> None:
    """Nine metres go on 100 m for 200.00, too; the plan takes 250 m for 475.00, since the remnant is worth its cost to the shop."""
    need = WireNeed("W-4", "Strand", D(9), reels=(Reels(D(250), 1, D(9)),))
    (order,) = bought(small, REEL, LONG, needs=[need])["suppliers"]
    (line,) = order["lines"]
    assert line["order_number"] == "NW-250"
    assert "100.000 m, too: NW-100, for 200.00" in line["note"]


def test_a_length_that_the_supplier_does_not_sell_is_bought_in_another_and_reported(small: Catalogue) -> None:
    """One reel of 152.4 m is planned with: two of 100 m hold as much."""
    need = WireNeed("W-4", "Strand", D(140), reels=(Reels(D("152.4"), 1, D(140)),))
    (order,) = bought(small, REEL, needs=[need])["suppliers"]
    (line,) = order["lines"]
    assert (line["packs"], line["quantity"]) == (2, "200.000")
    assert "counts on 152.400 m" in line["note"]


def test_wire_that_runs_low_is_ordered_once_the_quotes_are_cut(small: Catalogue) -> None:
    """60 m are on the shelf, 40 m are cut from an opened spool of 50 m, of which 9.9 m are kept: 60 - 50 + 9.9 = 19.9 m, 5.1 below 25."""
    low = replace(REEL, reorder_below=metres("25"))
    need = WireNeed("W-4", "Strand", D(40), off_shelf=D(40), gone=D(50), kept=D("9.9"), quotes=("Q-2026-000001",))
    found = bought(small, low, needs=[need], shelf=[row("50"), row("10", "offcut")])
    (wire,) = found["wires"]
    assert (wire["on_shelf"], wire["left"], wire["reorder_below"], wire["low"]) == ("60.000", "19.900", "25.000", True)
    (line,) = found["suppliers"][0]["lines"]
    assert (line["reasons"], line["packs"], line["needed_by"]) == (["low_stock"], 1, None)
    assert bought(small, low, needs=[replace(need, kept=D(15))], shelf=[row("50"), row("10", "offcut")])["suppliers"] == []  # 25 m are left


def test_a_watched_wire_that_no_quote_needs_is_ordered_too(small: Catalogue) -> None:
    low = replace(REEL, reorder_below=metres("120"))
    found = bought(small, low, shelf=[row("10", "new", 2)])
    (line,) = found["suppliers"][0]["lines"]
    assert (line["needed"], line["packs"], found["wires"][0]["left"]) == ("0.000", 1, "20.000")
    empty = bought(small, low)
    assert empty["suppliers"][0]["lines"][0]["packs"] == 2  # 120 m are two reels of 100


def test_wire_sold_by_the_metre_reduces_what_is_left_on_the_shelf(small: Catalogue) -> None:
    """Of 60 m on the shelf 20 are sold: 40 are left. Of 10 m none are, and ten more are bought."""
    sold = [quote(Part("W-4", "Strand", D(20), "m"), ready_by=date(2026, 12, 18))]
    found = bought(small, REEL, quotes=sold, shelf=[row("60")])
    assert (found["suppliers"], found["wires"][0]["left"], found["wires"][0]["needed"]) == ([], "40.000", "20.000")
    (line,) = bought(small, REEL, quotes=sold, shelf=[row("10")])["suppliers"][0]["lines"]
    assert (line["reasons"], line["packs"], line["needed"], line["order_by"]) == (["quotes"], 1, "20.000", "2026-12-06")
    lost = bought(small, quotes=sold)["without_supplier"]
    assert [(each["sku"], each["to_buy"]) for each in lost] == [("W-4", "20.000")]


def test_pieces_without_a_place_and_pieces_that_may_not_be_cut_are_named(small: Catalogue) -> None:
    gone = WireNeed("OLD", "OLD", D(3), no_place=(wire_room.NoPlace("Q-2026-000001", "BACK", D(3000), 1, "unknown_wire"),))
    asks = quote(left_out=(LeftOut("Q-2026-000001", "FORE", 2, "not_ready"),))
    found = bought(small, quotes=[asks], needs=[gone])
    assert [(each["label"], each["reason"]) for each in found["without_a_place"]] == [("BACK", "unknown_wire")]
    assert "quote the boat again" in found["without_a_place"][0]["message"]
    assert [(each["label"], each["quantity"]) for each in found["left_out"]] == [("FORE", 2)]


def planned(*wanted: WantedPieces) -> QuoteToPlan:
    return QuoteToPlan("id", "Q-2026-000001", 1, None, "EUR", "metric", wanted, ())


def piece(length: str, sku: str = "W-4", quantity: int = 1) -> WantedPieces:
    return WantedPieces(sku, D(length) * 1000, quantity, "FORE", quote="Q-2026-000001")


def test_wire_on_the_shelf_is_used_before_anything_is_bought(small: Catalogue) -> None:
    """Allowance 25 mm per cut; wire on the shelf is valued at 1.00 a metre, a new spool at 2.00. The 9 m come off the opened 10 m for 10.00 and
    2.00 for taking it up, less than 18.05 off the new spool; of 5 m none of the two offcuts of 3 m holds any: a spool is bought for it.
    """
    rates = replace(build().at(JULY), spools=(Spool("S", "W-4", D(100_000), D("200.00"), JULY, SOURCE),))
    shelf = tuple(replace(each, price_per_metre=D("1.00")) for each in (row("10"), row("3", "offcut", 2)))
    (need,) = wire_needs([planned(piece("9"), piece("5"))], small, rates, shelf, Limits(first_rung_only=True))
    assert (need.needed, need.off_shelf, need.gone) == (14, 9, 10)
    assert need.reels == (Reels(D(100), 1, D("5.025")),)
    assert need.kept == D("94.975")  # the 0.975 m left of the opened spool are less than the shop keeps


def test_a_wire_that_is_no_longer_sold_does_not_stop_the_rest(small: Catalogue) -> None:
    rates = replace(build().at(JULY), spools=())
    held, gone = wire_needs([planned(piece("9"), piece("2", "OLD"))], small, rates, (row("10"),), Limits(first_rung_only=True))
    assert (held.sku, held.off_shelf, gone.sku) == ("W-4", 9, "OLD")
    assert [(each.reason, each.quantity) for each in gone.no_place] == [("unknown_wire", 1)]


def test_more_pieces_than_are_planned_at_once_are_refused(small: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wire_room, "MOST_PIECES", 3)
    with pytest.raises(RequestError, match="at most 3 pieces are planned at once: name fewer quotes"):
        wire_needs([planned(piece("1", quantity=4))], small, build().at(JULY), (), Limits(first_rung_only=True))
