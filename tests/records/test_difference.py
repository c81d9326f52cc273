"""What a revision changed: each changed field of the request is a cause, and each result that differs an effect, both with their place."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from pricing.document import rendered
from pricing.measurement.assembly import QuoteRequest
from pricing.records.difference import Requests, difference, same_result
from pricing.values import value_read
from pricing.wording import LANGUAGES, voice_for
from pricing.wording.catalogue import names
from service.demo import demo_names, demo_request
from service.engine.engine import Engine, open_engine
from service.schemas.request import load
from service.settings import Settings
from tests.counts import some_of
from tests.records.full import Json, Place, full, leaves, put, taken_out, values

DAY = date(2026, 11, 25)
LEAVES = list(leaves("QuoteRequest"))
TRIED = some_of(LEAVES, 60)
FIRST, SECOND = ("assemblies", 0), ("assemblies", 1)
# words that another language or other units say otherwise, and what is not compared
WORDS = {
    "message",
    "remedy",
    "step",
    "formula",
    "source",
    "inputs",
    "largest",
    "to_shrink",
    "contributor",
    "weakest",
    "text",
    "cutting_plan",
}
ROWS = ("lines", "bill_of_materials", "charges")


@pytest.fixture(scope="module")
def engine() -> Engine:
    return open_engine(Settings(today=DAY))


@pytest.fixture(scope="module")
def quoted(engine: Engine) -> Json:
    return rendered(engine.quote(read(json.loads(demo_request(demo_names()[0])))))


def read(value: Json) -> QuoteRequest:
    found = load(value)
    assert isinstance(found, QuoteRequest), found
    return found


def pointer(at: Place) -> str:
    return "".join(f"/{each}" for each in at)


def base_for(at: Place) -> Json:
    """The full request, with the end bare or joining a wire if the field at that place requires it."""
    made = full()
    for end in ("upper", "lower"):
        if at[-2:] == (end, "leave"):
            made["assemblies"][0][end]["terminal"] = "none"
            del made["assemblies"][0][end]["attachment"]
        else:
            del made["assemblies"][0][end]["leave"]
        del made["assemblies"][0][end]["boat_fitting" if at[-2:] == (end, "joins") else "joins"]
    return made


def changed_at(at: Place, node: Json) -> Iterator[tuple[Json, Json]]:
    """The request and another, that differ in this leaf alone: in its value, and in whether it is given; as far as both can be read."""
    before = base_for(at)
    others = [copy.deepcopy(before) for _ in values(str(at[-1]), node)]
    for each, value in zip(others, values(str(at[-1]), node), strict=True):
        put(each, at, value)
    without = copy.deepcopy(before)
    taken_out(without, at)
    alike = read(before)
    readable = [each for each in others if load(each) != alike and isinstance(load(each), QuoteRequest)]
    yield from ((before, each) for each in readable[:1])
    if isinstance(load(without), QuoteRequest):
        given = next(each for each in (before, *readable) if load(each) != load(without))  # what is given may be the default
        yield from ((given, without), (without, given))


def causes(quote: Json, before: Json, after: Json, language: str = "en") -> list[Json]:
    """The causes, each held to what every change must be."""
    document = difference(quote, {**quote, "language": language}, Requests(read(before), read(after)))
    for each in document["causes"]:
        values = [value_read(value) for value in each["values"].values()]
        voice = voice_for(language, "imperial", "owner")
        assert all(voice.value(value) in each["message"] for value in values), each
        one, other = each["values"].get("before"), each["values"].get("after")
        assert one is None or voice.value(value_read(one)) != voice.value(value_read(other or {"kind": "text", "text": ""})), each
    found: list[Json] = document["causes"]
    return found


@pytest.mark.parametrize(("at", "node"), TRIED, ids=[pointer(at) for at, _ in TRIED])
def test_every_changed_field_of_the_request_is_a_cause_at_its_place(at: Place, node: Json, quoted: Json) -> None:
    if len(node.get("enum", ())) == 1:
        return  # it has one value, given or not
    pairs = list(changed_at(at, node))
    assert pairs, "no other value of this field could be read"
    for before, after in pairs:
        for language in some_of(LANGUAGES, 1):
            (found,) = causes(quoted, before, after, language)
            assert found["pointer"] == pointer(at), found
            assert found["tag"] == (None if at[0] != "assemblies" else after["assemblies"][0]["tag"])


def test_no_unchanged_field_is_a_cause(quoted: Json) -> None:
    """12 mm is 1.2 cm, and no answer is the default that the contract names."""
    made = base_for(())
    again = copy.deepcopy(made)
    again["assemblies"][0]["upper"]["pin"] = {"value": "1.2", "unit": "cm"}
    made["assemblies"][0]["mast"] = "main"
    del again["assemblies"][0]["mast"]
    assert causes(quoted, made, again) == []


OBJECTS = [
    ("turnbuckle",),
    ("turnbuckle", "setting"),
    ("turnbuckle", "dimensions"),
    ("turnbuckle", "old"),
    ("turnbuckle", "measured_thread"),
    ("old_wire",),
    ("deflection_test",),
    ("upper", "dimensions"),
    ("upper", "boat_fitting"),
    ("lower", "measured_thread"),
    ("measurement", "tape_comparison"),
    ("lower", "links", 0),
    ("lower", "links", 0, "dimensions"),
    ("stops", 0),
]
BESIDE = [("customer", "address"), ("customer", "delivery_address")]


@pytest.mark.parametrize("at", [*((*FIRST, *each) for each in OBJECTS), *BESIDE], ids=str)
def test_a_part_of_the_request_that_is_given_or_left_out_is_a_cause(at: Place, quoted: Json) -> None:
    whole, without = base_for(()), base_for(())
    taken_out(without, at)
    for before, after, codes in ((whole, without, {"dropped", "removed"}), (without, whole, {"now-given", "added"})):
        (found,) = causes(quoted, before, after)
        assert (found["pointer"], found["code"] in codes) == (pointer(at), True), found


def test_wires_added_removed_renamed_and_moved_are_causes(quoted: Json) -> None:
    one = json.loads(demo_request(demo_names()[0]))
    tags = [each["tag"] for each in one["assemblies"]]
    moved = {**one, "assemblies": one["assemblies"][::-1]}
    assert [(each["code"], each["pointer"]) for each in causes(quoted, one, moved)] == [("changed", "/assemblies")]
    fewer = {**one, "assemblies": one["assemblies"][1:]}
    (gone,) = causes(quoted, one, fewer)
    assert (gone["code"], gone["pointer"], gone["tag"]) == ("removed", "/assemblies/0", tags[0])
    (fresh,) = causes(quoted, fewer, one)
    assert (fresh["code"], fresh["pointer"], fresh["tag"]) == ("added", "/assemblies/0", tags[0])
    named = copy.deepcopy(one)
    named["assemblies"][1]["tag"] = "OTHER"
    (other,) = causes(quoted, one, named)
    assert (other["pointer"], other["values"]["before"], other["tag"]) == (
        "/assemblies/1/tag",
        {"kind": "text", "text": tags[1]},
        "OTHER",
    )


def test_personal_details_are_not_repeated(engine: Engine) -> None:
    """Not in a finding either, that asks the shop to read it."""
    before, after = base_for(()), base_for(())
    for each in (
        after["customer"],
        after["customer"]["address"],
        after["customer"]["delivery_address"],
        after["boat"],
        after,
        after["assemblies"][0],
    ):
        for name in {"name", "reference", "tax_number", "external_id", "note", "street"} & set(each):
            each[name] = "Secret Words"
    requests = Requests(read(before), read(after))
    quotes = [rendered(engine.quote(each)) for each in requests]
    assert "Secret" in json.dumps(quotes[1]["assemblies"][0]["findings"])
    for one, other in (quotes, quotes[::-1]):
        document = difference(one, other, requests)
        assert [each["code"] for each in document["causes"]] == [
            "changed"
        ] * 10  # two names, a reference, a tax number, two of the shop's own numbers, two streets, the notes of the request and of its wire
        assert "Secret" not in json.dumps(document)


def test_each_choice_of_the_contract_has_a_word_of_its_own_in_each_language(quoted: Json) -> None:
    """But for grades, classes and categories of tax, which are the same in each."""
    for at, node in some_of(
        [each for each in LEAVES if "enum" in each[1] and each[0][-1] not in ("tape_class", "construction", "tax_category")], 12
    ):
        for language in LANGUAGES:
            words = set()
            for one, other in zip(node["enum"], node["enum"][1:], strict=False):
                before, after = base_for(at), base_for(at)
                put(before, at, one)
                put(after, at, other)
                if isinstance(load(before), QuoteRequest) and isinstance(load(after), QuoteRequest):
                    (found,) = [each for each in causes(quoted, before, after, language) if each["pointer"] == pointer(at)]
                    assert {each["kind"] for each in found["values"].values()} == {"phrase"}, found
                    words |= {each["phrase"] for each in found["values"].values()}
            assert words <= set(names(language))


def differing(one: Any, other: Any, at: str = "") -> Iterator[str]:
    """The place of every figure or word of data that differs between two documents of the same wires."""
    if isinstance(one, dict) and isinstance(other, dict):
        for name in sorted({*one, *other} - WORDS):
            if name in ROWS and at == "":
                yield from rows(one[name], other[name], f"/{name}")
            else:
                yield from differing(one.get(name), other.get(name), f"{at}/{name}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for place, (left, right) in enumerate(zip(one, other, strict=True)):
            yield from differing(left, right, f"{at}/{place}")
    elif one != other:
        yield at


def rows(one: list[Json], other: list[Json], at: str) -> Iterator[str]:
    """Rows of the later list that the earlier does not have, whatever their positions."""
    before = [{**each, "id": ""} for each in one]
    yield from (f"{at}/{place}" for place, each in enumerate(other) if {**each, "id": ""} not in before)
    if len(one) > len(other):
        yield f"{at}/"


def uncovered(before: Json, after: Json, document: Json) -> list[str]:
    """Places that differ and that no change leads to."""
    pointers = [each["pointer"] for each in (*document["causes"], *document["effects"])]
    spoken = before["language"] != after["language"]
    return [
        each
        for each in differing(before, after)
        if not any(f"{each}/".startswith(f"{one}/") or (each.endswith("/") and one.startswith(each)) for one in pointers if one)
        and not (spoken and each.startswith("/cautions"))
    ]


def all_leaves(value: Any, at: Place = ()) -> Iterator[tuple[Place, Any]]:
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for name, each in items:
        if isinstance(each, dict | list):
            yield from all_leaves(each, (*at, name))
        else:
            yield (*at, name), each


OTHERWISE = {
    "terminal": "fork", "side": "centre", "delivery": "ship", "language": "de", "display_units": "metric", "price_list": "retail", "quantity": 3,
    "construction": "7x7", "diameter": "1/4 in", "material": "2205", "boat_hole": "redrilled", "role": "cap_shroud", "email": "loft@example.org",
    "attachment": "compression", "body": "tubular", "thread": "1/2-20 UNF", "tape_class": "I", "support": "hung",
}  # fmt: skip


@pytest.mark.parametrize("name", some_of(demo_names()[:3], 1))
def test_every_result_that_differs_is_an_effect_at_its_place(name: str, engine: Engine) -> None:
    """Each leaf of a boat's request replaced or left out; what of the quote differs is found by walking both documents."""
    sent = json.loads(demo_request(name))
    sent["assemblies"] = sent["assemblies"][:3]
    before, seen = rendered(engine.quote(read(sent))), 0
    for at, value in list(all_leaves(sent)):
        for way in ("other", "out"):
            after = copy.deepcopy(sent)
            if way == "out":
                taken_out(after, at)
            else:
                replaced = OTHERWISE.get(
                    str(at[-1]), not value if isinstance(value, bool) else f"1{value}" if isinstance(value, str) else value
                )
                put(after, at, replaced)
            asked = load(after)
            if not isinstance(asked, QuoteRequest) or asked == read(sent) or (asked.price_list or "retail") not in ("retail", "fleet"):
                continue
            quote = rendered(engine.quote(asked))
            document = difference(before, quote, Requests(read(sent), asked))
            if at[-1] != "tag":  # another tag is another wire to the documents
                assert uncovered(before, quote, document) == [], (at, way)
            assert document["causes"], (at, way)
            seen += bool(document["effects"])
    assert seen > 30  # most of them change what comes out


