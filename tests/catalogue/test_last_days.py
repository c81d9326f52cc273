"""The last day on which an article is sold: an optional column of each table of articles except work, and successors of articles that end."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from pricing.catalogue import Catalogue, last_day, sold_on
from pricing.catalogue.compiling import checked_sheets
from pricing.catalogue.differences import differences
from pricing.catalogue.plausibility import doubts_of
from pricing.catalogue.selling import ENDING
from pricing.catalogue.tables import TABLES

from .conftest import Loft

LAST = date(2026, 12, 31)
CONES = "sku,name,constructions,wire_sizes,mass,source,until\nC-4,Cone,1x19,4 mm,2 g,invented for tests,{}\nC-5,Cone,1x19,4 mm,3 g,invented for tests,{}\n"


def column_added(loft: Loft, file: str, *cells: str) -> None:
    """The column `until` at the end, with these cells; blank ones after them."""
    header, *body = loft.table(file)
    filled = [*cells, *[""] * (len(body) - len(cells))]
    loft.write(file, [[*header, "until"], *([*row, cell] for row, cell in zip(body, filled, strict=True))])


def successor(loft: Loft, file: str, until: str, *, later: str = "", **cells: str) -> None:
    """The table's last row, sold until a day, and another after it that differs in these cells."""
    header, *body = loft.table(file)
    of_it = {**dict(zip(header, body[-1], strict=True)), **cells}
    loft.write(file, [[*header, "until"], *([*row, ""] for row in body[:-1]), [*body[-1], until], [*of_it.values(), later]])
    loft.add("prices.csv", sku=cells["sku"], unit="m" if file == "wires.csv" else "each", from_quantity="0" if file == "wires.csv" else "1")


def test_each_table_of_articles_but_work_may_have_last_days() -> None:
    assert set(ENDING) == {table.kind for table in TABLES if table.article} - {"labour"}


@pytest.mark.parametrize(
    ("text", "wrong"),
    [("2026-12-31", False), ("", False), ("2020-01-01", False), ("31.12.2026", True), ("2026-02-30", True), ("soon", True)],
)
def test_a_day_is_read_or_told_with_its_place(loft: Loft, text: str, wrong: bool) -> None:
    column_added(loft, "links.csv", "", text)
    if not wrong:
        assert loft.load().links("shackle")[0].until == (date.fromisoformat(text) if text else None)
        return
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column, fault.found, fault.expected) == ("links.csv", 3, "until", text, "a day as YYYY-MM-DD")


def test_the_day_counts_for_the_version_and_no_column_is_as_before(loft: Loft) -> None:
    before = loft.load()
    column_added(loft, "pins.csv")
    blank = loft.load()
    loft.cell("pins.csv", 2, "until", "2026-12-31")
    assert len({before.version, blank.version, loft.load().version}) == 3
    assert loft.load().price_version == before.price_version


def test_discontinued_articles_are_in_no_lookup_and_no_listing(loft: Loft) -> None:
    column_added(loft, "links.csv", "2026-12-31")
    catalogue = loft.load()
    after = sold_on(catalogue, LAST + timedelta(days=1))
    assert ([row.sku for row in catalogue.links("toggle")], after.links("toggle")) == (["L-T8"], ())
    assert (after.article("L-T8"), after.group("L-T8"), after.with_discontinued.article("L-T8")) == (None, None, catalogue.article("L-T8"))
    assert [row["sku"] for row in after.rows("links")] == ["L-S8"]
    assert [row["until"] for row in catalogue.rows("links")] == ["2026-12-31", None]
    assert after.rows("pins") == catalogue.rows("pins")
    assert (last_day(catalogue.article("L-T8")), last_day(catalogue.article("L-S8")), last_day(catalogue.article("WK-TAG"))) == (
        LAST,
        None,
        None,
    )


def test_tables_without_last_days_are_the_same_catalogue_on_every_day(small: Catalogue) -> None:
    assert sold_on(small, date.max) is small
    assert sold_on(small, date.min) is small


SUCCESSORS = [
    ("turnbuckle_bodies.csv", lambda catalogue: catalogue.body("open", "M8 x 1.25"), "B-M8"),
    ("cotters.csv", lambda catalogue: catalogue.cotter(catalogue.tables.cotters[0].diameter), "C-2"),
    ("thimbles.csv", lambda catalogue: catalogue.thimble(catalogue.tables.thimbles[0].wire_sizes[0]), "TH-316"),
    ("sleeves.csv", lambda catalogue: catalogue.sleeve("7x19", catalogue.tables.sleeves[0].wire_sizes[0]), "SL-316"),
    ("wires.csv", lambda catalogue: catalogue.wire(*wire_key(catalogue)), "W-316"),
]  # fmt: skip


def wire_key(catalogue: Catalogue):
    row = catalogue.wires["W-316"] if "W-316" in catalogue.wires else catalogue.wires["NEXT"]
    return row.construction, row.material, row.diameter


