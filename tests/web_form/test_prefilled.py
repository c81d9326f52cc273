"""A stored request as a draft of the form, and back: unchanged it is the same to the letter, and a change changes its own place alone."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from typing import Any

import pytest

from pricing.measurement.assembly import QuoteRequest
from service.demo import demo_names, demo_request
from service.schemas.request import load
from service.web_form.answering import request_of, visible
from service.web_form.description import describe
from service.web_form.draft import LEFT, Draft, unpacked
from service.web_form.merging import at
from service.web_form.merging import leaves as leaves_of
from service.web_form.prefilled import WHOLE, Stored
from service.web_form.reading import posted
from tests.counts import some
from tests.engine.shop import demo
from tests.records.full import full, leaves, taken_out
from tests.service.form_filler import LENGTHS, WRITTEN, choices, holds

Json = dict[str, Any]
MOST = 200


@cache
def form() -> Json:
    return describe(demo()[0], "en")


def asked(name: str) -> Json:
    found: Json = json.loads(demo_request(name))
    return found


def stored(*wires: Json, **beside: Any) -> Stored:
    return Stored(form(), {**beside, "assemblies": list(wires)})


def wire(name: str, tag: str) -> Json:
    return next(each for each in asked(name)["assemblies"] if each["tag"] == tag)


def turned(draft: Draft) -> Draft:
    """Each page of the draft posted as it stands, as a browser does, and the draft read from the page again."""
    for scope, answers in (("request", draft.whole), *(("assembly", each) for each in draft.assemblies)):
        for each in visible(form(), scope, answers):
            answer = posted(each.question["kind"], _fields(each.answer))
            answers.pop(each.path, None)
            if answer is not None:
                answers[each.path] = answer
    return unpacked(draft.packed(), form()["questions"], MOST)


def _fields(answer: Any) -> list[str]:
    if isinstance(answer, list):
        return [*answer, "", ""]
    said = {None: "", True: "yes", False: "no"}.get(answer) if answer is None or isinstance(answer, bool) else str(answer)
    return [str(said).replace("\n", "\r\n")]


def generated() -> Iterator[Json]:
    """The full request without leaves by chance, as far as it can be read; some lengths as objects, a link by its kind alone."""
    chance = random.Random(4)
    places = [place for place, _ in leaves("QuoteRequest")]
    for _ in range(some(150, 12)):
        made = full()
        for end in ("upper", "lower"):
            made["assemblies"][0][end].pop(chance.choice(("joins", "boat_fitting")))
            made["assemblies"][0][end].pop("leave")
        out = chance.sample(places, chance.randrange(len(places)))
        for some_places in (out[each : each + 8] for each in range(0, len(out), 8)):
            tried = deepcopy(made)
            for place in [each for each in some_places if at(tried, "".join(f"/{step}" for step in each)) is not None]:
                taken_out(tried, place)
            made = tried if isinstance(load(tried), QuoteRequest) else made
        first = made["assemblies"][0]
        if chance.random() < 0.5:
            first["measurement"]["readings"] = [{"value": "9568", "unit": "mm"}, " 9 569,5 mm ", "31 ft 4 3/4 in", "9.57 m", "9570 mm"]
        if chance.random() < 0.5:
            first["upper"]["links"] = ["toggle", {"kind": "shackle"}, "shackle"]
        assert isinstance(load(made), QuoteRequest)
        yield made


@pytest.mark.parametrize("name", demo_names())
def test_a_demo_request_comes_out_as_it_was(name: str) -> None:
    request = asked(name)
    there = Stored(form(), request)
    assert there.revised(turned(there.draft())) == request


def test_whatever_a_program_sent_comes_out_as_it_was() -> None:
    many = 0
    for request in generated():
        there = Stored(form(), request)
        made = there.revised(turned(there.draft()))
        assert made == request
        assert load(made) == load(request)
        many += bool(there.filled(0).kept and there.filled(WHOLE).kept)
    assert many > 5  # there was something that the form does not ask


def answered_by_chance(chance: random.Random) -> Json:
    """Answers one after another, each among those that are offered after the earlier ones."""
    found: Json = {}
    told: Json = {}
    for question in form()["questions"]:
        path = question["path"]
        if path in ("copy", "alike") or not holds(question.get("when"), found) or not (question["required"] or chance.random() < 0.6):
            continue
        offered = choices(form(), question, found)
        if path in told and (not offered or told[path] in offered):
            found[path] = told[path]
        elif offered:
            found[path] = chance.choice(offered)
        elif question["kind"] not in ("choice", "flag", "presence"):
            found[path] = LENGTHS.get(path) or WRITTEN.get(question["kind"]) or question["examples"][0]
        told |= next((each.get("answers", {}) for each in question.get("choices", []) if each["value"] == found.get(path)), {})
    return found


def test_what_the_form_itself_made_is_shown_whole() -> None:
    """Nothing is left that the form would not show, of answers by chance that a request can have."""
    chance, many = random.Random(5), 0
    for _ in range(some(300, 60)):
        answers = answered_by_chance(chance)
        request = request_of(form(), answers, [answers])
        if not isinstance(load(request), QuoteRequest):
            continue
        many += 1
        there = Stored(form(), request)
        assert (there.filled(0).kept, there.filled(WHOLE).kept) == ((), ()), request
        assert request_of(form(), there.draft().whole, there.draft().assemblies) == request or there.revised(there.draft()) == request
    assert many > 4


def test_what_the_form_does_not_ask_is_named() -> None:
    there = Stored(
        form(),
        {**asked("fleet-sloop-wagtail"), "extra_lines": [{"text": "Mast off", "quantity": "1", "unit_price": "5", "tax_category": "S"}]},
    )
    tape = {"/measurement/tape_material", "/measurement/tape_class", "/measurement/resolution"}
    by_tag = {each["tag"]: set(there.filled(place).kept) - tape for place, each in enumerate(there.request["assemblies"])}
    assert by_tag["CAP-P"] == {"/turnbuckle/dimensions/within"}
    assert by_tag["HALYARD"] == {"/stops/0", "/stops/1"}
    assert by_tag["BACKSTAY"] == {"/turnbuckle/build_at"}
    assert by_tag["PENNANT"] == set()
    assert set(there.filled(WHOLE).kept) == {"/price_list", "/extra_lines/0"}


def test_a_reading_that_is_changed_changes_alone_and_in_the_words_it_was_typed_in() -> None:
    there = stored(wire("fleet-sloop-wagtail", "CAP-P"))
    draft = turned(there.draft())
    draft.assemblies[0]["measurement.readings"] = ["103 ft 0 7/32 in", "29 ft 10 1/4 in"]
    before = wire("fleet-sloop-wagtail", "CAP-P")
    after = {**before, "measurement": {**before["measurement"], "readings": ["103 ft 0 7/32 in", "29 ft 10 1/4 in"]}}
    assert there.revised(draft)["assemblies"] == [after]


def test_a_turnbuckle_that_is_taken_off_goes_with_all_that_was_known_of_it() -> None:
    there = stored(wire("fleet-sloop-wagtail", "CAP-P"))
    draft = turned(there.draft())
    draft.assemblies[0]["turnbuckle_is"] = "none"
    (after,) = there.revised(draft)["assemblies"]
    assert "turnbuckle" not in after
    assert after["measurement"]["tape_class"] == "II"


def test_a_stud_of_another_thread_takes_the_turnbuckles_thread_along() -> None:
    before = {**wire("winter-yawl-plover", "CAP/P"), "furled": True}
    there = stored(before)
    draft = turned(there.draft())
    draft.assemblies[0]["lower.screw"] = "1/2-20 UNF | left"
    (after,) = there.revised(draft)["assemblies"]
    assert (after["turnbuckle"]["thread"], after["lower"]["thread"], after["lower"]["hand"]) == ("1/2-20 UNF", "1/2-20 UNF", "left")
    draft.assemblies[0] |= {"wire.diameter": "3/16 in", "lower.screw": "3/8-24 UNF | right"}
    (after,) = there.revised(draft)["assemblies"]
    assert (after["turnbuckle"]["thread"], after["lower"]["thread"]) == ("3/8-24 UNF", "3/8-24 UNF")
    assert after["furled"] is True


def test_another_terminal_leaves_nothing_of_the_one_before() -> None:
    there = stored(wire("winter-yawl-plover", "CAP/P"))
    draft = turned(there.draft())
    draft.assemblies[0] |= {"turnbuckle_is": "none", "lower.terminal": "eye", "lower.pin": "1/2 in"}
    (after,) = there.revised(draft)["assemblies"]
    assert after["lower"] == {"terminal": "eye", "attachment": "swage", "pin": "1/2 in"}


def test_a_link_beyond_those_that_the_form_asks_stays_when_they_are_taken_out() -> None:
    """The form can say the first two; a third is kept, and comes next to the wire when those are gone."""
    before = wire("fleet-sloop-wagtail", "FORESTAY")
    links = [
        {"kind": "toggle", "pin": "3/8 in", "change": "kept"},
        {"kind": "shackle", "pin": "3/8 in", "change": "added"},
        {"kind": "shackle", "sku": "SHACKLE-X"},
    ]
    before["lower"]["links"] = deepcopy(links)
    there = stored(before)
    assert [each for each in there.filled(0).kept if "links/" in each] == ["/lower/links/2"]
    draft = turned(there.draft())
    assert there.revised(draft)["assemblies"] == [before]
    draft.assemblies[0].pop("lower.links.1.kind")
    (after,) = there.revised(draft)["assemblies"]
    assert after["lower"]["links"] == links[2:]


def test_wires_are_taken_out_and_added_and_the_others_stay_in_their_order() -> None:
    request = asked("winter-yawl-plover")
    there = Stored(form(), request)
    draft = turned(there.draft())
    del draft.assemblies[1]
    draft.assemblies.append({"tag": "NEW", "role": "forestay", "place": "other", "measurement.readings": ["9 m"]})
    first, _, *others = request["assemblies"]
    made = there.revised(draft)
    assert made["assemblies"][:-1] == [first, *others]
    assert made["assemblies"][-1] == {"tag": "NEW", "role": "forestay", "measurement": {"readings": ["9 m"]}}
    assert {**made, "assemblies": []} == {**request, "assemblies": []}


def test_what_is_kept_can_be_left_out() -> None:
    there = stored(wire("fleet-sloop-wagtail", "HALYARD"), price_list="fleet", discount={"text": "Winter", "reduction": "5 %"})
    draft = turned(there.draft())
    draft.assemblies[0][LEFT] = ["/stops/0", "/stops/1", "/measurement/readings", "/nowhere"]
    draft.whole[LEFT] = ["/discount"]
    made = there.revised(unpacked(draft.packed(), form()["questions"], MOST))
    before = wire("fleet-sloop-wagtail", "HALYARD")
    before.pop("stops")
    assert made == {"price_list": "fleet", "assemblies": [before]}


def test_an_address_that_the_form_asks_in_part_keeps_the_rest() -> None:
    customer = {"name": "A", "address": {"street": "Quay 1", "city": "Kiel", "region": "SH", "country": "DE"}, "external_id": "C-1"}
    there = stored(wire("winter-yawl-plover", "GATE-P"), customer=customer, boat={"name": "Plover", "external_id": "B-1"})
    draft = turned(there.draft())
    for path in ("customer.address.street", "customer.address.city", "boat.name"):
        draft.whole.pop(path)
    made = there.revised(draft)
    assert made["customer"] == {"name": "A", "address": {"region": "SH", "country": "DE"}, "external_id": "C-1"}
    assert made["boat"] == {"external_id": "B-1"}


@pytest.mark.parametrize(
    ("size", "thread"), [("3/16in", "3/8-24"), ({"value": "4.7625", "unit": "mm"}, '3/8" - 24 UNF')]
)  # 3/16 in = 4.7625 mm (by definition of the inch)
def test_another_spelling_of_a_size_or_thread_is_shown_as_the_offered_one_and_stays_as_it_was_sent(size: Any, thread: str) -> None:
    before = wire("fleet-sloop-wagtail", "CAP-P")
    before["wire"]["diameter"], before["lower"]["thread"], before["turnbuckle"]["thread"] = size, thread, thread
    there = stored(before)
    shown = there.filled(0)
    assert not any(each.startswith(("/wire", "/lower", "/turnbuckle/thread")) for each in shown.kept)
    assert shown.open == frozenset()
    assert there.revised(turned(there.draft()))["assemblies"] == [before]


def test_what_the_shop_does_not_offer_is_kept_and_not_taken_for_unknown() -> None:
    before = wire("fleet-sloop-wagtail", "CAP-P")
    before["lower"]["thread"] = "M39 x 4"
    there = stored(before)
    assert {"/lower/thread", "/lower/hand"} <= set(there.filled(0).kept)
    assert there.filled(0).open >= {"lower.screw"}
    assert there.revised(turned(there.draft()))["assemblies"] == [before]


def test_a_note_as_long_as_can_be_is_not_lost_on_its_way_through_a_page() -> None:
    """A browser sends each line's end as two characters; a request's note has at most 2000 (openapi.yaml)."""
    note = "a\n" * 999 + "b."
    there = stored(wire("winter-yawl-plover", "GATE-P"), note=note)
    assert there.revised(turned(there.draft()))["note"] == note


def test_no_answer_is_made_up() -> None:
    """What the request does not say is open, not guessed, even where the form wants an answer."""
    before = wire("winter-yawl-plover", "MIZZEN BACK")
    del before["wire"], before["lower"]["hand"], before["measurement"]["includes_turnbuckle"]
    before["wire"] = {"measured": "4.8 mm"}
    before["upper"]["links"] = [{"kind": "toggle", "pin": "3/8 in"}]
    there = stored(before)
    answers = there.filled(0).answers
    assert (answers["wire_kind"], answers["wire.diameter"], answers["lower.screw"]) == ("unknown", "measured", "hand unknown")
    assert there.filled(0).open >= {"measured_from", "upper.links.1.change"}
    made_up = (
        there.filled(0).values.keys()
        - leaves_of(before).keys()
        - {"/turnbuckle", "/turnbuckle/at", "/turnbuckle/reuse", "/turnbuckle/like_for_like"}
    )
    assert {each for each in made_up if not each.endswith(("_datum", "/side"))} == set()


def test_a_program_may_have_asked_for_more_wires_than_the_customers_form_takes() -> None:
    draft = Draft({}, [{"of": place} for place in range(61)])
    assert unpacked(draft.packed(), form()["questions"], MOST).assemblies == draft.assemblies
    assert len(unpacked(draft.packed(), form()["questions"]).assemblies) == 60


def test_a_draft_names_no_wire_that_there_is_not() -> None:
    there = stored(wire("winter-yawl-plover", "GATE-P"))
    for place in (7, -1, "0", True, 10**30):
        draft = unpacked(json.dumps({"w": {}, "a": [{"of": place, "tag": "X"}], "once": there.draft().once}), form()["questions"], MOST)
        assert there.revised(draft)["assemblies"] == [{"tag": "X"}] or draft.assemblies[0].get("of") == 7
    assert there.place({"of": 7}) is None