def test_freight_a_part_and_a_note_are_reported_with_figures_as_data(engine: Engine) -> None:
    """By hand: the fleet boat is fetched at no charge, and sent for what the tariff says; its tee is a fork instead."""
    sent = json.loads(demo_request(demo_names()[0]))
    other = copy.deepcopy(sent)
    other.update(delivery="ship", note="Masts are stepped in May.")
    before, after = (rendered(engine.quote(read(each))) for each in (sent, other))
    document = difference(before, after, Requests(read(sent), read(other)))
    assert [(each["code"], each["pointer"]) for each in document["causes"]] == [("other", "/delivery"), ("now-given", "/note")]
    (freight,) = [each for each in document["effects"] if each["pointer"] == "/charges/0"]
    assert freight["code"] == "joins"
    assert freight["values"]["after"] == {"kind": "money", "amount": after["charges"][0]["amount"], "currency": "USD"}
    assert document["words"][:2] == ["Delivery: shipped instead of collected.", "Note: now given."]
    assert f"Freight: added, {after['charges'][0]['amount']} USD." in document["words"]
    german = difference(before, {**after, "language": "de"}, Requests(read(sent), read(other)))
    assert f"Fracht: kommt hinzu, {after['charges'][0]['amount'].replace('.', ',')} USD." in german["words"]


