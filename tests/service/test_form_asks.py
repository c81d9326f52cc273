"""What the form asks only where it applies: no owner is asked about a locknut that does not exist, or twice about one toggle."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.web_form.answering import request_of, shown

Answers = dict[str, Any]
CAP: Answers = {
    "unusual": "yes", "measured_from": "else", "laid": "else", "read_with": "else", "role": "cap_shroud", "side": "port", "tag": "CAP-P", "turnbuckle": True, "turnbuckle.at": "lower",
    "turnbuckle.setting.upper_exposed": "28 mm", "turnbuckle.setting.lower_exposed": "27 mm",
    "wire.construction": "1x19", "wire.material": "316", "wire.diameter": "3/16 in", "upper.terminal": "tee", "upper.attachment": "swage",
    "lower.terminal": "stud", "lower.attachment": "swage", "lower.thread": "3/8-24 UNF", "lower.hand": "right",
    "turnbuckle.body": "open", "turnbuckle.hand": "right", "turnbuckle.lower_end": "fork", "turnbuckle.pin": "3/8 in", "turnbuckle.reuse": False, "turnbuckle.like_for_like": False,
    "measurement.includes_turnbuckle": True, "measurement.readings": ["9.1 m", "9.1 m"],
}  # fmt: skip
TOGGLE: Answers = {"lower.links.1.kind": "toggle", "lower.links.1.pin": "3/8 in"}


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.fixture
def form(client: FlaskClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/v1/form?lang=en").json
    return found


def asked(form: dict[str, Any], answers: Answers) -> dict[str, Any]:
    """Every question that is asked of a wire, with its answer."""
    return {each.path: each.answer for each in shown(form, "assembly", answers)}


@pytest.mark.parametrize(
    ("path", "where", "elsewhere"),
    [
        ("number", {"role": "diagonal"}, {"role": "lower_shroud"}),
        ("number", {"role": "vertical"}, {}),
        ("number", {"role": "backstay"}, {"role": "backstay_leg"}),
        ("lower.joins", {"role": "backstay"}, {}),
        ("upper.joins", {"role": "triatic"}, {"role": "forestay"}),
        ("upper.backing_plate", {}, {"upper.terminal": "fork", "upper.pin": "3/8 in"}),
        ("turnbuckle.setting.read_from", {"turnbuckle.body": "tubular"}, {"turnbuckle.body": "open"}),
        ("turnbuckle.sent_in", {"turnbuckle.reuse": True}, {}),
        ("turnbuckle.dimensions.body", {"turnbuckle.reuse": True}, {}),
        (
            "turnbuckle.dimensions.body",
            {"turnbuckle.reuse": True},
            {"turnbuckle.reuse": True, "measurement.includes_turnbuckle": False},
        ),
        ("turnbuckle.old.stud_thread_length", {"measurement.includes_turnbuckle": False}, {}),
        (
            "turnbuckle.old.body",
            {"measurement.includes_turnbuckle": False},
            {"measurement.includes_turnbuckle": False, "turnbuckle.like_for_like": True},
        ),
        ("measurement.pull", {"measurement.support": "hung"}, {"measurement.support": "flat"}),
        ("measurement.tape_on_wire", {"measurement.support": "hung"}, {"measurement.support": "aboard"}),
        (
            "turnbuckle.dimensions.locknut",
            {"turnbuckle.body": "tubular", "turnbuckle.setting.read_from": "locknut", "turnbuckle.reuse": True},
            {"turnbuckle.body": "tubular", "turnbuckle.setting.read_from": "body", "turnbuckle.reuse": True},
        ),
        ("old_wire.construction", {"measurement.support": "aboard"}, {"measurement.support": "pattern"}),
        (
            "old_wire.diameter",
            {"measurement.support": "hung", "old_wire.construction": "7x19"},
            {"measurement.support": "flat", "old_wire.construction": "7x19"},
        ),
        (
            "measurement.tension",
            {"measurement.support": "aboard", "measurement.rig_setting": "slack"},
            {"measurement.support": "aboard", "measurement.rig_setting": "everyday"},
        ),
        ("everyday_tension", {"measurement.support": "aboard"}, {}),
        ("lower.links.1.change", TOGGLE, {}),
        ("lower.links.1.sent_in", {**TOGGLE, "lower.links.1.change": "kept"}, {**TOGGLE, "lower.links.1.change": "replaced"}),
        ("lower.links.1.in_reading", {**TOGGLE, "lower.links.1.change": "replaced"}, {**TOGGLE, "lower.links.1.change": "added"}),
        (
            "lower.links.1.old_length",
            {**TOGGLE, "lower.links.1.change": "left_away", "lower.links.1.in_reading": False},
            {**TOGGLE, "lower.links.1.change": "left_away", "lower.links.1.in_reading": True},
        ),
        (
            "lower.links.1.dimensions.length",
            {**TOGGLE, "lower.links.1.change": "kept", "lower.links.1.in_reading": True},
            {**TOGGLE, "lower.links.1.change": "kept", "lower.links.1.in_reading": False},
        ),
        ("lower.boat_fitting.width", {"lower.boat_fitting.kind": "cheeks"}, {"lower.boat_fitting.kind": "plate"}),
        ("lower.boat_fitting.pin_from", {"lower.boat_fitting.kind": "plate"}, {"lower.boat_fitting.kind": "ring"}),
        ("lower.boat_fitting.kind", {}, {"lower.terminal": "none", "lower.leave": "300 mm", "turnbuckle": False}),
    ],
)
def test_it_is_asked_where_it_applies_and_nowhere_else(form: dict[str, Any], path: str, where: Answers, elsewhere: Answers) -> None:
    assert path in asked(form, {**CAP, **where})
    assert path not in asked(form, {**CAP, **elsewhere})


def test_a_tee_is_not_asked_what_it_joins_since_only_a_slot_takes_it(form: dict[str, Any]) -> None:
    assert "upper.boat_fitting.kind" not in asked(form, CAP)


def test_nobody_is_asked_whether_a_toggle_beyond_a_turnbuckle_that_was_not_measured_was_in_the_reading(form: dict[str, Any]) -> None:
    """The reading ended at the stud; what was answered before the turnbuckle was said to be out is not sent."""
    given = {**CAP, **TOGGLE, "lower.links.1.change": "replaced", "lower.links.1.in_reading": True}
    assert asked(form, given)["lower.links.1.in_reading"] is True
    out = asked(form, {**given, "measurement.includes_turnbuckle": False})
    assert "lower.links.1.in_reading" not in out
    assert "lower.links.1.old_length" in out


def test_nobody_is_asked_about_the_turnbuckles_toggle_before_it_is_said_whether_the_turnbuckle_was_measured(form: dict[str, Any]) -> None:
    given = {path: answer for path, answer in {**CAP, **TOGGLE}.items() if path != "measurement.includes_turnbuckle"}
    assert "lower.links.1.in_reading" not in asked(form, {**given, "lower.links.1.change": "replaced"})


@pytest.mark.parametrize(
    ("first", "expected"),
    [
        ({"change": "kept", "in_reading": True}, True),
        ({"change": "kept", "in_reading": False}, False),
        ({"change": "added"}, True),  # there was none: the second hung on the turnbuckle itself
    ],
)
def test_the_outer_of_two_links_is_asked_about_only_where_the_reading_can_have_reached_it(
    form: dict[str, Any], first: Answers, expected: bool
) -> None:
    links = {**TOGGLE, **{f"lower.links.1.{name}": answer for name, answer in first.items()}}
    second = {"lower.links.2.kind": "shackle", "lower.links.2.change": "replaced"}
    given = {**CAP, **links, **second}
    pin = next(each for each in shown(form, "assembly", given) if each.path == "lower.links.2.pin").choices[0]
    found = asked(form, {**given, "lower.links.2.pin": pin.value})
    assert ("lower.links.2.in_reading" in found) is expected
    assert ("lower.links.2.old_length" in found) is not expected


def test_what_hangs_where_a_toggle_is_left_away_is_what_hung_on_the_turnbuckle(form: dict[str, Any]) -> None:
    """The second takes the first one's place, so it must go onto the turnbuckle and not onto the toggle."""

    def offered(given: Answers, path: str) -> list[Any]:
        found = next((each for each in shown(form, "assembly", given) if each.path == path), None)
        return [each.value for each in found.choices] if found else []

    left = {**CAP, **TOGGLE, "lower.links.1.change": "left_away"}
    assert offered(left, "lower.links.2.kind") == offered(CAP, "lower.links.1.kind")
    second = {"lower.links.2.kind": "shackle", "lower.links.1.kind": "shackle"}
    assert offered({**left, **TOGGLE, "lower.links.2.kind": "shackle"}, "lower.links.2.pin") == offered(
        {**CAP, **second}, "lower.links.1.pin"
    )


