"""Folders from before a table or column existed: they load, and keep the version that quotes were made with. Then the new ones, filled
in."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.catalogue.reading import read_sheet
from pricing.catalogue.tables import TABLES
from pricing.catalogue.versions import version_of

from .conftest import Loft

D = Decimal
LATER = [table for table in TABLES if table.later]
GROWN = [table for table in TABLES if any(column.later for column in table.columns) and not table.later]
GROWTHS = "terminal,construction,wire_size,growth,growth_u,source\nT-BALL,7x19,3/16 in,6.2 mm,0.3 mm,invented for tests\n"
CONES = "sku,name,constructions,wire_sizes,mass,source\nC-4,Cone,1x19,4 mm,2 g,invented for tests\n"


def column_added(loft: Loft, file: str, **cells: str) -> None:
    """New columns at the end, the same in every row."""
    header, *body = loft.table(file)
    loft.write(file, [header + list(cells), *(row + list(cells.values()) for row in body)])


@pytest.mark.parametrize("table", LATER, ids=lambda table: table.file)
def test_a_folder_without_a_later_table_is_good_and_has_no_rows_of_it(loft: Loft, table) -> None:
    loft.path(table.file).unlink(missing_ok=True)
    assert getattr(loft.load().tables, table.kind) == ()


@pytest.mark.parametrize("table", GROWN, ids=lambda table: table.file)
def test_a_file_without_later_columns_keeps_the_version_that_it_had(loft: Loft, table) -> None:
    later = {column.name for column in table.columns if column.later}
    header, *body = loft.table(table.file)
    keep = [at for at, name in enumerate(header) if name not in later]
    loft.write(table.file, [[row[at] for at in keep] for row in (header, *body)])
    of_before = replace(table, columns=tuple(column for column in table.columns if column.name not in later), rules=(), orders=())
    assert version_of([read_sheet(loft.folder, table)]) == version_of([read_sheet(loft.folder, of_before)])
    rows = getattr(loft.load().tables, table.kind)
    assert {getattr(row, column.target) for row in rows for column in table.columns if column.later} == {None}


def test_a_later_column_that_is_there_counts_for_the_version(loft: Loft) -> None:
    before = loft.load().version
    column_added(loft, "turnbuckle_bodies.csv", boss="6 mm")
    assert loft.load().version != before
    assert loft.load().tables.turnbuckle_bodies[0].boss == D(6)


def test_a_misspelled_later_table_is_reported(loft: Loft) -> None:
    loft.path("growth.csv").write_text(GROWTHS)
    assert (loft.fault().file, loft.fault().found) == ("growth.csv", "a file that is no table")


def test_a_growth_is_found_by_terminal_construction_and_size(loft: Loft) -> None:
    loft.path("growths.csv").write_text(GROWTHS)
    found = loft.load().growth("T-BALL", "7x19", D("4.7625"))
    assert found is not None
    assert (found.growth, found.growth_u) == (D("6.2"), D("0.3"))
    assert loft.load().growth("T-BALL", "1x19", D("4.7625")) is None


@pytest.mark.parametrize(
    ("old", "new", "column"),
    [("T-BALL", "T-NONE", "terminal"), ("T-BALL", "T-STUD", "terminal"), ("7x19", "7x7", "wire_size"), ("3/16 in", "4 mm", "wire_size")],
)
def test_a_growth_of_no_swaged_terminal_or_of_a_wire_that_it_does_not_take_is_reported(loft: Loft, old: str, new: str, column: str) -> None:
    loft.path("growths.csv").write_text(GROWTHS.replace(old, new))
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column) == ("growths.csv", 2, column)


def test_a_wire_has_one_cone(loft: Loft) -> None:
    loft.path("cones.csv").write_text(CONES + CONES.splitlines()[1].replace("C-4", "C-5") + "\n")
    loft.add("prices.csv", sku="C-4", unit="each", from_quantity="1")
    loft.add("prices.csv", sku="C-5", unit="each", from_quantity="1")
    assert (loft.fault().file, loft.fault().line) == ("cones.csv", 3)


@pytest.mark.parametrize(("cells", "column"), [({"cotter_hole": "2 mm"}, "cotter_at"), ({"cotter_at": "3 mm"}, "cotter_hole")])
def test_a_cotter_hole_has_a_place(loft: Loft, cells: dict[str, str], column: str) -> None:
    column_added(loft, "screws.csv", **{"cotter_hole": "", "cotter_at": "", **cells})
    assert {(fault.file, fault.column) for fault in loft.faults()} == {("screws.csv", column)}
