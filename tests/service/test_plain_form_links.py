"""A cap shroud with a toggle below its turnbuckle, walked through the plain form: what becomes of the toggle, and what the reading took in, is the length.

Expected by hand (statics, common practice): two members on one pin overlap by that pin, here 3/8 in = 9.525 mm, so a toggle lengthens the assembly by
its own length less 9.525 mm. The old assembly's length from mast to chainplate must come out again: what the old one had outside the reading is
added to it, what the new one has is taken off the wire. New toggle of links.csv: 1 1/2 in = 38.1 mm, so 28.575 mm of wire.
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from flask import Flask

from service.web_form.answering import request_of
from service.web_form.described import described
from tests.counts import some_of
from tests.service.plain_form import Visitor

NEW, OLD = Decimal("38.1") - Decimal("9.525"), Decimal(40) - Decimal("9.525")
OLD_BODY = {"turnbuckle__old__stud_thread_length": "2 1/2 in"}


@pytest.fixture
def visitor(served: Flask) -> Visitor:
    client = served.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return Visitor(client)


def to_the_links(visitor: Visitor) -> None:
    visitor.press("next", boat__name="Wagtail", boat__length_overall="27 ft 6 in")
    visitor.press("next", place="cap_shroud port", unusual="yes", turnbuckle_is="open new")
    visitor.press(
        "next", turnbuckle__setting__upper_exposed="1 1/8 in", turnbuckle__setting__lower_exposed="1 1/16 in", read_with="caliper"
    )
    visitor.press("next", wire_kind="1x19 | 316", wire__diameter="3/16 in")
    visitor.press("next", upper__terminal="tee")
    visitor.press("next")
    visitor.press("next", lower__terminal="stud")
    visitor.press("next", lower__attachment="swage", lower__screw="3/8-24 UNF | right")
    visitor.press("next", turnbuckle__lower_outer="fork | 3/8 in")
    while visitor.step == "turnbuckle":
        visitor.press("next")
    assert visitor.step == "links", visitor.page.text


def through(visitor: Visitor, link: dict[str, str], *, turnbuckle: str, length: dict[str, str]) -> dict[str, Any]:
    """Through every page that is left; gives the assembly of a preview."""
    if link:
        visitor.press("next", lower__links__1__kind="toggle")
        visitor.press("next", lower__links__1__change=link["change"], lower__links__1__pin="3/8 in")
    while visitor.step in ("links", "joins"):
        visitor.press("next")
    readings = ["29 ft 10 3/16 in", "29 ft 10 3/16 in", ""]
    visitor.press("next", measurement__readings=readings, measured_from={"yes": "whole", "no": "stud"}[turnbuckle], laid="flat")
    while visitor.step == "length":
        visitor.press("next", **{name: value for name, value in length.items() if name.replace("__", ".") in visitor.page.asked})
    assert visitor.step == "review", visitor.page.text
    draft = json.loads(visitor.page.values["draft"][0])
    with visitor.client.application.app_context():
        request = request_of(described("en"), draft["w"], draft["a"])
    answer = visitor.client.application.test_client().post("/v1/quotes/preview", json=request)
    assert answer.status_code == 200, answer.json
    found: dict[str, Any] = answer.json["assemblies"][0]
    return found


def cut(assembly: dict[str, Any]) -> Decimal:
    assert assembly["readiness"] != "hold", assembly["findings"]
    return Decimal(assembly["cut_length"]["mm"])


OUT, IN = {"lower__links__1__in_reading": "no"}, {"lower__links__1__in_reading": "yes"}
MEASURED = {"lower__links__1__old_length": "40 mm"}
CASES = [
    ("added", {}, -NEW),
    ("replaced", {**OUT, **MEASURED}, OLD - NEW),
    ("replaced", IN, -NEW),
    ("left_away", {**OUT, **MEASURED}, OLD),
    ("left_away", IN, Decimal(0)),
    ("kept", {**IN, "lower__links__1__dimensions__length": "40 mm"}, -OLD),
]


@pytest.mark.parametrize(("change", "answers", "expected"), some_of(CASES, 2))
def test_what_becomes_of_a_toggle_is_what_the_wire_is_cut_longer_or_shorter(
    visitor: Visitor, served: Flask, change: str, answers: dict[str, str], expected: Decimal
) -> None:
    to_the_links(visitor)
    without = cut(through(visitor, {}, turnbuckle="yes", length={}))
    other = Visitor(visitor.client)
    to_the_links(other)
    found = through(other, {"change": change}, turnbuckle="yes", length=answers)
    assert cut(found) - without == pytest.approx(expected, abs=Decimal("0.11"))  # each cut is rounded to 0.1 mm


@pytest.mark.parametrize(("change", "expected"), some_of([("replaced", OLD - NEW), ("left_away", OLD), ("added", -NEW)], 1))
def test_it_is_the_same_where_the_reading_ended_at_the_stud(visitor: Visitor, change: str, expected: Decimal) -> None:
    """There the toggle cannot have been in it, and nobody is asked whether it was."""
    to_the_links(visitor)
    without = cut(through(visitor, {}, turnbuckle="no", length=OLD_BODY))
    other = Visitor(visitor.client)
    to_the_links(other)
    found = through(other, {"change": change}, turnbuckle="no", length={**OLD_BODY, **MEASURED})
    assert cut(found) - without == pytest.approx(expected, abs=Decimal("0.11"))


@pytest.mark.parametrize("change", ["replaced", "left_away"])
def test_an_old_toggle_that_nobody_measured_is_asked_about_and_stops_nobody(visitor: Visitor, change: str) -> None:
    to_the_links(visitor)
    found = through(visitor, {"change": change}, turnbuckle="yes", length=OUT)
    assert found["readiness"] == "confirm"
    assert [each["pointer"] for each in found["findings"] if each["severity"] == "ask" and "/lower/links/0" in each["pointer"]]
