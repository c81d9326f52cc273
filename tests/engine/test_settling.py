"""The gate: a question is settled by an answer that repeats its figures, a stop by none, and a revision asks again where the figures differ."""

from __future__ import annotations

import json
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from msgspec.structs import replace

from pricing.document import headed, issued, read, rendered
from pricing.errors import RequestError
from pricing.findings import CODES
from pricing.model import Quote, QuotedFinding, Settlement, Undone
from pricing.quote import make_quote
from pricing.settling import (
    Answer,
    answered,
    as_it_stands,
    carried,
    cut_figure,
    may_be_accepted,
    may_be_built,
    open_asks,
    standing_of,
    with_settlements,
)
from pricing.stock.pieces import QuoteToPlan
from service.demo import demo_names, demo_request
from service.schemas import read_request
from tests.engine.shop import DAY, demo

ASKS = sorted(name for name, code in CODES.items() if code.severity == "ask")
STOPS = sorted(name for name, code in CODES.items() if code.severity == "stop")
SIZE = {"size": {"kind": "length", "mm": "5.0"}}


@cache
def ready() -> Quote:
    catalogue, prices = demo()
    asked = read_request(json.loads(demo_request(demo_names()[0])), prices.at(DAY).price_lists())
    made = make_quote(asked, catalogue, prices, DAY)
    return issued(headed(made, "A", "Q-2026-000001", 1), "sha256:0")


def finding(code: str, pointer: str = "/assemblies/0/wire", **changes: Any) -> QuotedFinding:
    severity = CODES[code].severity
    return QuotedFinding(code=code, severity=severity, pointer=pointer, values=SIZE, message="Which?", remedy="Say.", **changes)


def asking(*findings: QuotedFinding) -> Quote:
    """The demo boat, its first assembly with these findings alone."""
    quote = ready()
    severities = {each.severity for each in findings}
    readiness = "hold" if "stop" in severities else "confirm" if "ask" in severities else "ready_to_cut"
    first = replace(quote.assemblies[0], findings=findings, readiness=readiness)
    return replace(quote, assemblies=(first, *quote.assemblies[1:]))


def settlement(quote: Quote, found: QuotedFinding, **changes: Any) -> Settlement:
    tag = quote.assemblies[0].tag
    given = {"id": "S", "words": "Yes.", "by": "Jo", "key": "counter", "settled_at": "2026-11-25T10:00:00.000Z", **changes}
    return Settlement(tag=tag, code=found.code, pointer=found.pointer, wording=found.wording, values=found.values, **given)


def standing(quote: Quote, *settlements: Settlement) -> Quote:
    stands = with_settlements(quote, settlements)
    return replace(quote, settlements=stands.settlements, current_readiness=stands.current_readiness)


@pytest.mark.parametrize("code", ASKS)
def test_every_ask_can_be_settled_by_words(code: str) -> None:
    found = finding(code)
    quote = asking(found)
    first = quote.assemblies[0]
    assert [each.finding.code for each in open_asks(quote)] == [code]
    assert not may_be_built(quote, first)
    assert [each.finding for each in answered(quote, [Answer(first.tag, code, found.pointer, "Yes.")])] == [found]
    after = standing(quote, settlement(quote, found))
    assert open_asks(after) == []
    assert may_be_built(after, after.assemblies[0])
    assert cut_figure(after, after.assemblies[0]) == first.cut_length


@pytest.mark.parametrize("code", STOPS)
def test_no_stop_is_settled_by_words(code: str) -> None:
    quote = asking(finding(code))
    with pytest.raises(RequestError) as refused:
        answered(quote, [Answer(quote.assemblies[0].tag, code, "/assemblies/0/wire", "Never mind.")])
    assert [each[1] for each in refused.value.faults] == ["not_settled_by_words"]
    (ended,) = answered(quote, [Answer(quote.assemblies[0].tag, code, "/assemblies/0/wire", "Looked at it.", measured=True)])
    assert ended.finding.code == code
    assert not may_be_accepted(quote)
    assert not may_be_built(standing(quote, settlement(quote, finding(code))), quote.assemblies[0])


def test_an_answer_to_nothing_to_a_note_and_twice_is_refused_each_by_itself() -> None:
    ask, note = finding(ASKS[0]), finding(next(name for name, code in CODES.items() if code.severity == "note"))
    quote = asking(ask, note)
    tag = quote.assemblies[0].tag
    answers = [
        Answer("NOBODY", ask.code, ask.pointer, "x"),
        Answer(tag, ask.code, "/assemblies/0/upper", "x"),
        Answer(tag, note.code, note.pointer, "x"),
        Answer(tag, ask.code, ask.pointer, "x"),
        Answer(tag, ask.code, ask.pointer, "x"),
    ]
    with pytest.raises(RequestError) as refused:
        answered(quote, answers)
    assert [(at, code) for at, code, _ in refused.value.faults] == [
        ("/settlements/0", "unknown_tag"),
        ("/settlements/1", "unknown_finding"),
        ("/settlements/2", "nothing_asked"),
        ("/settlements/4", "answered_twice"),
    ]
    with pytest.raises(RequestError) as again:
        answered(standing(quote, settlement(quote, ask)), [answers[3]])
    assert [each[1] for each in again.value.faults] == ["already_settled"]


