"""Plans at the bench: made for what is ticked, taken once in a person's name, put back; whoever comes second is told."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.desk import bench_find
from service.desk.bench_cuts import MOST_TICKED
from tests.desk.colleague import Colleague
from tests.service.steps import accepted

Json = dict[str, Any]
MORE = "More quotes"
PLAN, TAKE, UNDO = "Plan the cuts of what is ticked", "Take this wire, as Benno Benchley", "Nothing was cut: put it back"


def quoted(desk: Flask, demo: Json, boat: str, quantity: int = 1) -> Json:
    """An accepted quote of one kind of cap shroud."""
    one = {**demo["assemblies"][0], "quantity": quantity}
    request = {**demo, "boat": {"name": boat}, "assemblies": [one]}
    return accepted(desk.test_client(), desk.test_client().post("/v1/quotes", json=request).json)


def planned(desk: Flask, bench: Colleague, *quotes: Json) -> Json:
    """The plan of these quotes as the API has it; the page shows it."""
    bench.go("/desk/bench")
    assert bench.press(PLAN, **{f"quote-{each['id']}": "on" for each in quotes}).status_code == 200
    found: Json = desk.test_client().get(f"/v1/cutting-plans/{bench.at.rsplit('/')[-1].partition('?')[0]}").json
    return found


def movements(desk: Flask) -> list[Json]:
    found: list[Json] = desk.test_client().get("/v1/stock/movements").json["movements"]
    return found


@pytest.fixture
def bench(desk: Flask) -> Colleague:
    return Colleague(desk, Role.BENCH)


def test_what_is_ticked_is_planned_taken_and_put_back(desk: Flask, demo: Json, bench: Colleague) -> None:
    """The tag of the remnant is shown once the plan is taken, and not before."""
    quote, other = quoted(desk, demo, "Wagtail", 9), quoted(desk, demo, "Dunlin")
    plan = planned(desk, bench, quote)
    (use,) = plan["wires"][0]["uses"]
    assert [each["number"] for each in plan["quotes"]] == [quote["number"]]
    assert other["number"] not in bench.text
    assert (len(use["cuts"]), use["remnant_kept"]) == (9, True)
    assert bench.text.count(use["cuts"][0]["length"]["text"]) == 9
    assert f"Remnant {use['remnant']['text']}: to the shelf; it gets its tag when the plan is taken." in bench.text
    assert movements(desk) == []
    bench.press(TAKE, note="Spool two is on the floor.")
    (moved,) = movements(desk)
    (kept,) = moved["kept_as"]
    assert (moved["by"], moved["note"], moved["plan_id"]) == ("Benno Benchley", "Spool two is on the floor.", plan["id"])
    assert f"Write on the remnants {kept['tag']} {use['remnant']['text']} {plan['wires'][0]['wire']['name']}" in bench.text
    assert "Taken by Benno Benchley" in bench.text
    assert bench.forms(TAKE) == []
    bench.press(UNDO)
    assert [each["type"] for each in movements(desk)] == ["reversal", "take"]
    assert kept["tag"] not in bench.text
    assert "This plan was taken and put back." in bench.text
    assert bench.forms(TAKE)


def test_nothing_ticked_is_said_and_nothing_planned(desk: Flask, demo: Json, bench: Colleague) -> None:
    quoted(desk, demo, "Wagtail")
    bench.go("/desk/bench")
    assert bench.press(PLAN).status_code == 422
    assert "Tick the quotes to be cut together" in bench.text
    assert desk.test_client().get("/v1/cutting-plans").json["plans"] == []


@pytest.mark.parametrize("back", [False, True])
def test_ticks_of_several_pages_are_planned_together(
    desk: Flask, demo: Json, bench: Colleague, monkeypatch: pytest.MonkeyPatch, back: bool
) -> None:
    """Two quotes a page, three in all: one is ticked on the first page, one on the second, and it is planned from there or from the first."""
    monkeypatch.setattr(bench_find, "MOST", 2)
    boats = ["Wagtail", "Dunlin", '<i>"Plover"</i>']
    by_id = {quote["id"]: quote for quote in (quoted(desk, demo, each) for each in boats)}
    bench.go("/desk/bench")
    first = [each.removeprefix("quote-") for each in bench.prepared(PLAN)[1] if each.startswith("quote-")]
    (second,) = by_id.keys() - set(first)
    bench.press(MORE, **{f"quote-{first[0]}": by_id[first[0]]["number"]})
    assert bench.reply.status_code == 200
    assert "Ticked on other pages: 1" in bench.text
    fields = bench.prepared(PLAN)[1]
    assert (fields[f"quote-{first[0]}"], fields[f"quote-{second}"]) == (by_id[first[0]]["number"], None)
    label = f"{by_id[second]['number']}, {by_id[second]['boat']['name']}"
    if back:
        bench.press("Back to the first page", **{f"quote-{second}": label})
        assert (bench.prepared(PLAN)[1][f"quote-{first[0]}"], bench.text.count(label)) == (
            f"{by_id[first[0]]['number']}, {by_id[first[0]]['boat']['name']}",
            1,
        )
        assert "<i>" not in bench.reply.text
        bench.press(PLAN)
    else:
        bench.press(PLAN, **{f"quote-{second}": label})
    plan = desk.test_client().get(f"/v1/cutting-plans/{bench.at.rsplit('/')[-1]}").json
    assert {each["id"] for each in plan["quotes"]} == {first[0], second}


def test_a_tick_of_another_page_that_ended_since_is_named_and_can_be_taken_away(
    desk: Flask, demo: Json, bench: Colleague, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bench_find, "MOST", 1)
    by_id = {quote["id"]: quote for quote in (quoted(desk, demo, each) for each in ("Wagtail", "Dunlin"))}
    bench.go("/desk/bench")
    (gone,) = [each.removeprefix("quote-") for each in bench.prepared(PLAN)[1] if each.startswith("quote-")]
    bench.press(MORE, **{f"quote-{gone}": by_id[gone]["number"]})
    (other,) = by_id.keys() - {gone}
    desk.test_client().post(f"/v1/quotes/{gone}/cancellation", json={"reason": "Sold."})
    assert bench.press(PLAN, **{f"quote-{other}": "on"}).status_code == 422
    assert f"{by_id[gone]['number']}, revision 1: cancelled. Leave it out." in bench.text
    assert "Ticked on other pages: 1" in bench.text
    assert bench.prepared(PLAN)[1][f"quote-{other}"]
    assert bench.press(PLAN, **{f"quote-{gone}": None}).status_code == 200
    assert by_id[other]["number"] in bench.text


def test_more_ticks_than_are_planned_together_are_refused_in_words(desk: Flask, demo: Json, bench: Colleague) -> None:
    quote = quoted(desk, demo, "Wagtail")
    bench.go("/desk/bench")
    to, fields = bench.prepared(PLAN)
    many = {f"quote-{each:08d}-0000-7000-8000-000000000000": f"Q-2026-{each:06d}" for each in range(MOST_TICKED)}
    assert bench.send(to, {**fields, f"quote-{quote['id']}": quote["number"], **many}).status_code == 422
    assert f"{MOST_TICKED + 1} quotes are ticked, which is too many for one plan" in bench.text
    assert f"At most {MOST_TICKED} are planned together" in bench.text
    assert len([each for each, value in bench.prepared(PLAN)[1].items() if each.startswith("quote-") and value]) == MOST_TICKED + 1
    assert desk.test_client().get("/v1/cutting-plans").json["plans"] == []


def test_a_quote_that_ended_since_is_named_and_the_ticks_stay(desk: Flask, demo: Json, bench: Colleague) -> None:
    one, other = quoted(desk, demo, "Wagtail"), quoted(desk, demo, "Dunlin")
    bench.go("/desk/bench")
    kept = bench.prepared(PLAN, **{f"quote-{each['id']}": "on" for each in (one, other)})
    desk.test_client().post(f"/v1/quotes/{one['id']}/cancellation", json={"reason": "Sold."})
    assert bench.send(*kept).status_code == 422
    assert "A quote in it has ended" in bench.text
    assert f"{one['number']}, revision 1: cancelled. Leave it out." in bench.text
    assert bench.prepared(PLAN)[1][f"quote-{other['id']}"]


def test_of_two_people_who_take_at_once_one_gets_the_wire_and_the_other_words(desk: Flask, demo: Json) -> None:
    """Two plans want the same offcut; each is pressed in a browser of its own at the same moment."""
    people = [Colleague(desk, Role.BENCH, name=name) for name in ("Benno Benchley", "Nora Newbuoy")]
    ready = []
    for who, boat in zip(people, ("Wagtail", "Dunlin"), strict=True):
        plan = planned(desk, who, quoted(desk, demo, boat))
        ready.append((who, who.prepared(f"Take this wire, as {who.person.name}"), plan["wires"][0]["uses"][0]["object"]))
    assert ready[0][2] == ready[1][2]
    together = [threading.Thread(target=who.send, args=prepared) for who, prepared, _ in ready]
    for each in together:
        each.start()
    for each in together:
        each.join()
    won, lost = sorted(people, key=lambda who: who.reply.status_code)
    assert (won.reply.status_code, lost.reply.status_code) == (200, 409)
    assert f"Taken by {won.person.name}" in won.text
    assert "Someone else was quicker" in lost.text
    assert "Go back to the cutting list, and plan again." in lost.text
    assert [each["by"] for each in movements(desk)] == [won.person.name]


def test_one_plan_is_taken_once_whoever_presses(desk: Flask, demo: Json, bench: Colleague) -> None:
    plan = planned(desk, bench, quoted(desk, demo, "Wagtail"))
    kept, owner = bench.prepared(TAKE), Colleague(desk, Role.OWNER)
    owner.go(f"/desk/bench/plans/{plan['id']}")
    late = owner.prepared("Take this wire, as Olga Ownerby")
    for _ in range(2):  # a second press of the same form does nothing more
        assert bench.send(*kept).status_code == 200
    assert owner.send(*late).status_code == 409
    assert "This plan was taken already" in owner.text
    assert "Taken by Benno Benchley" in owner.text
    assert len(movements(desk)) == 1


def test_a_plan_of_what_must_no_longer_be_cut_has_no_length_of_it(desk: Flask, demo: Json, bench: Colleague) -> None:
    quote = quoted(desk, demo, "Wagtail")
    plan = planned(desk, bench, quote)
    length = plan["wires"][0]["uses"][0]["cuts"][0]["length"]["text"]
    assert length in bench.text
    desk.test_client().post(f"/v1/quotes/{quote['id']}/cancellation", json={"reason": "Sold."})
    assert "Remnant" in bench.text
    bench.go(bench.at)
    assert length not in bench.text
    assert "What remains is to be measured" in bench.text
    assert "DO NOT CUT" in bench.text
    assert bench.press(TAKE).status_code == 409
    assert "A quote in it has ended" in bench.text


def test_the_counter_reads_plans_and_takes_none(desk: Flask, demo: Json, bench: Colleague) -> None:
    quote, counter = quoted(desk, demo, "Wagtail"), Colleague(desk, Role.COUNTER)
    counter.go("/desk/bench")
    assert counter.forms(PLAN) == []
    plan = planned(desk, bench, quote)
    token = counter.prepared("Deutsch")[1]["form"]
    counter.go("/desk/bench/plans")
    assert f"/desk/bench/plans/{plan['id']}" in counter.links()
    counter.go(f"/desk/bench/plans/{plan['id']}")
    assert quote["number"] in counter.text
    for step in ("plans", f"plans/{plan['id']}/take", f"plans/{plan['id']}/undo"):
        assert counter.send(f"/desk/bench/{step}", {"form": token, f"quote-{quote['id']}": "on"}).status_code == 403
    assert movements(desk) == []


def test_hostile_names_in_a_plan_are_names_and_german_is_german(desk: Flask, demo: Json) -> None:
    bench = Colleague(desk, Role.BENCH, "de")
    boat = '<script>alert("1")</script>'
    quote = quoted(desk, demo, boat)
    bench.go("/desk/bench")
    bench.press("Schnitte des Angekreuzten planen", **{f"quote-{quote['id']}": "on"})
    assert boat in bench.text
    assert "<script>alert" not in bench.reply.text
    for english in ("Remnant", "offcut", "Wire 1x19", "Measure"):
        assert english not in bench.text
    assert bench.page.get("lang") == "de"
