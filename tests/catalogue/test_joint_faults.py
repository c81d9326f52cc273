"""A table's jaws and tongues are checked against each other by the engine's own model of joints; expected by hand from the small loft's
rows.

The loft has a fork and two jaws for an 8 mm pin, pins that span 12 and 20 mm, a toggle with an 8.4 mm inner hole, and none of the widths.
"""

from __future__ import annotations

import pytest

from pricing.catalogue import Catalogue

from .conftest import Loft


def widths(loft: Loft, file: str, **columns: str) -> None:
    """Add columns of a later release, with these cells in the first row and blank cells in the others."""
    header, first, *rest = loft.table(file)
    loft.write(file, [[*header, *columns], [*first, *columns.values()], *([*row, *("" for _ in columns)] for row in rest)])


def test_tables_without_widths_load_as_before(loft: Loft) -> None:
    found: Catalogue = loft.load()
    assert [(row.jaw, row.jaw_over, row.tongue) for row in found.links("toggle")] == [(10, None, None)]


def test_tables_without_widths_keep_the_version_that_they_had(loft: Loft) -> None:
    """As the engine before the widths named the same files."""
    assert loft.load().version == "a77b83cfdb8f1de3"


def test_a_jaw_that_no_pin_spans_is_reported(loft: Loft) -> None:
    """20 mm is the longest grip of an 8 mm pin; the fork is 21 mm over its cheeks."""
    widths(loft, "terminals.csv", jaw_over="21 mm")
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column, fault.found) == ("terminals.csv", 2, "jaw_over", "21 mm")
    assert "20 mm" in fault.expected


@pytest.mark.parametrize(("tongue", "faults"), [("10 mm", 0), ("10.5 mm", 2)])
def test_a_jaw_that_takes_no_tongue_of_its_pin_is_reported(loft: Loft, tongue: str, faults: int) -> None:
    """The fork is 10 mm inside. A toggle's tongue of 10 mm goes in, one of 10.5 does not: both rows are reported."""
    widths(loft, "terminals.csv", jaw_over="18 mm")
    widths(loft, "links.csv", tongue=tongue)
    if not faults:
        assert loft.load().terminals
    else:
        assert [(each.file, each.line, each.column) for each in loft.faults()] == [("terminals.csv", 2, "jaw"), ("links.csv", 2, "tongue")]


def test_a_jaw_narrower_over_its_cheeks_than_between_them_is_reported(loft: Loft) -> None:
    widths(loft, "terminals.csv", jaw_over="9 mm")
    assert (loft.fault().line, loft.fault().column) == (2, "jaw_over")


@pytest.mark.parametrize(
    ("slot", "wire", "reported"), [("8.5 mm", "3/16 in", False), ("7.5 mm", "3/16 in", True), ("7.5 mm", "4 mm", False)]
)
def test_a_backing_plate_whose_slot_does_not_take_its_tees_shank_is_reported(loft: Loft, slot: str, wire: str, reported: bool) -> None:
    """The loft's ball made a tee: its shank of 8 mm after swaging is for 3/16 in alone."""
    for column, cell in (("family", "tee"), ("ball", ""), ("slot", "")):
        loft.cell("terminals.csv", 4, column, cell)
    plates = f"sku,name,wire_sizes,thickness,slot,mass,source\nB-1,Plate,{wire},3 mm,{slot},20 g,invented for tests\n"
    loft.path("backing_plates.csv").write_text(plates)
    loft.add("prices.csv", sku="B-1", unit="each", from_quantity="1")
    if reported:
        assert [(each.file, each.line, each.column, each.found) for each in loft.faults()] == [("backing_plates.csv", 2, "slot", "7.5 mm")]
    else:
        assert len(loft.load().tables.backing_plates) == 1