def test_all_that_is_asked_must_be_settled_and_an_undone_settlement_does_not_count() -> None:
    one, other = finding(ASKS[0]), finding(ASKS[1], "/assemblies/0/upper")
    quote = asking(one, other)
    half = standing(quote, settlement(quote, one))
    assert [each.finding for each in open_asks(half)] == [other]
    assert not may_be_built(half, half.assemblies[0])
    undone = settlement(quote, other, undone=Undone("2026-11-26T10:00:00.000Z", "Jo", "counter", "Another boat's."))
    assert not may_be_built(standing(quote, settlement(quote, one), undone), quote.assemblies[0])


def test_a_revision_takes_over_what_was_settled_where_the_figures_are_the_same() -> None:
    same, changed = finding(ASKS[0]), finding(ASKS[1], "/assemblies/0/upper")
    before = asking(same, changed)
    undone = settlement(before, same, id="0", undone=Undone("2026-11-26T10:00:00.000Z", "Jo", "counter", "Another boat's."))
    before = standing(before, undone, settlement(before, same, id="1"), settlement(before, changed, id="2"))
    after = replace(
        asking(same, replace(changed, values={"size": {"kind": "length", "mm": "6.0"}})),
        id="B",
        revision=2,
        settlements=(),
        current_readiness={},
    )
    taken = carried(before, after)
    assert [(each.id, each.carried_from) for each in taken.settlements] == [("1", "A")]
    assert taken.current_readiness[after.assemblies[0].tag] == "confirm"


def test_what_an_answer_was_given_for_moves_along_with_its_assembly() -> None:
    """The same wire as second of the list: the pointer is another, the finding the same."""
    found = finding(ASKS[0], "/assemblies/0/wire")
    before = asking(found)
    before = standing(before, settlement(before, found))
    first, *others = before.assemblies
    moved = replace(first, findings=(replace(found, pointer="/assemblies/1/wire"),))
    after = replace(before, id="B", assemblies=(others[0], moved, *others[1:]), settlements=(), current_readiness={})
    (kept,) = carried(before, after).settlements
    assert kept.pointer == "/assemblies/1/wire"
    assert carried(before, after).current_readiness[first.tag] == "ready_to_cut"


@pytest.mark.parametrize("status", ["declined", "withdrawn", "superseded", "cancelled", "expired"])
def test_nothing_is_built_of_a_quote_that_ended(status: str) -> None:
    quote = replace(ready(), status=status)
    assert not any(may_be_built(quote, each) for each in quote.assemblies)


def test_only_what_may_be_built_and_is_not_cut_yet_is_planned() -> None:
    quote = asking(finding(ASKS[0]))
    second = quote.assemblies[1]
    quote = replace(quote, pieces_cut={second.tag: second.quantity})
    plan = QuoteToPlan.of(quote)
    tags = [each.label for each in plan.pieces]
    assert quote.assemblies[0].tag not in tags
    assert second.tag not in tags
    assert [(each.tag, each.reason) for each in plan.left_out] == [(quote.assemblies[0].tag, "not_ready"), (second.tag, "already_cut")]
    assert all(isinstance(each.length, Decimal) for each in plan.pieces)


def test_a_quotes_standing_is_read_back_with_it() -> None:
    quote = asking(finding(ASKS[0]))
    quote = standing(quote, settlement(quote, quote.assemblies[0].findings[0]))
    assert read(rendered(quote)) == quote
    assert standing_of(quote).current_readiness[quote.assemblies[0].tag] == "ready_to_cut"


def test_papers_get_no_figure_to_cut_by_where_the_gate_is_shut() -> None:
    found = finding(ASKS[0])
    quote = asking(found)
    first, second = as_it_stands(quote).assemblies[:2]
    cut = quote.assemblies[0].cut_length
    assert cut is not None  # else this test would look for nothing
    text = json.dumps(rendered(as_it_stands(quote))["assemblies"][0])
    assert (first.cut_length, first.readiness, first.findings) == (None, "confirm", (found,))
    assert str(cut.mm) not in text
    assert cut.text not in text
    assert second.cut_length == quote.assemblies[1].cut_length is not None
    after = as_it_stands(standing(quote, settlement(quote, found))).assemblies[0]
    assert (after.cut_length, after.readiness) == (cut, "ready_to_cut")
    assert [each.severity for each in after.findings] == ["note"]
    ended = as_it_stands(replace(quote, status="withdrawn"))
    assert {each.cut_length for each in ended.assemblies} == {None}
