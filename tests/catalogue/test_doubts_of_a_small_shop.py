"""The tables of the smallest shop raise no doubt, nor does anything else that a careful shop writes; probable mistakes do."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from pricing.catalogue import load_catalogue
from pricing.catalogue.compiling import checked_sheets
from pricing.catalogue.plausibility import doubts_of, names, prices, sold_only
from pricing.catalogue.plausibility.examined import Examined
from pricing.costing.rates import price_table
from pricing.document import rendered
from pricing.measurement.assembly import Assembly, Boat, End, Measurement, QuoteRequest, WireSpec
from pricing.quote import make_quote

from .bench import DAY, bench

FIVE = WireSpec("1x19", Decimal(5), "5 mm", "316")
ONLY = "sku,name,family,unit,lacks"


def priced(*rows: tuple[str, str]) -> list[str]:
    return [f"{sku},each,{DAY},1,{price}" for sku, price in rows]


def test_the_smallest_shop_quotes(tmp_path: Path) -> None:
    tables = load_catalogue(bench(tmp_path / "bench"))
    measured = Measurement((Decimal(9000), Decimal(9000)), support="flat", rig_setting="everyday", resolution=Decimal(1))
    fork = End("fork", "swage", pin=Decimal(8))
    asked = QuoteRequest((Assembly("A", "pennant", FIVE, fork, fork, measured),), boat=Boat("Tern", Decimal(8400)))
    made = rendered(make_quote(asked, tables, price_table(tables), date(2026, 11, 25)))
    assert {"W5", "F5"} <= {line["sku"] for line in made["lines"]}


# What shops do, all of it at once: bulk prices of small parts, prices of years ago, a list that gives 5 % on wire and 40 % on fittings, a pallet after
# parcels, a long pin, things that are only sold. None of it is a slip; common practice, no source.
HONEST = {
    "prices": [
        f"C2,each,{DAY},100,0.12",
        "W4,m,2019-01-01,0,1.90",
        *priced(("P60", "6.90"), ("X1", "12.00"), ("X2", "17.00")),
    ],
    "price_lists": [f"trade,wire,{DAY},5", f"trade,fitting,{DAY},40"],
    "freight": [f"30 kg,1000 mm,25.00,{DAY}", f"100 kg,2000 mm,180.00,{DAY}"],
    "pins": ["P60,Pin 8 mm grip 60,8 mm,60 mm,14 mm,2 mm,40 kN,27 g"],
    "sold_only": [ONLY, "X1,Block 40,blocks,each,", "X2,Block 57,blocks,each,pin;hole"],
}


@pytest.mark.parametrize("more", [{}, HONEST], ids=["alone", "with what shops do"])
def test_a_small_honest_shop_is_asked_nothing(tmp_path: Path, more: dict[str, list[str]]) -> None:
    assert [str(doubt) for doubt in doubts_of(bench(tmp_path / "bench", **more))] == []


def examined(folder: Path, **more: list[str]) -> Examined:
    return Examined(checked_sheets(bench(folder, **more)))


GRIPS = (16, 24, 28, 32, 36, 40, 44, 48)


def pins(name: str, grip: int) -> dict[str, list[str]]:
    """Eight pins more that say their grip, and one of a name and a grip."""
    return {
        "pins": [
            *(f"P{each},Pin 8 mm grip {each},8 mm,{each} mm,14 mm,2 mm,40 kN,10 g" for each in GRIPS),
            f'P9,"{name}",8 mm,{grip} mm,14 mm,2 mm,40 kN,10 g',
        ],
        "prices": priced(*((f"P{each}", "4.50") for each in (*GRIPS, 9))),
    }


def wires(name: str, size: str) -> dict[str, list[str]]:
    """Eight wires more that say their diameter, and one of a name and a diameter."""
    rest = "0.2 mm,0 mm,14 kN,8 kg/100m,9.5 mm2,105 GPa,16 um/m/K,500 mm,4,for_stock"
    rows = [f"V{each},Wire {each} mm 1x19,1x19,316,{each} mm,{rest}" for each in (3, 6, 7, 8, 10, 12, 14, 16)]
    return {
        "wires": [*rows, f'V0,"{name}",1x19,316,{size},{rest}'],
        "prices": [f"V{each},m,{DAY},0,5.00" for each in (0, 3, 6, 7, 8, 10, 12, 14, 16)],
    }


@pytest.mark.parametrize("name", ["Wire 1x19", "Strand 1 x 19, 316", "Strand of 1×19", "Wire, 1.4401", "Strand 9 mm, 1x19"])
def test_a_name_that_says_no_size_contradicts_none(tmp_path: Path, name: str) -> None:
    """The 19 of 1x19 is a number of wires, 316 and 1.4401 are steels."""
    assert [str(doubt) for doubt in names.sizes_in_names(examined(tmp_path / "bench", **wires(name, "9 mm")))] == []


@pytest.mark.parametrize("name", ["Wire 9 mm 1x19", "Wire 9, 1x19", "Wire 3/8 in 1x19"])
def test_a_name_that_says_another_size_is_doubted(tmp_path: Path, name: str) -> None:
    """Also where the size, 19 mm, is that of the construction's number."""
    (doubt,) = names.sizes_in_names(examined(tmp_path / "bench", **wires(name, "19 mm")))
    assert doubt.name == "wires/V0/diameter/19-mm"


