"""The wire as drawn so far: the places that the picture marks are those that the engine takes a reading from, and a draft may say anything."""

from __future__ import annotations

import json
import re
from copy import deepcopy
from itertools import product
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from pricing.fittings import FAMILIES
from pricing.measurement.assembly import BODIES, LINK_CHANGES, SCREW_ENDS
from pricing.measurement.datums import OF_LINK
from service.schemas.assemblies import AssemblySchema
from service.schemas.schema import Many, Object
from tests.counts import some_of

AT = "/v1/drawings"
TRUE = 9000.0  # mm, between the outermost bearings of the wire that is measured
INCH = 25.4
PIN = 3 / 8 * INCH
# A turnbuckle, a stud and a toggle, measured; the places on them are worked out by hand from these.
BODY, RUNOUT, UPPER, LOWER, THREAD, TOGGLE = (each * INCH for each in (4, 1 + 13 / 64, 1 + 1 / 8, 1 + 1 / 16, 2.5, 1.5))
WIRE = {"construction": "1x19", "material": "316", "diameter": "3/16 in"}
TURNBUCKLE = {
    "body": "open", "thread": "3/8-24 UNF", "lower_end": "toggle", "pin": "3/8 in", "reuse": True,
    "dimensions": {"body": "4 in", "runout": "1 13/64 in"}, "old": {"stud_thread_length": "2 1/2 in"},
    "setting": {"upper_exposed": "1 1/8 in", "lower_exposed": "1 1/16 in", "recorded_with": "caliper"},
}  # fmt: skip
LINK = {"kind": "toggle", "change": "kept", "pin": "3/8 in", "dimensions": {"length": "1 1/2 in"}}
FORK = {"terminal": "fork", "attachment": "swage", "pin": "3/8 in"}
EYE = {"terminal": "eye", "attachment": "swage", "pin": "3/8 in"}
STUD = {"terminal": "stud", "attachment": "swage", "thread": "3/8-24 UNF", "hand": "right"}
HOLES = ("bearing", "pin_centre", "pin_inside")
UPPER_ENDS = [
    *((FORK, datum) for datum in (None, *HOLES)),
    (EYE, "pin_centre"),
    *((FORK | {"links": [LINK | {"in_reading": taken}]}, datum) for taken, datum in product((True, False), (None, "pin_centre"))),
]
LOWER_ENDS = [
    *((STUD, TURNBUCKLE, True, datum) for datum in (None, *HOLES)),
    (STUD, TURNBUCKLE, False, None),
    (STUD, None, None, None),
    ({"terminal": "toggle", "attachment": "swage", "pin": "3/8 in"}, None, None, "pin_centre"),
]


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


def asked(client: FlaskClient, assembly: dict[str, Any], place: str = "", lang: str = "en") -> dict[str, Any]:
    answer = client.post(f"{AT}?lang={lang}", json={"assembly": assembly, **({"asked": place} if place else {})})
    assert answer.status_code == 200, answer.data
    found: dict[str, Any] = answer.json
    return found


def marks(picture: dict[str, Any]) -> list[float]:
    """The heights of the places that the length is asked between."""
    return sorted(
        each["y1"] for each in picture["shapes"] if each["class"] == "here" and each["shape"] == "line" and each["y1"] == each["y2"]
    )


def parts(picture: dict[str, Any]) -> dict[str, int]:
    return {each["pointer"]: place for place, each in enumerate(picture["parts"])}


def in_hole(picture: dict[str, Any], pointer: str, y: float, way: int) -> float:
    """How far a place is from the wall of a part's outermost hole, toward the wire, in pin diameters as drawn."""
    holes = [
        each for each in picture["shapes"] if each["shape"] == "circle" and each.get("part") == parts(picture)[pointer] and each["r"] == 4.8
    ]
    outermost = min(holes, key=lambda each: way * each["cy"])
    return way * (y - outermost["cy"]) / (2 * outermost["r"]) + 0.5


def rods(picture: dict[str, Any], pointer: str) -> list[list[float]]:
    """The threaded rods of a part: the heights between which each is drawn (its box is as broad as a screw)."""
    found = []
    for each in picture["shapes"]:
        points = re.findall(r"[ML]([\d.]+) ([\d.]+)", each.get("d", ""))
        if each.get("part") == parts(picture)[pointer] and {x for x, _ in points} == {"88", "96"} and each["d"].endswith("Z"):
            found.append(sorted({float(y) for _, y in points}))
    return found


