"""Columns that say which articles are no longer sold, as suppliers write them: such rows are left out and listed."""

from __future__ import annotations

import pytest

from pricing.importing.lists import ImportOptions, read_list
from pricing.importing.mapping import read_mapping, written

HEAD = "sku;name;diameter mm;length mm;mass g;"


def ended(header: str, first: str, second: str, name: str = "Cotter") -> list[str]:
    body = f"{HEAD}{header}\nC-8;{name};8;60;4;{first}\nC-9;{name};9;60;4;{second}\n".encode()
    found = read_list(body, "list.csv", ImportOptions("cotters"))
    again = read_list(body, "list.csv", ImportOptions(mapping=read_mapping(written(found.mapping, "list.csv").encode(), "kept.toml")))
    (part,), (kept,) = found.sheets, again.sheets
    assert part.ended == kept.ended
    return [part.cell(at, "sku") for at in part.ended]


@pytest.mark.parametrize(
    ("header", "sold", "over"),
    [
        ("Status", "", "discontinued"), ("Status", "valid", "Valid: ended"), ("Valid", "yes", "ended"), ("Valid", "yes", "no"), ("Gültig", "ja", "nein"), ("Gültig", "ja", "beendet"),
        ("Discontinued", "", "x"), ("Discontinued", "no", "yes"), ("Auslaufartikel", "", "ja"), ("Aktiv", "1", "0"), ("State", "active", "inactive"), ("Bemerkung", "neu", "ausgelaufen"),
    ],
)  # fmt: skip
def test_a_column_says_that_an_article_is_no_longer_sold(header: str, sold: str, over: str) -> None:
    assert ended(header, sold, over) == ["C-9"]
    assert ended(header, over, sold) == ["C-8"]


@pytest.mark.parametrize(
    ("header", "text"), [("Valid", "yes"), ("Status", "in stock"), ("Bemerkung", "open ended slot is not it"), ("Discontinued", "no")]
)
def test_nothing_else_does(header: str, text: str) -> None:
    assert ended(header, text, text) == []


def test_a_name_may_contain_ended_and_mean_the_ends_of_a_fitting() -> None:
    assert ended("Status", "", "", "Stud, double ended") == []
