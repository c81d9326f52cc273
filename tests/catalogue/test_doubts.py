"""Cells that can be read but are hardly meant: each is a doubt, named by its row and value, until it is mended or accepted by that name."""

from __future__ import annotations

from datetime import date

from pricing.catalogue import DEMO_FOLDER
from pricing.catalogue.plausibility import doubts_of, examine, with_accepted

from .conftest import Loft


def test_the_demo_tables_leave_no_doubt_open() -> None:
    assert doubts_of(DEMO_FOLDER) == ()


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


def test_accepting_counts_towards_no_version(loft: Loft) -> None:
    before = loft.load()
    loft.path("accepted_doubts.csv").write_text(with_accepted("", ["any"], "Ada", date(2026, 5, 4)), encoding="utf-8")
    after = loft.load()
    assert (before.version, before.price_version) == (after.version, after.price_version)
