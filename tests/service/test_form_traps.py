"""What the form says about measuring, held against what is cut when somebody does what it says."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.web_form.answering import illustration_of, request_of, shown
from service.web_form.illustrations import NAMES
from service.web_form.shop import EXAMPLE

Answers = dict[str, Any]
CUT = "8886.2"  # README's cap shroud; tests/examples works it by hand
#: From the toggle's bearing to the stud's last thread, mm: (T - gu) - body - gl - run-out of README's turnbuckle (pricing/README.md, The chain), with
#: T 2 1/2 in: 63.5 - 28.575 - 101.6 - 26.9875 - 30.559.
TO_LAST_THREAD = -124.222
READ = 9098.756  # mm, the mean of README's readings, to the toggle's bearing
CAP: Answers = {**EXAMPLE, "laid": "else", "measurement.support": "flat", "measurement.temperature": "64 degF"}


@pytest.fixture
def form(client: FlaskClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/v1/form?lang=en").json
    return found


def picture(form: dict[str, Any], answers: Answers, path: str) -> str:
    """The drawing beside a question, as its page names it."""
    asked = shown(form, "assembly", answers)
    known = {each.path: each.answer for each in asked if each.answer is not None}
    return next(illustration_of(each.question, known) for each in asked if each.path == path)


@pytest.mark.parametrize("measured", ["whole", "stud"])
@pytest.mark.parametrize("beside", ["measured_from", "measurement.lower_datum"])
def test_who_measures_to_what_the_picture_calls_the_right_place_gets_the_wire_that_fits(
    client: FlaskClient, form: dict[str, Any], measured: str, beside: str
) -> None:
    answers = {**CAP, "measured_from": measured, "turnbuckle.old.stud_thread_length": "2 1/2 in"}
    fitting = picture(form, answers, beside).removesuffix("-bearing")
    read = READ + {"toggle": 0.0, "stud": TO_LAST_THREAD}[fitting]
    answers["measurement.readings"] = [f"{read:.2f} mm"] * 2
    request = request_of(form, {"boat.length_overall": "27 ft 6 in"}, [answers])
    (made,) = client.post("/v1/quotes/preview", json=request).json["assemblies"]
    assert abs(float(made["cut_length"]["mm"]) - float(CUT)) <= 0.1


LINK = {"lower.links.1.pin": "3/8 in", "lower.links.1.in_reading": True, "lower.links.1.change": "kept"}


def test_every_picture_that_the_form_names_is_there(form: dict[str, Any]) -> None:
    """Whatever ends the reading at the lower end, and wherever on it somebody measured to."""
    named = set()
    for included, end, link in product([True, False], ["toggle", "fork", "eye"], ["", "toggle", "shackle", "gate_hook"]):
        given = {
            **CAP, "unusual": "yes", "measured_from": "else", "measurement.includes_turnbuckle": included,
            "turnbuckle.lower_outer": f"{end} | 3/8 in",
        }  # fmt: skip
        if link:
            given |= {**LINK, "lower.links.1.kind": link}
        datum = next(each for each in shown(form, "assembly", given) if each.path == "measurement.lower_datum")
        for choice in datum.choices:
            name = picture(form, {**given, "measurement.lower_datum": choice.value}, "measurement.lower_datum")
            assert name in NAMES or (name == "" and link == "gate_hook"), (given, choice.value, name)
            named.add(name)
    assert {"toggle-pin_centre", "shackle-pin_outside", "stud-stud_tip", "eye-outer_tip"} <= named


def offered(form: dict[str, Any], given: Answers, path: str) -> list[Any]:
    found = next((each for each in shown(form, "assembly", given) if each.path == path), None)
    return [each.value for each in found.choices] if found else []


def test_a_toggle_that_is_named_is_not_asked_for_again(form: dict[str, Any]) -> None:
    odd = {**CAP, "unusual": "yes"}
    bare = {**odd, "turnbuckle_is": "none", "lower.attachment": "swage", "lower.pin": "3/8 in"}
    forked = {**odd, "turnbuckle.lower_outer": "fork | 3/8 in"}
    assert "shackle" in offered(form, odd, "lower.links.1.kind")
    assert "toggle" not in offered(form, odd, "lower.links.1.kind")
    assert "toggle" not in offered(form, {**bare, "lower.terminal": "toggle"}, "lower.links.1.kind")
    assert "toggle" in offered(form, {**bare, "lower.terminal": "fork"}, "lower.links.1.kind")
    assert "toggle" in offered(form, forked, "lower.links.1.kind")
    first = {**forked, "lower.links.1.kind": "toggle", "lower.links.1.pin": "3/8 in", "lower.links.1.change": "added"}
    assert "shackle" in offered(form, first, "lower.links.2.kind")
    assert "toggle" not in offered(form, first, "lower.links.2.kind")