def upper_reached(picture: dict[str, Any], end: dict[str, Any], y: float) -> float:
    """How far inside the outermost bearing the upper mark stands in truth, mm."""
    if "links" not in end:
        return in_hole(picture, "/upper/terminal", y, 1) * PIN
    on_link = in_hole(picture, "/upper/links/0/kind", y, 1)
    if on_link <= 1.05:
        return on_link * PIN
    return TOGGLE - PIN + in_hole(picture, "/upper/terminal", y, 1) * PIN  # the pin's far side is where the toggle's length ends


def lower_reached(picture: dict[str, Any], turnbuckle: Any, end: dict[str, Any], y: float) -> float:
    if turnbuckle is not None:
        on_screw = in_hole(picture, "/turnbuckle/lower_end", y, -1)
        if on_screw <= 1.05:
            return on_screw * PIN
        stud = min(rods(picture, "/turnbuckle/body"))  # the rod next to the wire; its far end is the stud's last thread
        assert y == pytest.approx(stud[1], abs=0.11)
        return RUNOUT + LOWER + BODY - (THREAD - UPPER)
    if end["terminal"] == "stud":
        (thread,) = rods(picture, "/lower/terminal")[:1]
        assert y == pytest.approx(thread[1], abs=0.11)
        return 0.0
    return in_hole(picture, "/lower/terminal", y, -1) * PIN


@pytest.mark.parametrize(
    ("upper", "upper_datum", "lower", "turnbuckle", "includes", "lower_datum"),
    some_of([(*upper, *lower) for upper, lower in product(UPPER_ENDS, LOWER_ENDS)], 18),  # each upper and each lower end is among them
)
def test_who_measures_between_the_marks_gets_the_true_length(
    client: FlaskClient, upper: Any, upper_datum: Any, lower: Any, turnbuckle: Any, includes: Any, lower_datum: Any
) -> None:
    """The marks are found among the holes and threads of the picture itself; what lies between them in truth is worked out by hand, and
    sent as the reading. The engine must find the length between the outermost bearings. A stud's last thread lies 124.2 mm inside.
    """
    measurement = {"support": "flat", "upper_datum": upper_datum, "lower_datum": lower_datum, "includes_turnbuckle": includes}
    assembly = {
        "tag": "A", "role": "cap_shroud", "side": "port", "wire": WIRE, "upper": upper, "lower": lower, "turnbuckle": turnbuckle,
        "measurement": {name: value for name, value in measurement.items() if value is not None},
    }  # fmt: skip
    if turnbuckle is None:
        del assembly["turnbuckle"]
    picture = asked(client, assembly, "/measurement/readings")
    assert picture["unknown"] == []
    first, last = marks(picture)
    reading = TRUE - upper_reached(picture, upper, first) - lower_reached(picture, turnbuckle, lower, last)
    assembly["measurement"]["readings"] = [f"{reading:.4f} mm"]  # type: ignore[index]
    quoted = client.post("/v1/quotes/preview", json={"assemblies": [assembly]})
    assert quoted.status_code == 200, quoted.data
    (found,) = quoted.json["assemblies"]
    assert found["target_length"], found["findings"]
    assert float(found["target_length"]["mm"]) == pytest.approx(TRUE, abs=0.2)  # a tenth of a px is 0.1 mm of a pin here


def test_a_place_that_is_not_known_has_no_mark(client: FlaskClient) -> None:
    """Whether the turnbuckle was in the length decides where it ends: 124 mm apart."""
    whole = {"upper": FORK, "lower": STUD, "turnbuckle": {}, "measurement": {}}
    assert len(marks(asked(client, whole, "/measurement/readings"))) == 1
    assert len(marks(asked(client, whole | {"measurement": {"includes_turnbuckle": True}}, "/measurement/readings"))) == 2
    assert marks(asked(client, {"lower": {"terminal": "none"}}, "/measurement/readings")) == []
    unsaid = whole | {"upper": FORK | {"links": ["shackle"]}}
    assert marks(asked(client, unsaid, "/measurement/readings")) == []
    assert marks(asked(client, whole, "/upper/pin")) == []


@pytest.mark.parametrize(("place", "pointer"), [("/turnbuckle/setting/upper_exposed", 1), ("/turnbuckle/setting/lower_exposed", 3)])
@pytest.mark.parametrize("at", ["lower", "upper"])
def test_the_thread_asked_for_is_marked_at_its_own_screw(client: FlaskClient, place: str, pointer: int, at: str) -> None:
    """The upper screw is above the body whichever end the turnbuckle is at; the thread is drawn from the body's face to its run-out."""
    picture = asked(client, {"upper": FORK, "lower": STUD, "turnbuckle": {"body": "open", "at": at}}, place)
    lines = [each for each in picture["shapes"] if each["class"] == "mark" and each["shape"] == "line"]
    low, high = sorted({each["y1"] for each in lines if each["y1"] == each["y2"]})
    _, top, _, height = picture["parts"][parts(picture)["/turnbuckle/body"]]["box"]
    assert pointer in (1, 3)
    face = top if pointer == 1 else top + height
    assert face in (low, high)
    assert (high if pointer == 1 else low) == face
    assert [each["asked"] for each in picture["parts"]].count(True) == 1


