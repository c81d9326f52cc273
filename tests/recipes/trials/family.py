"""The invented swivel eye: quoted, drawn, printed and offered."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

import pricing
from pricing.wording.catalogue import names

SWIVEL = {"terminal": "swivel_eye", "attachment": "swage", "pin": "8 mm"}


def asked(**ends: Any) -> dict[str, Any]:
    """A request for one wire between two swivel eyes."""
    wire = {"construction": "1x19", "material": "316", "diameter": "4 mm"}
    measured = {"readings": ["9214 mm", "9215 mm"], "support": "flat", "temperature": "20 degC", "rig_setting": "everyday"}
    assembly = {"tag": "STAY", "role": "triatic", "wire": wire, "upper": SWIVEL, "lower": SWIVEL, "measurement": measured, **ends}
    return {"boat": {"name": "Dunlin", "length_overall": "12 m"}, "display_units": "metric", "assemblies": [assembly]}


@pytest.fixture
def row(client: FlaskClient) -> dict[str, Any]:
    """The catalogue's row for that wire and pin."""
    rows = client.get("/v1/catalogue/terminals?family=swivel_eye").json["rows"]
    assert rows
    fits = [each for each in rows if "4 mm" in [size["text"] for size in each["wire_sizes"]] and each["pin"]["mm"] == "8"]
    return fits[0]


def test_the_modules_are_the_copys() -> None:
    assert Path(pricing.__file__).is_relative_to(Path.cwd())


def test_it_is_quoted_with_its_own_reach_and_growth(client: FlaskClient, row: dict[str, Any]) -> None:
    answer = client.post("/v1/quotes", json=asked())
    assert answer.status_code == 201
    (made,) = answer.json["assemblies"]
    assert made["readiness"] != "hold", made["findings"]
    assert {(part["sku"], part["family"]) for part in made["parts"] if part["family"]} == {(row["sku"], "swivel_eye")}
    terms = {each["step"]: Decimal(each["mm"]) for each in made["derivation"]}
    assert abs(terms["upper terminal reach"] + Decimal(row["reach"]["mm"])) < Decimal("0.001")  # bearing to mouth, taken from the length
    assert abs(terms["lower wire in the bore"] - Decimal(row["depth"]["mm"])) < Decimal("0.001")  # pushed to the bottom of the bore
    assert terms["upper terminal growth"] < 0


def test_it_is_measured_to_the_datums_of_a_hole_and_to_no_other(client: FlaskClient) -> None:
    request = asked()
    request["assemblies"][0]["measurement"]["upper_datum"] = "pin_centre"
    steps = client.post("/v1/quotes/preview", json=request).json["assemblies"][0]["derivation"]
    assert [Decimal(each["mm"]).quantize(Decimal("0.001")).to_eng_string() for each in steps if each["code"] == "read-to"] == ["4.000"]
    request["assemblies"][0]["measurement"]["upper_datum"] = "ball_centre"
    assert client.post("/v1/quotes/preview", json=request).status_code == 422


def test_it_is_refused_as_it_cannot_be_attached_and_asked_what_a_hole_is(client: FlaskClient) -> None:
    wrong = client.post("/v1/quotes/preview", json=asked(upper={**SWIVEL, "attachment": "compression"}))
    assert (wrong.status_code, wrong.json["errors"][0]["pointer"]) == (422, "#/assemblies/0/upper/attachment")
    unused = client.post("/v1/quotes/preview", json=asked(upper={**SWIVEL, "hand": "left"}))
    assert "field-not-used" in [each["code"] for each in unused.json["assemblies"][0]["findings"]]


def test_it_joins_a_jaw_by_its_pin(client: FlaskClient) -> None:
    hung = client.post("/v1/quotes/preview", json=asked(upper={**SWIVEL, "links": [{"kind": "toggle", "pin": "8 mm", "change": "added"}]}))
    (made,) = hung.json["assemblies"]
    assert made["readiness"] != "hold", made["findings"]


def test_every_paper_shows_it(client: FlaskClient, row: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=asked()).headers["Location"]
    drawn = client.get(f"{made}/assemblies/STAY/drawing").text
    assert drawn.count("member swivel-eye") == 2
    assert "its family is not told" not in drawn
    symbol = drawn.partition("member swivel-eye")[2].partition("</g>")[0]
    assert symbol.count("<circle") == 3  # the discs of its outline: an eye drawn by its side has two
    assert client.get(f"{made}/rig-sheet").status_code == 200
    assert row["name"] in client.get(f"{made}/bench-sheet?format=html").text
    assert row["name"] in client.get(f"{made}?format=html&lang=en").text
    german = client.get(f"{made}?format=html&lang=de").text
    assert "Wirbelauge, gewalzt" in german
    for form in ("csv", "xlsx", "ubl"):
        assert client.get(f"{made}?format={form}").status_code == 200


@pytest.mark.parametrize(("language", "label"), [("en", "Swivel eye"), ("de", "Wirbelauge")])
def test_the_form_offers_it_with_its_pin_and_drawing(client: FlaskClient, language: str, label: str) -> None:
    form = client.get(f"/v1/form?lang={language}").json
    questions = {each["path"]: each for each in form["questions"]}
    (choice,) = [each for each in questions["upper.terminal"]["choices"] if each["value"] == "swivel_eye"]
    assert choice["label"] == label
    for path in ("upper.pin", "upper.links.1.kind", "upper.boat_fitting.kind"):
        assert "swivel_eye" in str(questions[path]["when"]), path
    assert "swivel_eye" not in str(questions["upper.thread"]["when"])
    terminals = next(each for each in form["tables"] if each["name"] == "terminals")
    assert any("swivel_eye" in line[terminals["columns"].index("terminal")] for line in terminals["rows"])
    shown = client.get(f"/v1/form/illustrations/{choice['illustration']}?lang={language}").text
    assert label in shown
    assert client.get(f"/v1/form/illustrations/swivel_eye-pin_centre?lang={language}").status_code == 200
    assert names(language)["terminal.swivel_eye"]["name"].lower() == label.lower()
