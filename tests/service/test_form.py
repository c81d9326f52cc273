"""The description of the form: what it asks is a field of the request, and what it offers is read and can be built."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from babel.messages.extract import extract_from_dir
from flask import Flask
from flask.testing import FlaskClient

from pricing.document import rendered
from pricing.fittings import FAMILIES
from pricing.measurement.roles import ROLES
from service.assembly_table.columns import usual_names
from service.engine.engine import Engine
from service.schemas import read_request
from service.web_form import description
from service.wording import messages
from tests.counts import some
from tests.service.form_filler import choices, filled, holds, is_sent, request_of

Answers = dict[str, Any]
SETTING = {"turnbuckle.setting.upper_exposed": "28 mm", "turnbuckle.setting.lower_exposed": "28 mm"}


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.fixture(scope="module")
def form(app: Flask) -> dict[str, Any]:
    found: dict[str, Any] = app.test_client().get("/v1/form?lang=en").json
    return found


def preview(engine: Engine, form: dict[str, Any], given: Answers, *, optional: bool = False) -> dict[str, Any]:
    """What a preview would answer, without the way over HTTP. Raises Problem where the request would be refused."""
    asked = read_request(request_of(form, filled(form, given, optional=optional)), engine.known_price_lists())
    found: dict[str, Any] = rendered(engine.quote(asked))["assemblies"][0]
    return found


def stops(assembly: dict[str, Any]) -> list[tuple[str, str]]:
    return [(each["code"], each["message"]) for each in assembly["findings"] if each["severity"] == "stop"]


def wires(form: dict[str, Any]) -> Iterator[Answers]:
    table = next(each for each in form["tables"] if each["name"] == "wires")
    for row in table["rows"]:
        for values in product(*row[:3]):
            yield dict(zip(("wire.construction", "wire.material", "wire.diameter"), values, strict=True))


def ends(form: dict[str, Any], wire: Answers, end: str) -> Iterator[Answers]:
    """Every terminal with every attachment, pin, thread and hand that the description offers for a wire."""
    names = [f"{end}.{name}" for name in ("terminal", "attachment", "pin", "thread", "hand")]
    by_path = {each["path"]: each for each in form["questions"]}

    def more(answers: Answers, rest: list[str]) -> Iterator[Answers]:
        if not rest:
            yield answers
            return
        offered = [each for each in choices(form, by_path[rest[0]], answers) if is_sent(by_path[rest[0]], each)]
        for value in offered or [None]:
            yield from more({**answers, **({rest[0]: value} if value is not None else {})}, rest[1:])

    yield from more(dict(wire), names)


def test_every_path_of_the_form_is_a_field_of_the_request(form: dict[str, Any]) -> None:
    numbered = {each["path"].replace(".links.2.", ".links.1.") for each in form["questions"]}
    assert numbered - set(usual_names()) - {each["path"] for each in form["questions"] if each.get("short")} == {
        "turnbuckle"
    }  # an object: no cell holds it
    assert all(("pointer" in each) is not each.get("short", False) for each in form["questions"])


def test_conditions_look_back_only_and_within_what_is_asked_together(form: dict[str, Any]) -> None:
    asked: dict[str, set[str]] = {"request": set(), "assembly": set()}
    for question in form["questions"]:
        known = asked[question["scope"]]
        parts = [
            question,
            *question.get("choices", []),
            *question.get("from", []),
            *(m for f in question.get("from", []) for m in f.get("match", [])),
        ]
        named = {each["path"] for part in parts for together in part.get("when", []) for each in together}
        named |= {match["path"] for source in question.get("from", []) for match in source.get("match", [])}
        assert named <= known, question["path"]
        known.add(question["path"])


def test_all_that_is_offered_for_any_wire_can_be_built(engine: Engine, form: dict[str, Any]) -> None:
    tried, held = 0, []
    for wire in list(wires(form))[:: some(1, 5)]:
        for given in list(ends(form, wire, "upper"))[:: some(1, 2)]:
            tried += 1
            found = preview(engine, form, {**given, "turnbuckle": False, "lower.terminal": "none"})
            if found["readiness"] == "hold":
                held.append((given, stops(found)))
    assert not held, (len(held), tried, held[:5])
    assert tried > some(1000, 80)


def paths_to(form: dict[str, Any], given: Answers, names: list[str]) -> Iterator[Answers]:
    """Every way of answering these questions, one after the other, after what is given."""
    by_path = {each["path"]: each for each in form["questions"]}
    if not names:
        yield given
        return
    question = by_path[names[0]]
    offered = choices(form, question, given) if holds(question.get("when"), given) else []
    for value in [*offered, *([None] if not offered or not question["required"] else [])]:
        yield from paths_to(form, given if value is None else {**given, names[0]: value}, names[1:])


@pytest.fixture(scope="module")
def one_wire_of_each_terminal(form: dict[str, Any]) -> dict[str, list[Answers]]:
    """A wire for each different terminal with its pin or thread, by its end."""
    return {end: _one_wire_of_each_terminal(form, end) for end in ("upper", "lower")}


def _one_wire_of_each_terminal(form: dict[str, Any], end: str) -> list[Answers]:
    found: dict[tuple[Any, ...], Answers] = {}
    for wire in wires(form):
        for given in ends(form, wire, end):
            found.setdefault(tuple(given.get(f"{end}.{name}") for name in ("terminal", "pin", "thread", "hand")), given)
    return list(found.values())


@pytest.mark.parametrize("at", ["upper", "lower"])
def test_every_turnbuckle_that_is_offered_can_be_built(
    engine: Engine, form: dict[str, Any], one_wire_of_each_terminal: dict[str, list[Answers]], at: str
) -> None:
    other = {"upper": "lower", "lower": "upper"}[at]
    names = [f"turnbuckle.{name}" for name in ("thread", "body", "upper_end", "lower_end", "inner_pin", "pin")]
    tried, held = 0, []
    for given in one_wire_of_each_terminal[at]:
        if given[f"{at}.terminal"] in ("fork", "eye", "toggle", "stud"):
            start = {**given, "turnbuckle": True, "turnbuckle.at": at, **SETTING}
            built = [each for each in paths_to(form, start, names) if "turnbuckle.body" in each]  # else none is offered for this pin
            for each in built[:: some(1, 20)]:
                tried += 1
                found = preview(engine, form, {**each, f"{other}.terminal": "none"})
                if found["readiness"] == "hold":
                    held.append((each, stops(found)))
    assert not held, (len(held), tried, held[:5])
    assert tried > some(500, 25)


def test_every_toggle_and_shackle_that_is_offered_can_be_built(
    engine: Engine, form: dict[str, Any], one_wire_of_each_terminal: dict[str, list[Answers]]
) -> None:
    names = [f"upper.links.{name}" for name in ("1.kind", "1.pin", "2.kind", "2.pin")]
    tried, held = 0, []
    for given in one_wire_of_each_terminal["upper"][:: some(1, 4)]:
        start = {**given, "turnbuckle": False, "unusual": "yes"}
        for each in list(paths_to(form, start, names))[:: some(23, 101)]:  # there are some 15,000: a shackle takes any pin on its bow
            tried += 1
            found = preview(engine, form, {**each, "lower.terminal": "none"})
            if found["readiness"] == "hold":
                held.append((each, stops(found)))
    assert not held, (len(held), tried, held[:5])
    assert tried > some(100, 6)


def test_every_section_has_a_short_name_in_both_languages(client: FlaskClient) -> None:
    short = {lang: {each["name"]: each["short"] for each in client.get(f"/v1/form?lang={lang}").json["sections"]} for lang in ("en", "de")}
    assert (short["en"]["length"], short["de"]["length"]) == ("length", "Länge")
    assert [name for name, words in short["en"].items() if short["de"][name] == words] == []


def test_every_text_of_the_form_has_a_german_one() -> None:
    folder = Path(description.__file__).parent
    options = {"**.html": {"trimmed": "true"}}
    found = extract_from_dir(folder, [("**.py", "python"), ("**.html", "jinja2")], options, keywords={"N_": None, "gettext": None})
    texts = {message for _, _, message, _, _ in found if isinstance(message, str)}
    texts |= {role.label for role in ROLES.values()} | {text for each in FAMILIES.values() for text in (each.label, each.bears)}
    german = messages("de")
    assert len(texts) > 150
    assert not [each for each in texts if german.gettext(each) == each and each != "Toggle"]