@pytest.mark.parametrize(("file", "found", "sku"), SUCCESSORS, ids=[file for file, _, _ in SUCCESSORS])
def test_a_successor_of_the_same_size_stands_beside_what_ends(loft: Loft, file: str, found, sku: str) -> None:
    successor(loft, file, "2026-12-31", sku="NEXT")
    catalogue = loft.load()
    assert [found(sold_on(catalogue, day)).sku for day in (LAST, LAST + timedelta(days=1))] == [sku, "NEXT"]


@pytest.mark.parametrize(("until", "later"), [("", ""), ("", "2026-12-31"), ("2026-12-31", "2026-12-31"), ("2026-12-31", "2026-06-30")])
def test_two_articles_of_one_size_are_reported_if_one_would_never_be_chosen(loft: Loft, until: str, later: str) -> None:
    successor(loft, "turnbuckle_bodies.csv", until, later=later, sku="NEXT")
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column) == ("turnbuckle_bodies.csv", 3, "body, thread")
    assert fault.expected == "a row of its own: line 2 has the same, and its last day is not before this one's"


@pytest.mark.parametrize(("first", "second", "good"), [("2026-12-31", "", True), ("", "", False), ("", "2026-12-31", False)])
def test_a_wire_has_one_cone_on_each_day(loft: Loft, first: str, second: str, good: bool) -> None:
    loft.path("cones.csv").write_text(CONES.format(first, second))
    for sku in ("C-4", "C-5"):
        loft.add("prices.csv", sku=sku, unit="each", from_quantity="1")
    if good:
        assert [sold_on(loft.load(), LAST + timedelta(days=more)).index.cone.popitem()[1].sku for more in (0, 1)] == ["C-4", "C-5"]
    else:
        assert (loft.fault().line, loft.fault().column) == (3, "wire_sizes")


def test_a_size_that_is_sold_under_two_numbers_is_one_size(loft: Loft) -> None:
    """Whoever gauges the wire is not asked which of the two it is; the one still sold stands for both."""
    successor(loft, "wires.csv", "2026-12-31", sku="NEXT")
    catalogue = loft.load()
    construction, material, _ = wire_key(catalogue)
    assert [row.sku for row in catalogue.wire_sizes(construction, material)] == ["W-316"]
    assert [row.sku for row in sold_on(catalogue, date(2027, 1, 1)).wire_sizes(construction, material)] == ["NEXT"]


def ended_of(loft: Loft) -> list[str]:
    return [doubt.name for doubt in doubts_of(loft.folder) if doubt.column == "until"]


def test_a_last_day_without_a_successor_of_that_family_and_size_is_doubted(loft: Loft) -> None:
    column_added(loft, "links.csv", "2026-12-31")
    (doubt,) = [each for each in doubts_of(loft.folder) if each.column == "until"]
    assert (doubt.name, doubt.line, doubt.found) == ("links/L-T8/until/2026-12-31", 2, "2026-12-31")
    assert "nothing of its family and size is sold longer" in doubt.reason


def test_an_end_with_a_successor_is_not_doubted_whether_past_or_future(loft: Loft) -> None:
    """P-8-20 spans what P-8-12 does, and not the other way round (pins.csv)."""
    column_added(loft, "pins.csv", "", "2020-01-01")
    assert ended_of(loft) == []
    loft.cell("pins.csv", 2, "until", "2020-01-01")
    assert ended_of(loft) == ["pins/P-8-20/until/2020-01-01", "pins/P-8-12/until/2020-01-01"]
    loft.cell("pins.csv", 2, "until", "2021-01-01")
    assert ended_of(loft) == ["pins/P-8-20/until/2021-01-01"]


def test_a_body_of_another_kind_is_not_a_successor(loft: Loft) -> None:
    header, body = loft.table("turnbuckle_bodies.csv")[:2]
    of_it = dict(zip(header, body, strict=True)) | {"sku": "TUBE", "body": "tubular", "name": "Tube"}
    loft.write("turnbuckle_bodies.csv", [[*header, "until"], [*body, "2026-12-31"], [*of_it.values(), ""]])
    loft.add("prices.csv", sku="TUBE", unit="each", from_quantity="1")
    assert ended_of(loft) == ["turnbuckle_bodies/B-M8/until/2026-12-31"]


def test_a_successor_of_the_same_name_is_not_a_duplicate(loft: Loft) -> None:
    successor(loft, "turnbuckle_bodies.csv", "2026-12-31", sku="NEXT")
    assert [doubt.name for doubt in doubts_of(loft.folder) if "NEXT" in doubt.name] == []
    assert ended_of(loft) == []


def test_a_new_last_day_is_a_changed_row_in_the_difference(loft: Loft) -> None:
    before = checked_sheets(loft.folder)
    column_added(loft, "links.csv", "", "2026-12-31")
    (found,) = differences(before, checked_sheets(loft.folder))
    assert (found.file, found.new, found.gone) == ("links.csv", (), ())
    ((row),) = found.changed
    assert (row.key, row.line) == ((("sku", "L-S8"),), 3)
    assert [(each.column, each.before, each.after, each.percent) for each in row.changes] == [("until", None, "2026-12-31", None)]