def test_where_the_reading_ended_decides_what_it_can_have_been_taken_to(form: dict[str, Any]) -> None:
    """A shackle has a pin with an outer side, a toggle has none; a link that is added was never measured to."""
    shackle = {"lower.links.1.kind": "shackle", "lower.links.1.pin": "3/8 in", "lower.links.1.change": "left_away"}

    def places(given: Answers) -> list[Any]:
        return [
            each.value for one in shown(form, "assembly", {**CAP, **given}) if one.path == "measurement.lower_datum" for each in one.choices
        ]

    assert "pin_outside" in places({**shackle, "lower.links.1.in_reading": True})
    assert "pin_outside" not in places({**shackle, "lower.links.1.in_reading": False})
    assert "pin_outside" not in places({**shackle, "lower.links.1.change": "added"})
    assert "pin_inside" in places({**shackle, "lower.links.1.in_reading": False})  # the turnbuckle's fork


def test_the_request_says_of_each_link_what_becomes_of_it(form: dict[str, Any]) -> None:
    given = {**CAP, **TOGGLE, "lower.links.1.change": "replaced", "lower.links.1.in_reading": False, "lower.links.1.old_length": "40 mm"}
    (assembly,) = request_of(form, {}, [given])["assemblies"]
    assert assembly["lower"]["links"] == [
        {"kind": "toggle", "change": "replaced", "pin": "3/8 in", "in_reading": False, "old_length": "40 mm"}
    ]
    assert "includes_links" not in assembly["measurement"]


