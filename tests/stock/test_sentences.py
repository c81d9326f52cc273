"""The texts of plans, in every language: what the planner refuses, why a piece has no place, and its notes."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from pricing import cutting
from pricing.catalogue import load_catalogue
from pricing.cutting import Limits, Policy, Source, Stock, plan
from pricing.stock.document import plan_document
from pricing.stock.pieces import WantedPieces
from pricing.stock.planning import WirePlan
from pricing.units import metric
from pricing.wording import LANGUAGES, voice_for
from pricing.wording.catalogue import names
from service.lifecycle.erasure import erased_plan
from service.lifecycle.personal_words import ERASED
from tests.catalogue.conftest import SMALL

SOURCES = "".join(path.read_text(encoding="utf-8") for path in Path(cutting.__file__).parent.glob("*.py"))
REFUSED = re.findall(r'Failure\([^,]+, "(\w+)"(.*)', SOURCES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_reason_of_a_refusal_has_words(language: str) -> None:
    assert len(REFUSED) > 15
    for code, rest in REFUSED:
        kind = "refused_number" if rest.endswith(", value)") else "refused"
        assert f"{kind}.{code}" in names(language), code


D = Decimal
USUAL = Policy()


def document(pieces: tuple[WantedPieces, ...], stock: tuple[Stock, ...], language: str, policy: Policy = USUAL) -> dict[str, Any]:
    """The document of one wire's plan."""
    wire = next(iter(load_catalogue(SMALL).wires.values()))
    made = plan([each.piece() for each in pieces], stock, policy, Limits()) if stock else None
    (found,) = plan_document([WirePlan(wire, pieces, policy, made)], "USD", metric, voice_for(language, "metric", "owner"))["wires"]
    return found


def pair() -> tuple[WantedPieces, ...]:
    return tuple(WantedPieces("W", D(6_000), 1, label, pair="Tern main cap_shroud") for label in ("CAP-P", "CAP-S"))


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        ("en", "CAP-P and CAP-S are a pair and come off 2 stock objects: SP-1 and SP-2."),
        ("de", "CAP-P und CAP-S sind ein Paar und kommen von 2 Stücken des Lagers: SP-1 und SP-2."),
    ],
)
def test_a_pair_on_two_objects_is_named_by_its_tags(language: str, sentence: str) -> None:
    stock = tuple(Stock(name, D(10_000), Source.NEW, price=D(50)) for name in ("SP-1", "SP-2"))
    (note,) = document(pair(), stock, language)["notes"]
    assert (note["code"], note["message"], note["subject"]) == ("group_split", sentence, "Tern main cap_shroud")


def test_an_erased_plan_keeps_no_tag_of_a_pair() -> None:
    stock = tuple(Stock(name, D(10_000), Source.NEW, price=D(50)) for name in ("SP-1", "SP-2"))
    wire = document(pair(), stock, "en")
    for kept in (wire, {**wire, "notes": [{name: each for name, each in note.items() if name != "values"} for note in wire["notes"]]}):
        (note,) = erased_plan({"title": "Tern", "wires": [kept]})["wires"][0]["notes"]
        assert note == {**kept["notes"][0], "message": ERASED, "subject": ERASED, **({"values": {}} if "values" in note else {})}
        assert not re.search("Tern|CAP-", str(note))


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        ("en", "The remnant of SP-1, 4000.0 mm, is long enough to be kept, but worth less than keeping it costs: it is scrap."),
        (
            "de",
            "Der Rest von SP-1, 4000,0 mm, ist lang genug, um ihn zu behalten, aber weniger wert, als das Behalten kostet: Er ist Verschnitt.",
        ),
    ],
)
def test_a_remnant_not_worth_keeping_is_reported_with_its_length(language: str, sentence: str) -> None:
    """10 m less 6 m; 50.00 for 10 m make 4 m worth 20.00, and keeping it costs 30.00."""
    stock = (Stock("SP-1", D(10_000), Source.NEW, price=D(50)),)
    (note,) = document(pair()[:1], stock, language, Policy(remnant_fee=D(30)))["notes"]
    assert (note["code"], note["message"]) == ("remnant_not_worth_keeping", sentence)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_reason_and_every_note_of_the_planner_has_words(language: str) -> None:
    reasons = {"no_stock", *re.findall(r'"(longer_than_any_stock|stock_exhausted)"', SOURCES)}
    assert {f"unplanned.{each}" for each in reasons} == {each for each in names(language) if each.startswith("unplanned.")}
    for code in re.findall(r'Note\("(\w+)"', SOURCES):
        assert f"plan_note.{code}" in names(language)
    (left,) = document(pair()[:1], (), language)["unplanned"]
    assert left["message"] == names(language)["unplanned.no_stock"]["name"]