def test_what_is_known_is_in_ink_and_what_is_not_an_outline(client: FlaskClient) -> None:
    picture = asked(client, {"upper": FORK, "wire": {"construction": "1x19"}})
    known = {each["pointer"]: each["known"] for each in picture["parts"]}
    assert known == {"/upper/terminal": True, "/wire/construction": False, "/lower/terminal": False}
    for place, part in enumerate(picture["parts"]):
        drawn = {each["class"] for each in picture["shapes"] if each.get("part") == place} - {"label", "dimension"}
        assert ("outline" in drawn) is not part["known"]
        assert ("ink" in drawn) is part["known"]
    (upper, _, lower) = (each["box"] for each in picture["parts"])
    assert upper[1] + upper[3] < lower[1]  # the upper end is on top
    assert picture["says"] == "Upper end: Fork, swaged. Wire: 1x19. Lower end: not told yet."


def test_it_tells_in_words_what_it_shows_in_both_languages(client: FlaskClient) -> None:
    draft = {
        "upper": FORK,
        "lower": STUD,
        "turnbuckle": {"body": "open", "lower_end": "toggle"},
        "measurement": {"includes_turnbuckle": True},
    }
    english = asked(client, draft, "/measurement/readings")["says"]
    assert english.endswith(
        "From here: Fork, swaged, the wall of the pin hole farthest from the wire. To here: Toggle, the wall of the pin hole farthest from the wire."
    )
    german = asked(client, draft, "/measurement/readings", "de")
    assert "Oberes Ende: Gabel" in german["says"]
    assert {each["text"] for each in german["shapes"] if each["class"] == "here" and each["shape"] == "text"} == {"von hier", "bis hier"}
    lifeline = asked(client, {"role": "lifeline_upper"})["says"]
    assert lifeline.startswith("Forward end: not told yet.")
    hung = asked(client, {"role": "lifeline_upper", "turnbuckle": {}})["says"]
    assert (
        "Thread at the forward screw: not told yet. Turnbuckle: not told yet. Thread at the after screw: not told yet. Turnbuckle's after end:"
        in hung
    )
    assert not re.search("upper|lower", hung)


@pytest.mark.parametrize("lang", ["en", "de"])
def test_every_part_and_place_has_its_words(client: FlaskClient, lang: str) -> None:
    for family, datum in ((name, datum) for name in FAMILIES for datum in FAMILIES[name].datums):
        for fixed in FAMILIES[family].attachments or (None,):
            end = {"terminal": family} | ({"attachment": fixed} if fixed else {})
            draft = {"upper": end, "lower": end, "measurement": {"upper_datum": datum, "lower_datum": datum}}
            assert asked(client, draft, "/measurement", lang)["says"]
    for kind, change in product(OF_LINK, LINK_CHANGES):
        for datum in OF_LINK[kind]:
            links = [{"kind": kind, "change": change, "in_reading": True}]
            assert asked(client, {"lower": FORK | {"links": links}, "measurement": {"lower_datum": datum}}, "/measurement", lang)["says"]
    for body, head in product(BODIES, SCREW_ENDS):
        turnbuckle = {"body": body, "upper_end": head, "lower_end": head}
        draft = {"lower": FORK, "turnbuckle": turnbuckle, "measurement": {"includes_turnbuckle": True, "lower_datum": "outer_tip"}}
        assert asked(client, draft, "/measurement", lang)["says"]