FORKED: Answers = {"wire.construction": "1x19", "wire.material": "316", "wire.diameter": "6 mm", "turnbuckle": False} | {
    f"{end}.{field}": value
    for end in ("upper", "lower")
    for field, value in (("terminal", "fork"), ("attachment", "swage"), ("pin", "12 mm"))
}
READ: Answers = {"unusual": "yes", "measured_from": "bearings", "measurement.support": "flat", "measurement.temperature": "20 degC"}


def test_a_backstay_in_two_pieces_is_made_with_one_insulator_and_nothing_to_ask(client: FlaskClient, form: dict[str, Any]) -> None:
    """As in tests/cases/24: the insulator at the upper piece, in its reading; the lower piece joins that one. 3210 + 1804 of 12 m are plausible."""
    plate = {"kind": "plate", "hole": "12.4 mm", "thickness": "8 mm", "pin_from": "assembly"}
    insulator = {"kind": "insulator", "change": "replaced", "pin": "12 mm", "in_reading": True}
    top = {
        **FORKED, **READ, "role": "backstay", "number": 1, "tag": "TOP", "measurement.readings": ["6210 mm", "6210 mm"], "lower.joins": "LOW",
        **{f"upper.boat_fitting.{name}": value for name, value in plate.items()},
        **{f"lower.links.1.{name}": value for name, value in insulator.items()},
    }  # fmt: skip
    low = {
        **FORKED, **READ, "role": "backstay", "number": 2, "tag": "LOW", "measurement.readings": ["4804 mm", "4804 mm"], "upper.joins": "TOP",
        **{f"lower.boat_fitting.{name}": value for name, value in plate.items()},
    }  # fmt: skip
    assert not [each.path for answers in (top, low) for each in shown(form, "assembly", answers) if each.missing]
    request = request_of(form, {"boat.length_overall": "12 m"}, [top, low])
    assert [each["lower"].get("joins") for each in request["assemblies"]] == ["LOW", None]
    quote = client.post("/v1/quotes/preview", json=request).json
    asked_of = {each["tag"]: [found["code"] for found in each["findings"] if found["severity"] != "note"] for each in quote["assemblies"]}
    assert asked_of == {"TOP": [], "LOW": []}
    assert [line["quantity"] for line in quote["lines"] if line["sku"] == "LINK-INSULATOR-12MM"] == ["1"]
    assert [each["number"] for each in quote["assemblies"]] == [1, 2]


def test_a_gate_with_a_hook_is_made_from_what_the_form_asks(client: FlaskClient, form: dict[str, Any]) -> None:
    """As in tests/cases/26: a bail of 6 mm with an opening of 14, on a hook of 6 mm."""
    bail = {"kind": "ring", "hole": "14 mm", "thickness": "6 mm"}
    plate = {"kind": "plate", "hole": "6.4 mm", "thickness": "5 mm", "pin_from": "assembly"}
    hook = {"kind": "gate_hook", "change": "replaced", "pin": "6 mm", "in_reading": True}
    gate = {
        **FORKED, **READ, "role": "gate_wire", "side": "port", "tag": "GATE-P", "wire.construction": "7x7", "wire.diameter": "3 mm",
        "upper.pin": "6 mm", "lower.pin": "6 mm", "measurement.readings": ["700 mm", "700 mm"],
        **{f"upper.boat_fitting.{name}": value for name, value in plate.items()},
        **{f"lower.boat_fitting.{name}": value for name, value in bail.items()},
        **{f"lower.links.1.{name}": value for name, value in hook.items()},
    }  # fmt: skip
    assert not [each.path for each in shown(form, "assembly", gate) if each.missing]
    request = request_of(form, {"boat.length_overall": "7.9 m"}, [gate])
    (made,) = client.post("/v1/quotes/preview", json=request).json["assemblies"]
    assert [found["code"] for found in made["findings"] if found["severity"] != "note"] == []
    assert made["cut_length"]["mm"] == "598.3"
