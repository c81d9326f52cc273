"""What each assembly costs: a boat worked out by hand, and sums that add up for any order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pricing.costing.shares import shares
from pricing.quoted_prices import prices_of
from tests.documents.quotes import CASES, case, fleet, none_ready, of_no_assembly


@dataclass
class Named:
    """A stand-in for an article, an assembly or an operation, with the attributes given."""

    sku: str = ""
    quantity: int = 1
    kept: bool = False
    assembly: Any = None


@dataclass
class Counted:
    """An assembly as counted: its quantity, wire, length in mm, parts and work."""

    many: int
    wire: Named
    cut: Decimal
    parts: tuple[Named, ...] = ()
    work: tuple[tuple[Named, Named], ...] = ()

    @property
    def built(self) -> Named:
        return Named(assembly=Named(quantity=self.many))


@dataclass
class Line:
    id: str
    sku: str
    rule: str
    net: Decimal
    group: str = "fitting"


@dataclass
class Priced:
    lines: tuple[Line, ...]
    currency: str = "USD"


def share_texts(counted: Sequence[Counted | None], lines: Sequence[Line], currency: str = "USD") -> list[str | None]:
    return [None if each is None else str(each) for each in shares(counted, lines, currency)]  # type: ignore[arg-type]


WIRE, FORK, PRESS = Named("wire"), Named("fork"), Named("press")
TWO = (
    Counted(2, WIRE, Decimal("3000.0"), (Named("fork", 2),), ((PRESS, Named(quantity=2)),)),
    None,
    Counted(1, WIRE, Decimal("4000.0"), (Named("fork", 1), Named("eye", 1, kept=True)), ((PRESS, Named(quantity=1)),)),
)
FORKS = Line("2", "fork", "articles", Decimal("50.01"))


def test_a_boat_by_hand() -> None:
    """Two of 3 m and one of 4 m, the middle one on hold.

    Wire 10 m, 30.00: 6/10 and 4/10, 18.00 and 12.00. Its scrap 1.01: 0.606 and 0.404. Three cuts, 0.10: two and one, 0.0667 and 0.0333.
    Forks 4 + 1, 50.00: 40.00 and 10.00. Pressing 4 + 1, 12.51: 10.008 and 2.502. Together 68.6807 and 24.9393, 93.62 in all: rounded down
    68.68 and 24.93, one cent is left and goes to the larger remainder, the second.
    """
    lines = (
        Line("1", "wire", "articles", Decimal("30.00")), Line("2", "fork", "articles", Decimal("50.00")),
        Line("3", "press", "articles", Decimal("12.51")), Line("4", "wire", "cut_allowance", Decimal("0.10")),
        Line("5", "wire", "scrap", Decimal("1.01")),
    )  # fmt: skip
    assert share_texts(TWO, lines) == ["68.68", None, "24.94"]


def test_a_boat_s_fittings_by_hand() -> None:
    """Forks 4 + 1, 50.01: 40.008 and 10.002, rounded down 40.00 and 10.00, the cent to the first.

    With an eye of the second for 20.00 beside them, 40.008 and 30.002: 40.01 and 30.00.
    """
    assert share_texts(TWO, [FORKS]) == ["40.01", None, "10.00"]
    eyed = (*TWO[:2], Counted(1, WIRE, Decimal(4000), (Named("fork", 1), Named("eye", 1))))
    assert share_texts(eyed, [FORKS, Line("3", "eye", "articles", Decimal("20.00"))]) == ["40.01", None, "30.00"]


def test_shares_of_fittings_come_from_fitting_lines_alone_each_rounded_by_itself() -> None:
    """Wire 10 m, 30.00: 18.00 and 12.00. Forks 50.01: 40.008 and 10.002. Together 58.008 and 22.002, 80.01 in all: 58.01 and 22.00.

    An assembly without a fitting has 0.00 of them: it is priced.
    """
    lines = (Line("1", "wire", "articles", Decimal("30.00"), "wire"), FORKS)
    bare = (*TWO, Counted(1, Named("other"), Decimal(1000)))
    found = prices_of(bare, Priced((*lines, Line("3", "other", "articles", Decimal("5.00"), "wire"))))  # type: ignore[arg-type]
    assert [None if each is None else (str(each.net), str(each.fittings)) for each in found] == [
        ("58.01", "40.01"), None, ("22.00", "10.00"), ("5.00", "0.00"),
    ]  # fmt: skip


def test_of_equal_remainders_the_first_gets_the_cent() -> None:
    """1.00 over three alike is 0.33 each and one cent over."""
    alike = [Counted(1, WIRE, Decimal(1000))] * 3
    assert share_texts(alike, [Line("1", "wire", "articles", Decimal("1.00"))]) == ["0.34", "0.33", "0.33"]


def test_the_minor_unit_is_the_currencys() -> None:
    """ISO 4217: JPY has none, KWD three digits. 100 over three is 34, 33, 33; 0.100 over three 0.034, 0.033, 0.033."""
    alike = [Counted(1, WIRE, Decimal(1000))] * 3
    assert share_texts(alike, [Line("1", "wire", "articles", Decimal(100))], "JPY") == ["34", "33", "33"]
    assert share_texts(alike, [Line("1", "wire", "articles", Decimal("0.100"))], "KWD") == ["0.034", "0.033", "0.033"]


def test_a_line_of_no_assembly_is_not_lost_silently() -> None:
    with pytest.raises(LookupError, match="paint"):
        share_texts(TWO, [Line("1", "paint", "articles", Decimal(1))])


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 400_000), st.integers(0, 9)), min_size=1, max_size=30),
    st.lists(st.integers(0, 10**7), min_size=3, max_size=3),
)
def test_shares_add_up_and_none_is_a_cent_off(sizes: list[tuple[int, int, int]], nets: list[int]) -> None:
    """Exact shares by fractions, and each within one minor unit of its own."""
    from fractions import Fraction

    counted = [Counted(many, WIRE, Decimal(tenths) / 10, (Named("fork", forks),) if forks else ()) for many, tenths, forks in sizes]
    lines = [Line("1", "wire", "articles", Decimal(nets[0]) / 100), Line("2", "wire", "cut_allowance", Decimal(nets[1]) / 100)]
    if any(forks for _, _, forks in sizes):
        lines.append(Line("3", "fork", "articles", Decimal(nets[2]) / 100))
    made = shares(counted, lines, "USD")  # type: ignore[arg-type]
    assert sum(each for each in made if each is not None) == sum(line.net for line in lines)
    weights = [[many * tenths for many, tenths, _ in sizes], [many for many, _, _ in sizes], [many * forks for many, _, forks in sizes]]
    for place, each in enumerate(made):
        exact = sum(Fraction(line.net) * Fraction(of[place], sum(of)) for line, of in zip(lines, weights, strict=False))
        assert each is not None
        assert abs(Fraction(each) - exact) < Fraction(1, 100)


@pytest.mark.parametrize("name", [name for name in CASES if name not in ("first release", "a charge on a line")])
def test_the_shares_of_a_quote_and_its_charges_are_its_total_before_tax(name: str) -> None:
    document = case(name)
    priced = [each["price"] for each in document["assemblies"]]
    assert [each is None for each in priced] == [each["readiness"] == "hold" for each in document["assemblies"]]
    net = sum(Decimal(each["net"]) for each in priced if each)
    charges = sum(Decimal(each["amount"]) for each in document["charges"])
    by_hand = sum(Decimal(each["net"]) for each in document["lines"] if of_no_assembly(each))
    off = sum(Decimal(each["amount"]) for each in document["allowances"])
    assert net + by_hand == Decimal(document["totals"]["lines"])
    assert net + by_hand - off + charges == Decimal(document["totals"]["tax_exclusive"])


@pytest.mark.parametrize("name", [name for name in CASES if name != "first release"])
def test_the_shares_of_fittings_are_the_lines_for_fittings(name: str) -> None:
    document = case(name)
    shares_of_them = [Decimal(each["price"]["fittings"]) for each in document["assemblies"] if each["price"]]
    assert sum(shares_of_them) == sum(Decimal(each["net"]) for each in document["lines"] if each["group"] == "fitting")


def test_nothing_ready_has_no_price() -> None:
    assert {each["price"] for each in none_ready()["assemblies"]} == {None}
    assert any(each["price"] is None for each in fleet(8)["assemblies"])
