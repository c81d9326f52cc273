"""The owner's page of figures: the API's of the same moment, in words, with a table for every bar."""

from __future__ import annotations

from typing import Any
from xml.etree.ElementTree import Element

import pytest
from flask import Flask

from service.credentials.people import Role
from service.desk.numbers import PageSpeech
from tests.desk.colleague import XHTML, Colleague

SVG = "{http://www.w3.org/2000/svg}"


def rows(owner: Colleague) -> list[list[str]]:
    return [[" ".join("".join(cell.itertext()).split()) for cell in row] for row in owner.page.iter(f"{XHTML}tr")]


def bars(of: Element) -> list[Element]:
    return list(of.iter(f"{SVG}rect"))


@pytest.mark.parametrize(("many", "of", "share"), [(8, 29, "27.6%"), (1, 3, "33.3%"), (20, 20, "100%"), (0, 5, "0%"), (0, 0, "–")])
def test_a_share_is_said_to_a_tenth(many: int, of: int, share: str) -> None:
    assert PageSpeech("en", "metric").share(many, of) == share


def test_an_empty_shop_has_a_page(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER)
    assert owner.go("/desk/figures").status_code == 200
    assert "None in this period." in owner.text


def test_the_page_says_what_the_api_counts(desk: Flask, demo: dict[str, Any]) -> None:
    client = desk.test_client()
    demo["assemblies"] = demo["assemblies"][:2]
    for each in demo["assemblies"]:
        each["measurement"]["support"] = "aboard"  # without its tension, which is asked about
    for _ in range(3):
        assert client.post("/v1/quotes", json=demo).status_code == 201
    found = client.get("/v1/figures").json
    owner = Colleague(desk, Role.OWNER)
    owner.go("/desk/figures")
    said = rows(owner)
    assert ["open", "3", "100%", ""] in said
    assert ["November 2026", f"US${float(found['months'][0]['value_made']):,.2f} (3)", "US$0.00 (0)", ""] in said
    meaning = next(each["meaning"] for each in client.get("/v1/findings").json["findings"] if each["code"] == "aboard-tension-missing")
    assert [meaning, "3", "100%", ""] in said
    assert len(bars(owner.page)) == 6 + 1 + 3 + len(found["asks"]["codes"])
    assert all(each.get("aria-hidden") == "true" for each in owner.page.iter(f"{SVG}svg"))  # the table says the same


@pytest.mark.parametrize("query", ["from=2026-12-01&to=2026-11-01", "from=<script>alert(1)</script>&to=x", "from=2000-01-01&to=2026-11-01"])
def test_a_time_that_is_none_keeps_what_was_typed(desk: Flask, query: str) -> None:
    owner = Colleague(desk, Role.OWNER)
    assert owner.go(f"/desk/figures?{query}").status_code == 422
    assert "Something in it cannot be used" in owner.text
    assert "<script>alert" not in owner.reply.text
    assert owner.forms("Show")


@pytest.mark.parametrize("role", [Role.COUNTER, Role.BENCH])
def test_figures_are_the_owners(desk: Flask, role: Role) -> None:
    assert Colleague(desk, role).go("/desk/figures").status_code == 403