def test_a_replaced_part_is_reported_with_both_names(engine: Engine) -> None:
    sent = json.loads(demo_request(demo_names()[0]))
    other = copy.deepcopy(sent)
    assert other["assemblies"][0]["upper"]["terminal"] == "tee"
    other["assemblies"][0]["upper"] = {"terminal": "eye", "attachment": "swage", "pin": "3/8 in"}
    before, after = (rendered(engine.quote(read(each))) for each in (sent, other))
    document = difference(before, after, Requests(read(sent), read(other)))
    (exchanged,) = [each for each in document["effects"] if each["code"] == "exchanged" and "Tee" in each["values"]["before"]["text"]]
    assert (exchanged["tag"], exchanged["pointer"]) == (sent["assemblies"][0]["tag"], "/assemblies/0/parts")
    assert "Eye" in exchanged["values"]["after"]["text"]


def test_a_later_day_is_a_cause_but_not_a_reason_for_a_new_issue(engine: Engine) -> None:
    asked = read(json.loads(demo_request(demo_names()[0])))
    before, after = rendered(engine.quote(asked)), rendered(engine.quote(asked, date(2026, 12, 1)))
    document = difference(before, after)
    days = {each["pointer"]: each["values"]["after"]["text"] for each in document["causes"]}
    assert days == {"/issued_on": "2026-12-01", "/valid_until": "2026-12-31", "/provenance/priced_on": "2026-12-01"}  # 30 days later
    assert (document["effects"], same_result(before, after)) == ([], True)
    dearer = copy.deepcopy(after)
    dearer["provenance"]["price_table"] = "0" * 16
    dearer["totals"]["payable"] = "1.00"
    document = difference(before, dearer)
    assert "/provenance/price_table" in {each["pointer"] for each in document["causes"]}
    assert [each["pointer"] for each in document["effects"]] == ["/totals/payable"]
    assert not same_result(before, dearer)


def test_two_equal_issues_are_reported_as_equal(quoted: Json) -> None:
    assert difference(quoted, quoted) == {"words": ["Nothing changed."], "causes": [], "effects": []}
    assert difference(quoted, {**quoted, "language": "de"}, Requests(None, None))["causes"] == []


def test_a_request_that_can_no_longer_be_read_is_reported_and_results_are_compared(quoted: Json) -> None:
    asked = read(json.loads(demo_request(demo_names()[0])))
    document = difference({**quoted, "note": "Before."}, quoted, Requests(None, asked))
    assert [each["code"] for each in document["causes"]] == ["unreadable"]
    assert [each["pointer"] for each in document["effects"]] == ["/note"]
