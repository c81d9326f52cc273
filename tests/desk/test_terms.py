"""The owner changes terms: a new edition of the tables with a dated row for each, which counts once it is put in force."""

from __future__ import annotations

import csv
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from pricing.costing.terms import READERS
from service.credentials.people import Role
from service.desk.term_words import GROUPS
from service.engine.engine import Engine
from service.storage import Quotes
from service.storage.tables import metadata
from tests.desk.colleague import Colleague
from tests.desk.small_loft import desk, loft, small
from tests.service.conftest import DAY, Command
from tests.service.test_erased_everywhere import layers

__all__ = ["desk", "loft", "small"]
WEEK = (DAY + timedelta(7)).isoformat()
STORE = "Store and see what it would do"


@pytest.fixture
def owner(desk: Flask) -> Colleague:
    made = Colleague(desk, Role.OWNER)
    made.go("/desk/terms")
    return made


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


def drafts(desk: Flask) -> list[Any]:
    return [each for each in desk.test_client().get("/v1/tables").json["editions"] if each["status"] == "draft"]


def test_every_term_that_counts_is_on_the_page_once() -> None:
    keys = [term.key for group in GROUPS for term in group.terms]
    assert len(keys) == len(set(keys))
    assert set(keys) == READERS.keys() - {"reading_limit"}  # read, and no longer used


def test_the_page_shows_what_counts(owner: Colleague, small: dict[str, str]) -> None:
    fields = owner.prepared(STORE)[1]
    for each in rows(small["terms.csv"]):
        if each["key"] == "reading_limit":  # read, and no longer used
            continue
        assert (fields[f"value-{each['key']}"], fields.get(f"unit-{each['key']}", "")) == (each["value"], each["unit"])


def test_a_changed_term_is_a_dated_row_and_is_shown_before_it_counts(
    owner: Colleague, desk: Flask, loft: Engine, small: dict[str, str]
) -> None:
    owner.press(STORE, **{"value-minimum_order": "55.00", "from": WEEK, "words": "small work, \n =dear <b>"})
    assert owner.reply.status_code == 200
    assert f"from={WEEK}" in owner.at
    assert "value: 40.00 → 55.00" not in owner.text  # the row of before stays, for days of before
    assert "1 new, 0 gone, 0 changed" in owner.text
    (draft,) = drafts(desk)
    files = desk.test_client().get(f"/v1/tables/{draft['id']}/files").json["files"]
    before, after = rows(small["terms.csv"]), rows(files["terms.csv"])
    assert after[:-1] == before
    assert after[-1] == {
        "key": "minimum_order", "value": "55.00", "unit": "", "from_day": WEEK, "source": "decided by the owner: small work, =dear <b>",
    }  # fmt: skip
    assert [name for name in small if name != "terms.csv" and files[name] != small[name]] == []
    assert owner.press("Put in force from 2 December 2026").status_code == 200
    owner.go("/desk/terms")
    assert owner.prepared(STORE)[1]["value-minimum_order"] == "40.00"  # until that day


@pytest.mark.parametrize(
    ("written", "status", "words"),
    [
        ({}, 422, "Nothing is changed"),
        ({"value-minimum_order": "55", "from": "2026-11-24"}, 422, "That day is past"),
        ({"value-minimum_order": "55", "from": "soon"}, 422, "That day is past"),
        ({"value-validity_days": "a <i>month</i>"}, 422, "Something in the files cannot be"),
        ({"value-minimum_order": "55", "base": "0123456789abcdef-0123456789abcdef"}, 409, "Other tables were put in force meanwhile"),
    ],
)
def test_what_is_refused_stays_typed(owner: Colleague, desk: Flask, written: dict[str, str], status: int, words: str) -> None:
    assert owner.press(STORE, **written).status_code == status
    assert words in owner.text
    assert "<i>" not in owner.reply.text
    kept = owner.prepared(STORE)[1]
    assert {name: kept[name] for name in written if name not in ("base", "from")} == {
        name: value for name, value in written.items() if name not in ("base", "from")
    }
    assert drafts(desk) == []


def test_a_former_owners_name_is_erased_from_all_that_they_decided_and_counted(
    owner: Colleague, quotes: Quotes, small: dict[str, str], command: Command
) -> None:
    """What the tables of an edition say cannot be changed later, so no name may stand in them."""
    owner.press(STORE, **{"value-minimum_order": "55.00", "from": WEEK, "words": "small work"})
    assert owner.press("Put in force from 2 December 2026").status_code == 200
    owner.go("/desk/stock/count")
    wire = rows(small["wires.csv"])[0]["sku"]
    assert (
        owner.press("Count this piece", id="R-1", wire=wire, kind="new", length="20 m", count="1", source="counted", price="3").status_code
        == 200
    )
    assert columns_with("Ownerby", quotes) >= {"staff.name", "editions_in_force.by"}
    assert command("people", "end", "Olga Ownerby", "--yes") == 0
    assert command("customers", "erase", "Olga Ownerby", "--yes") == 0
    assert columns_with("Ownerby", quotes) == set()


def columns_with(words: str, quotes: Quotes) -> set[str]:
    with quotes.reading() as connection:
        return {
            f"{table.name}.{name}"
            for table in metadata.sorted_tables
            for row in connection.execute(select(table)).mappings()
            for name, value in row.items()
            if any(words.encode() in layer for layer in layers(value if isinstance(value, bytes) else str(value).encode()))
        }


@pytest.mark.parametrize("role", [Role.COUNTER, Role.BENCH])
def test_terms_are_the_owners(desk: Flask, role: Role) -> None:
    assert Colleague(desk, role).go("/desk/terms").status_code == 403
