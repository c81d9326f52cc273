"""What was measured is recorded and judged at once, and a refusal keeps it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from tests.desk.colleague import Colleague
from tests.service.steps import accepted

Json = dict[str, Any]
PRESS = "Judge and record"


@pytest.fixture
def cap(desk: Flask, demo: Json) -> Json:
    """An accepted quote of two equal cap shrouds, swaged at both ends."""
    demo["assemblies"] = demo["assemblies"][:1]
    demo["assemblies"][0]["quantity"] = 2
    return accepted(desk.test_client(), desk.test_client().post("/v1/quotes", json=demo).json)


def at(quote: Json) -> str:
    return f"/desk/bench/built/{quote['id']}/{quote['assemblies'][0]['tag']}"


def records(desk: Flask, quote: Json) -> list[Json]:
    found: list[Json] = desk.test_client().get(f"/v1/quotes/{quote['id']}/as-built").json["records"]
    return found


def opened(desk: Flask, quote: Json, language: str = "en") -> Colleague:
    bench = Colleague(desk, Role.BENCH, language)
    bench.go(at(quote))
    return bench


def test_a_piece_is_judged_by_its_tolerance_at_once(desk: Flask, cap: Json) -> None:
    """Up to and with the tolerance it passes, and by a thousandth of a millimetre more it fails (common practice; as quoted)."""
    (one,), bench = cap["assemblies"], opened(desk, cap)
    assert "1 1/8 in, 28.6 mm" in bench.text  # as it was recorded on the boat
    most = Decimal(one["target_length"]["mm"]) + Decimal(one["tolerance"]["mm"])
    bench.press(PRESS, length=f"{most}", unit="mm")
    assert "PASSED" in bench.text
    assert "Piece 1" in bench.text
    bench.press(PRESS, length=f"{most + Decimal('0.001')} mm", piece="2")
    assert "FAILED" in bench.text
    assert "3.001 mm too long" in bench.text  # the tolerance of 3 mm and 0.001 mm
    assert "Measure it again." in bench.text
    assert [(each["by"], each["verdict"]) for each in records(desk, cap)] == [("Benno Benchley", "pass"), ("Benno Benchley", "fail")]
    bench.press(PRESS, length=f"{one['target_length']['mm']} mm", piece="2")
    assert "exactly right" in bench.text
    assert desk.test_client().get(f"/v1/quotes/{cap['id']}").json["status"] == "built"


@pytest.mark.parametrize(("unit", "other"), [("in", "mm"), ("mm", "in")])
def test_a_number_in_the_other_unit_is_asked_about_and_not_recorded(desk: Flask, cap: Json, unit: str, other: str) -> None:
    """9098.8 mm are 358.22 in: a number alone that fits only in the unit that was not chosen."""
    bench, finished = opened(desk, cap), Decimal(cap["assemblies"][0]["target_length"]["mm"])
    typed = f"{finished if other == 'mm' else round(finished / Decimal('25.4'), 3)}"
    assert bench.press(PRESS, length=typed, unit=unit).status_code == 422
    assert "Is that the right unit?" in bench.text
    assert records(desk, cap) == []
    bench.press(PRESS, unit=other)
    assert [each["verdict"] for each in records(desk, cap)] == ["pass"]


def test_shanks_are_judged_by_the_gauge_limit(desk: Flask, cap: Json) -> None:
    said = desk.test_client().get(f"/v1/quotes/{cap['id']}/bench-sheet", headers={"Accept": "application/json"}).json
    limit = Decimal(said["assemblies"][0]["build"]["ends"][0]["gauge"]["after_maximum"]["mm"])
    target, bench = cap["assemblies"][0]["target_length"]["mm"], opened(desk, cap)
    assert f"{limit.quantize(Decimal('0.01'), 'ROUND_FLOOR')} mm" in bench.text
    bench.press(PRESS, length=target, unit="mm", upper_shank=f"{limit}; {limit + Decimal('0.01')}")
    assert "FAILED" in bench.text
    checks = [each["result"] for each in records(desk, cap)[-1]["assemblies"][0]["checks"] if each["what"] == "upper_shank"]
    assert checks == ["pass", "fail"]
    bench.press(PRESS, length=target, unit="mm", upper_shank=f"{limit}", lower_shank=f"{limit}", piece="1")
    assert "PASSED" in bench.text


def test_a_number_alone_is_in_the_unit_chosen_and_one_with_a_unit_is_as_written(desk: Flask, cap: Json) -> None:
    bench = opened(desk, cap)
    bench.press(PRESS, length="9098,8", unit="mm")
    bench.press(PRESS, length="358 7/32", unit="in", piece="1")
    bench.press(PRESS, length="29 ft 10 7/32 in", unit="mm", piece="1")
    found = [Decimal(each["assemblies"][0]["checks"][0]["measured"]["mm"]) for each in records(desk, cap)]
    inches = Decimal("358.21875") * Decimal("25.4")
    assert found == [Decimal("9098.8"), inches, inches]  # 29 ft are 348 in


def test_what_cannot_be_used_is_refused_and_what_was_typed_stays(desk: Flask, cap: Json) -> None:
    bench = opened(desk, cap)
    typed = {"length": '<b>long</b> "enough"', "upper_shank": "thick", "note": "Ferrule was dirty.", "piece": "2", "unit": "mm"}
    assert bench.press(PRESS, **typed).status_code == 422
    assert "Something in it cannot be used" in bench.text
    assert {name: bench.prepared(PRESS)[1][name] for name in typed} == typed
    assert "<b>long" not in bench.reply.text
    assert records(desk, cap) == []


def test_a_second_press_records_nothing_more(desk: Flask, cap: Json) -> None:
    bench = opened(desk, cap)
    kept = bench.prepared(PRESS, length=cap["assemblies"][0]["target_length"]["mm"], unit="mm")
    for _ in range(3):
        bench.send(*kept)
        assert "PASSED" in bench.text
    assert len(records(desk, cap)) == 1


def test_a_quote_that_ended_takes_no_figures(desk: Flask, cap: Json) -> None:
    bench = opened(desk, cap)
    desk.test_client().post(f"/v1/quotes/{cap['id']}/cancellation", json={"reason": "Sold the boat."})
    assert bench.press(PRESS, length="9000", unit="mm").status_code == 409
    assert bench.prepared(PRESS)[1]["length"] == "9000"
    assert records(desk, cap) == []


def test_the_counter_does_not_type_in_what_the_bench_measured(desk: Flask, cap: Json) -> None:
    counter, bench = Colleague(desk, Role.COUNTER), opened(desk, cap)
    assert counter.go(at(cap)).status_code == 403
    token = counter.go("/desk") and counter.prepared("Deutsch")[1]["form"]
    assert counter.send(at(cap), {**bench.prepared(PRESS, length="9000")[1], "form": token}).status_code == 403
    assert records(desk, cap) == []
    counter.go(f"/desk/bench/{cap['id']}/{cap['assemblies'][0]['tag']}")
    assert at(cap) not in counter.links()
    assert at(cap) in (bench.go(f"/desk/bench/{cap['id']}/{cap['assemblies'][0]['tag']}") and bench.links())


def test_in_german_it_is_judged_in_german(desk: Flask, cap: Json) -> None:
    bench = opened(desk, cap, "de")
    target = Decimal(cap["assemblies"][0]["target_length"]["mm"])
    bench.press("Beurteilen und festhalten", length="9099,1", unit="mm")
    assert "BESTANDEN" in bench.text
    assert f"{Decimal('9099.1') - target} mm zu lang".replace(".", ",") in bench.text


def test_a_form_that_the_browser_had_kept_can_be_corrected_and_sent_again(desk: Flask, cap: Json) -> None:
    """Back, after it was sent, may show it with the mark of before; what is typed then is another thing to record."""
    bench = opened(desk, cap)
    to, kept = bench.prepared(PRESS, length=f"{cap['assemblies'][0]['target_length']['mm']} mm")
    bench.send(to, kept)
    assert bench.send(to, {**kept, "note": "By the bench's own tape."}).status_code == 422
    assert "This form was sent before" in bench.text
    assert "Idempotency" not in bench.text
    assert len(records(desk, cap)) == 1
    bench.press(PRESS)
    assert [each.get("note") for each in records(desk, cap)] == [None, "By the bench's own tape."]
