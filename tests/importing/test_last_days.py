"""Last days in a shop's list: a column of them, a column of the first day without the article, and a status that names a day; shown as guessed, never applied silently."""

from __future__ import annotations

from pathlib import Path

import pytest

from pricing.importing.convert import day_before, last_day_in
from pricing.importing.grid import Unreadable
from pricing.importing.mapping import SheetMapping, ShopMapping, read_mapping, written
from pricing.importing.merging import Choice, merged

from .running import run, small_folder
from .test_bad_input import read, text

HEAD = ["sku", "name", "diameter", "length", "mass g"]
COTTER = ["C-1", "Cotter", "2 mm", "20 mm", "4"]


@pytest.mark.parametrize(
    ("header", "target", "written_as", "until"),
    [
        ("until", "until", "2026-12-31", "2026-12-31"),
        ("Last day", "until", "31.12.2026", "2026-12-31"),
        ("lieferbar bis", "until", "31.12.2026", "2026-12-31"),
        ("Discontinued from", "not sold from", "2027-01-01", "2026-12-31"),
        ("nicht mehr lieferbar ab", "not sold from", "01.03.2028", "2028-02-29"),
        ("Status", "status", "discontinued 31.12.2026", "2026-12-31"),
        ("Status", "status", "ended 2026-12-31", "2026-12-31"),
        ("Status", "status", "sold until 2026-12-31", "2026-12-31"),
        ("Status", "status", "discontinued from 2027-01-01", "2026-12-31"),
        ("Status", "status", "ausgelaufen ab 1.1.2027", "2026-12-31"),
    ],
)
def test_a_column_is_guessed_shown_and_mapped(header: str, target: str, written_as: str, until: str) -> None:
    (part,) = read(text([*HEAD, header], [*COTTER, written_as], ["C-2", *COTTER[1:], ""]), kind="cotters").sheets
    assert part.mapping.columns[header] == target
    assert part.columns["until"] == [until, ""]
    assert part.ended == {}
    if target != "until" or "." in written_as:
        assert [at for (name, _), at in part.assumed.items() if name == header] == [[part.rows[0]]]
    (shown,) = [each for each in part.shown if each.header == header]
    assert (shown.target, shown.example) == (target, written_as)


@pytest.mark.parametrize("header", ["Last day", "Discontinued from", "Status"])
def test_a_day_that_may_be_two_is_refused_with_both(header: str) -> None:
    cell = "discontinued 03/04/2027" if header == "Status" else "03/04/2027"
    (part,) = read(
        text([*HEAD, header], [*COTTER, cell], ["C-2", *COTTER[1:], "discontinued" if header == "Status" else ""]), kind="cotters"
    ).sheets
    (fault,) = part.faults
    assert "2027-03-04 or 2027-04-03" in fault.words
    assert part.bad == {part.rows[0]}


@pytest.mark.parametrize("status", ["new since 2026-12-31", "2026-12-31", "price of 31.12.2026", "in stock", ""])
def test_a_day_that_is_not_marked_as_a_last_day_is_not_one(status: str) -> None:
    assert last_day_in(status) is None


@pytest.mark.parametrize("written_as", ["0001-01-01", "2027-02-30", "soon"])
def test_a_day_that_has_none_before_it_is_refused(written_as: str) -> None:
    assert day_before(written_as).problem


def test_a_status_without_a_day_leaves_the_article_out_as_before() -> None:
    found = read(text([*HEAD, "Status"], [*COTTER, "discontinued"], ["C-2", *COTTER[1:], "discontinued 31.12.2026"]), kind="cotters")
    made = merged(found.sheets, {}, Choice()).files["cotters.csv"]
    assert "C-1" not in made
    assert made.splitlines()[1].startswith("C-2,")
    assert made.splitlines()[1].endswith(",2026-12-31")


def test_what_is_only_sold_keeps_its_last_day() -> None:
    lacking = read(text([*HEAD, "until"], ["C-1", "Cotter", "2 mm", "", "4", "2026-12-31"]), kind="cotters")
    assert "length,2026-12-31" in merged(lacking.sheets, {}, Choice(sold_only=True)).files["sold_only.csv"]


def test_work_has_no_last_day() -> None:
    with pytest.raises(Unreadable, match="becomes 'not sold from', which is none of"):
        read_mapping(written(ShopMapping([SheetMapping("labour", columns={"a": "not sold from"})]), "liste.csv").encode(), "m.toml")


def test_from_the_list_into_a_folder_that_loads(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, path = small_folder(tmp_path), tmp_path / "ende.csv"
    path.write_bytes(text(["sku", "discontinued from"], ["C-2", "1.1.2027"]))
    looked = run(capsys, path, "--as", "cotters")
    assert "not sold from" in looked.out
    assert "the day before is the last on which it is sold" in looked.out
    done = run(capsys, path, "--as", "cotters", "--set", "from_day=2026-05-01", "--into", folder, "--yes")
    lines = (folder / "cotters.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0].endswith(",until"), done.out + done.err
    assert lines[1].endswith(",2026-12-31")