def test_a_size_of_another_column_is_not_taken_for_this_ones(tmp_path: Path) -> None:
    assert list(names.sizes_in_names(examined(tmp_path / "one", **pins("Long pin, 8 mm", 52)))) == []
    (doubt,) = names.sizes_in_names(examined(tmp_path / "two", **pins("Pin 8 mm grip 52", 25)))
    assert doubt.name == "pins/P9/grip/25-mm"


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        (f"C2,each,{DAY},100,0.08", "0.08 where"),  # less than a third
        (f"C2,each,{DAY},5,0.12", "0.12 where"),  # not in bulk
        (f"C2,each,{DAY},100,0.90", "0.9 where"),  # dearer in bulk
        ("C2,each,2025-01-01,1,0.12", "0.12 where"),  # 2.5 times in a year
    ],
)
def test_neither_bulk_nor_years_excuse_a_slip(tmp_path: Path, row: str, reason: str) -> None:
    (doubt,) = [each for each in prices.of_one_article(examined(tmp_path / "bench", prices=[row])) if "one of the two" in each.reason]
    assert doubt.reason.startswith(reason)


def test_a_discount_ten_times_too_small_is_doubted(tmp_path: Path) -> None:
    found = examined(tmp_path / "bench", price_lists=[f"trade,wire,{DAY},1.5", f"trade,fitting,{DAY},28"])
    assert [doubt.name for doubt in prices.discounts(found)] == [f"price_lists/trade/wire/{DAY}/percent/1.5"]


BLOCKS = [f"X{each},Block {each},blocks,each," for each in range(1, 10)]


@pytest.mark.parametrize(
    ("row", "price", "name", "reason"),
    [
        ("X0,X0,blocks,each,", "12.00", "sold_only/X0/name/X0", "is called 'X0'"),
        ("X0,4711,blocks,each,", "12.00", "sold_only/X0/name/4711", "is called '4711'"),
        ("X0,BLOCK  9,blocks,each,", "12.00", "sold_only/X0/name/BLOCK-9", "X0, X9 have all but the same name"),
        ("X0,Block,Blocks,each,", "12.00", "sold_only/X0/family/Blocks", "9 of 'blocks'"),
        ("X0,Block,blocks,each,", "1250.00", f"prices/X0/{DAY}/1/unit_price/1250.00", "'blocks' costs about 12"),
        ("X0,Block,blocks,each,pin;holle", "12.00", "sold_only/X0/lacks/pin;holle", "no table has a column holle"),
        ("X0,Block,shackles,each,", "1250.00", "", ""),  # a kind of its own
        ("X0,Block 9,shackles,each,", "12.00", "", ""),
    ],
)
def test_articles_that_are_only_sold_are_examined(tmp_path: Path, row: str, price: str, name: str, reason: str) -> None:
    rows = [*BLOCKS, row]
    money = priced(*((f"X{each}", "12.00") for each in range(1, 10)), ("X0", price))
    found = examined(tmp_path / "bench", sold_only=[ONLY, *rows], prices=money)
    checks = (sold_only.names, sold_only.families, sold_only.prices, sold_only.lacking, names.doubles, names.alike_names)
    doubts = [doubt for check in checks for doubt in check(found)]
    assert [doubt.name for doubt in doubts] == ([name] if name else [])
    assert all(reason in doubt.reason for doubt in doubts)


def test_many_articles_of_one_name_are_one_doubt(tmp_path: Path) -> None:
    rows = [f"X{each},Block,blocks,each," for each in range(9)]
    found = examined(tmp_path / "bench", sold_only=[ONLY, *rows], prices=priced(*((f"X{each}", "12.00") for each in range(9))))
    (doubt,) = sold_only.names(found)
    assert doubt.reason == "X1, X0 and 7 more have all but the same name"