def test_what_cannot_be_read_or_contradicts_is_unknown_and_never_a_fault(client: FlaskClient) -> None:
    draft = {
        "tag": "", "wire": "thick", "upper": {"terminal": "anchor", "pin": 8, "links": [{"kind": "rope"}, {"kind": "toggle", "pin": "1 1 in"}]},
        "lower": {"terminal": "thimble_eye", "attachment": "swage"}, "turnbuckle": {"setting": {"upper_exposed": "-3 mm"}},
        "measurement": {"readings": [], "includes_links": True, "lower_datum": "stud_tip"}, "stops": [None] * 3,
    }  # fmt: skip
    picture = asked(client, draft, "/measurement")
    found = {each["pointer"]: each["code"] for each in picture["unknown"]}
    assert {
        "/tag", "/wire", "/upper/terminal", "/upper/pin", "/upper/links/0/kind", "/upper/links/1/pin", "/lower/attachment",
        "/turnbuckle/setting/upper_exposed", "/measurement/readings", "/stops/0",
    } <= found.keys()  # fmt: skip
    assert found["/upper/pin"] == "bare_number"
    assert {each["pointer"]: each["known"] for each in picture["parts"]}["/upper/links/0/kind"] is False
    eye = asked(client, {"upper": EYE, "measurement": {"upper_datum": "ball_centre"}}, "/measurement")
    assert eye["unknown"] == [{"pointer": "/measurement/upper_datum", "code": "impossible_datum"}]
    assert marks(eye) == []
    none = asked(client, {"upper": EYE, "lower": EYE, "measurement": {"includes_turnbuckle": True}}, "/measurement")
    assert none["unknown"] == [{"pointer": "/measurement/includes_turnbuckle", "code": "turnbuckle-not-described"}]
    assert marks(none) == []


def everywhere(schema: Any, value: Any) -> Any:
    """An assembly in which each field has this value."""
    made = {}
    for name, field in schema.load_fields.items():
        key = field.data_key or name
        if isinstance(field, Object):
            made[key] = everywhere(field.schema, value)
        elif isinstance(field, Many) and isinstance(field.inner, Object):
            made[key] = [everywhere(field.inner.schema, value)]
        else:
            made[key] = value
    return made


@pytest.mark.parametrize(
    "value", [None, 0, -1.5e300, True, "", "9" * 100, "toggle", "<script>alert(1)</script>", "\u202e\u0000", [], {}, [[]]]
)
def test_hostile_values_are_drawn_as_not_said_and_nothing_of_them_comes_back(client: FlaskClient, value: Any) -> None:
    for draft in (everywhere(AssemblySchema(), value), dict.fromkeys(AssemblySchema().load_fields, value)):
        picture = asked(client, draft, "/" + "x" * 100)
        assert picture["unknown"]
        assert "script" not in json.dumps(picture)
        assert "\u202e" not in json.dumps(picture, ensure_ascii=False)


def test_only_a_field_that_there_is_not_and_a_large_body_are_refused(client: FlaskClient) -> None:
    wrong = client.post(AT, json={"assembly": {"upper": {"colour": "red", "links": [{"sise": 1}]}, "price": 3}})
    assert wrong.status_code == 422
    assert {each["pointer"] for each in wrong.json["errors"]} == {
        "#/assembly/upper/colour",
        "#/assembly/upper/links/0/sise",
        "#/assembly/price",
    }
    assert client.post(AT, json={"assembly": {}, "asked": 7}).status_code == 422
    assert client.post(AT, json={"assembly": {"note": "x" * 40_000}}).status_code == 413
    assert client.post(AT, json={"assembly": []}).json["unknown"] == [{"pointer": "", "code": "not_an_object"}]


def test_no_length_and_no_price_stands_in_it(client: FlaskClient, demo: dict[str, Any]) -> None:
    """What can be read off a drawing gets cut. Nominal sizes and settings are what was sent."""
    for assembly in demo["assemblies"]:
        picture = asked(client, assembly, "/measurement/readings")
        words = " ".join(each.get("text", "") for each in picture["shapes"]) + picture["says"]
        assert not re.search(r"\d{4}|\bft\b|\bFuß\b", words), words


def test_sixty_drafts_of_every_terminal_stay_within_their_box(client: FlaskClient) -> None:
    for terminal, at in product(
        ("fork", "eye", "tee", "stud", "ball", "toggle", "thimble_eye", "deadeye", "none", None), ("lower", "upper", None)
    ):
        end = {"terminal": terminal} if terminal else {}
        links = [{"kind": kind} for kind in ("toggle", "shackle", "insulator", "bridle_plate", "gate_hook")]
        draft = {"upper": deepcopy(end) | {"links": links}, "lower": end, "stops": [{"position": "1 m"}] * 20}
        picture = asked(client, draft | ({"turnbuckle": {"at": at}} if at else {}), "/upper")
        _, _, width, height = picture["view_box"]
        for part in picture["parts"]:
            left, top, wide, tall = part["box"]
            assert left >= 0
            assert top >= -12  # beyond the bearing of the outermost part there is nothing to press
            assert left + wide <= width
            assert top + tall <= height
            assert tall >= 12
