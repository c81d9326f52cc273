"""Cells that can be read but are probably mistakes: each is a doubt, named by its row and value, until it is corrected or accepted by that name."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.catalogue.plausibility import doubts_in, doubts_of, examine, with_accepted
from pricing.catalogue.reading import Sheets
from pricing.errors import Doubt

from .conftest import Loft
from .honest import demo, written


def test_the_demo_tables_leave_no_doubt_open(demo_sheets: Sheets) -> None:
    assert doubts_in(demo_sheets) == ()


def test_a_share_where_a_percentage_is_meant_is_doubted(loft: Loft) -> None:
    loft.cell("tax.csv", 2, "rate", "0.19")
    (doubt,) = [each for each in doubts_of(loft.folder) if each.file == "tax.csv"]
    assert doubt.name == "tax/wire/2026-01-01/rate/0.19"
    assert (doubt.line, doubt.column, doubt.found) == (2, "rate", "0.19")
    assert "19 %" in doubt.expected


def test_what_was_accepted_by_name_is_not_asked_again_but_another_value_is(loft: Loft) -> None:
    loft.cell("tax.csv", 2, "rate", "0.19")
    name = "tax/wire/2026-01-01/rate/0.19"
    loft.path("accepted_doubts.csv").write_text(with_accepted("", [name], "Ada", date(2026, 5, 4), "so it is, here"), encoding="utf-8")
    found = examine(loft.folder)
    assert name not in {doubt.name for doubt in found.open}
    assert name in {doubt.name for doubt in found.accepted}
    loft.cell("tax.csv", 2, "rate", "0.20")
    found = examine(loft.folder)
    assert "tax/wire/2026-01-01/rate/0.20" in {doubt.name for doubt in found.open}
    assert [(row.doubt, row.by, row.words) for row in found.stale] == [(name, "Ada", "so it is, here")]


def test_accepting_a_doubt_changes_no_version(loft: Loft) -> None:
    before = loft.load()
    loft.path("accepted_doubts.csv").write_text(with_accepted("", ["any"], "Ada", date(2026, 5, 4)), encoding="utf-8")
    after = loft.load()
    assert (before.version, before.price_version) == (after.version, after.price_version)


# A slip that a shop made or could make, and what its doubt must say: (table, sku or key) -> column, what is written, words of the reason.
SLIPS: Mapping[tuple[str, str], tuple[str, str, tuple[str, ...]]] = {
    ("terminals", "FORK-SW-5MM"): ("reach", "56 in", ("1.42 m", "forks", "5 mm wire")),  # inches for millimetres: the wire would be cut 1.35 m short
    ("terminals", "EYE-SW-6MM"): ("mass", "50 kg", ("50 kg", "eyes")),  # kilograms for grams
    ("terminals", "STUD-SW-5-16IN-8MM-5-8UNF-RH"): ("break", "9 kN", ("9 kN",)),  # pounds of force in hundreds, or a digit lost
    ("wires", "WIRE-7X19-CB-1-4IN"): ("break", "6400 kN", ("wires 7x19",)),  # 6400 lbf by AC 43.13-1B table 7-3
    ("wires", "WIRE-7X19-316-5MM"): ("metallic", "19.63 mm2", ("19.6 mm2",)),  # the whole circle instead of 133/225 of it
    ("screws", "SCREW-FORK-M8-RH"): ("runout", "190 mm", ("190 mm", "thread of 8 mm")),  # a digit too many
    ("turnbuckle_bodies", "BODY-OPEN-3-8UNF"): ("safe_engagement", "3/8 mm", ("0.375 mm", "bodies")),
    ("threads", "M10 x 1.5"): ("pitch", "1.25 mm", ("M10 x 1.5 says 1.5 mm",)),
    ("pins", "PIN-8MM-G11MM"): ("head", "41 mm", ("41 mm", "8 mm")),  # ISO 2341: 14 mm
    ("thimbles", "THIMBLE-5MM"): ("groove_radius", "20.0 mm", ("20 mm", "5 mm wire")),  # the diameter for the radius
    ("labour", "WORK-SWAGE-C"): ("time", "8 h", ("480 min",)),
    ("tax", "wire"): ("rate", "0.19", ("percentage",)),
    ("terms", "tolerance"): ("value", "30", ("30 mm",)),
    ("freight", "10 kg 700 mm"): ("price", "2.20", ()),
    ("spools", "1X19-316-4MM-100M"): ("price", "14.63", ()),
}  # fmt: skip


def _cell(tables: dict[str, list[dict[str, str]]], table: str, key: str, column: str, text: str) -> None:
    keys = {"threads": ("designation",), "tax": ("group",), "terms": ("key",), "freight": ("up_to_mass", "up_to_coil"), "spools": ("id",)}
    (row,) = [row for row in tables[table] if " ".join(row[name] for name in keys.get(table, ("sku",))) == key]
    row[column] = text


@pytest.fixture(scope="module")
def slipped(tmp_path_factory: pytest.TempPathFactory) -> tuple[Doubt, ...]:
    """The doubts of the demo tables with all of these slips."""
    tables = demo()
    for (table, key), (column, text, _) in SLIPS.items():
        _cell(tables, table, key, column, text)
    for row in tables["growths"]:  # the shank of the 5 mm fork gives 12.6 mm at most on 1x19 (test below), the table said 45
        if (row["terminal"], row["construction"]) == ("FORK-SW-5MM", "1x19"):
            row["growth"] = "45 mm"
    for row in tables["prices"]:
        if (row["sku"], row["from_day"], row["from_quantity"]) == ("EYE-CO-5MM", "2026-07-01", "1"):
            row["unit_price"] = f"{50 * float(row['unit_price']):.2f}"
    return doubts_of(written(tables, tmp_path_factory.mktemp("slipped") / "tables"))


@pytest.mark.parametrize(("where", "slip"), SLIPS.items(), ids=[" ".join(where) for where in SLIPS])
def test_a_slip_is_doubted_in_its_own_cell_and_in_words(
    slipped: tuple[Doubt, ...], where: tuple[str, str], slip: tuple[str, str, tuple[str, ...]]
) -> None:
    (table, key), (column, text, words) = where, slip
    found = [doubt for doubt in slipped if (doubt.file, doubt.column, doubt.found) == (f"{table}.csv", column, text)]
    assert len(found) == 1, (key, [doubt.name for doubt in slipped if doubt.file == f"{table}.csv"])
    assert found[0].line > 1
    assert all(word in found[0].reason for word in words), found[0].reason


def test_a_growth_is_held_to_what_the_shank_gives(slipped: tuple[Doubt, ...]) -> None:
    # by hand from the row: 44.2 mm swaged, 9.5 mm over a bore of 5.3 mm, 8.3 mm after, and 19/25 of the 5 mm wire's circle, if drawn together
    row = next(row for row in load_catalogue(DEMO_FOLDER).tables.terminals if row.sku == "FORK-SW-5MM")
    length, before, bore, after = (float(size or 0) for size in (row.swaged_length, row.shank_before, row.bore, row.shank_after))
    given = length * ((before**2 - bore**2 + 19 / 25 * 25) / after**2 - 1)
    (doubt,) = [doubt for doubt in slipped if doubt.file == "growths.csv"]
    assert (doubt.name, doubt.column) == ("growths/FORK-SW-5MM/1x19/5-mm/growth/45-mm", "growth")
    assert f"give {given:.1f} mm at most" in doubt.reason


def test_a_price_fifty_times_too_high_is_doubted_beside_the_articles_other_rows(slipped: tuple[Doubt, ...]) -> None:
    (doubt,) = [doubt for doubt in slipped if doubt.file == "prices.csv" and "/EYE-CO-5MM/" in doubt.name]
    assert "the other rows of EYE-CO-5MM have" in doubt.reason


def test_nothing_else_is_doubted_for_these_slips(slipped: tuple[Doubt, ...]) -> None:
    slipped_cells = {(f"{table}.csv", column) for (table, _), (column, *_) in SLIPS.items()} | {
        ("growths.csv", "growth"),
        ("prices.csv", "unit_price"),
    }
    assert [doubt.name for doubt in slipped if (doubt.file, doubt.column) not in slipped_cells] == []


def test_a_family_wrong_by_one_factor_is_caught_by_typical_values(tmp_path: Path) -> None:
    """Every fork in inches for millimetres: no neighbour tells, the bounds do."""
    tables = demo()
    forks = [row for row in tables["terminals"] if row["family"] == "fork" and row["reach"].endswith("mm")]
    for row in forks:
        row["reach"] = row["reach"].replace("mm", "in")
    found = {doubt.name.split("/")[1] for doubt in doubts_of(written(tables, tmp_path / "tables")) if doubt.column == "reach"}
    assert found == {row["sku"] for row in forks}


def test_prices_are_compared_with_the_edition_in_force(loft: Loft) -> None:
    before = loft.load()
    table = loft.table("prices.csv")
    loft.write("prices.csv", [table[0], *([*row[:4], f"{float(row[4]) * 2.5:.2f}", row[5]] for row in table[1:])])
    found = [doubt for doubt in doubts_of(loft.folder, before) if doubt.file == "prices.csv"]
    assert len(found) == len(table) - 1
    assert all("the edition in force has" in doubt.reason for doubt in found)
    assert not [doubt for doubt in doubts_of(loft.folder) if "in force" in doubt.reason]


@pytest.mark.parametrize(
    ("file", "cells", "column", "reason"),
    [
        ("pins.csv", {"sku": "P-OTHER", "name": "Another pin"}, "grip", ""),
        ("terminals.csv", {"sku": "T-TWIN", "name": "Twin"}, "sku", "alike in every dimension"),
        ("terminals.csv", {"sku": "T-TWIN", "name": "ball ", "mass": "51 g"}, "name", "all but the same name"),
    ],
)
def test_duplicates_are_named(loft: Loft, file: str, cells: dict[str, str], column: str, reason: str) -> None:
    loft.add(file, **cells)
    if not reason:
        assert {fault.column for fault in loft.faults()} == {"diameter, grip", "sku"}  # the same key refuses, and it has no price
        return
    loft.add("prices.csv", sku=cells["sku"])
    assert any(doubt.column == column and reason in doubt.reason for doubt in doubts_of(loft.folder))


def test_a_thread_that_no_body_takes_and_a_lonely_odd_pin_are_doubted(tmp_path: Path) -> None:
    tables = demo()
    tables["turnbuckle_bodies"] = [row for row in tables["turnbuckle_bodies"] if row["thread"] != "M8 x 1.25"]
    skus = {row["sku"] for row in demo()["turnbuckle_bodies"]} - {row["sku"] for row in tables["turnbuckle_bodies"]}
    for kind in ("prices", "purchases"):
        tables[kind] = [row for row in tables[kind] if row["sku"] not in skus]
    link = next(row for row in tables["links"] if row["sku"] == "LINK-SHACKLE-16MM")
    pin = next(row for row in tables["pins"] if row["diameter"] == "16 mm")
    link["pin"] = "17 mm"
    link["hole"] = "17.4 mm"
    tables["pins"].append({**pin, "sku": "PIN-17", "name": "Clevis pin 17 mm, grip 60 mm", "diameter": "17 mm", "grip": "60 mm"})
    tables["prices"].append({**tables["prices"][0], "sku": "PIN-17", "unit": "each", "from_quantity": "1", "unit_price": "9.00"})
    reasons = [doubt.reason for doubt in doubts_of(written(tables, tmp_path / "tables"))]
    assert any("no body of the tables has M8 x 1.25" in reason for reason in reasons)
    assert any("has a pin of 17 mm" in reason for reason in reasons)
